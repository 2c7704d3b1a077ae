// Questions to the program that serves the page: one at a time, and only the last one wanted is asked next.

const AGAIN = 250; // milliseconds before a busy program is asked again

/** The page's own address with a word for its end, its query kept (it may carry what opens the page). */
export function addressOf(word) {
  const here = new URL(window.location.href);
  const made = new URL(word, here);
  made.search = here.search;
  return made.href;
}

export async function post(word, body) {
  const headers = { "Content-Type": "application/json" };
  return fetch(addressOf(word), { method: "POST", headers, body: JSON.stringify(body), cache: "no-store" });
}

/** What went wrong, in a line for people; the words of the program where it gave some. */
export async function reasonOf(response, otherwise) {
  try {
    const told = await response.json();
    return typeof told.error === "string" ? told.error : otherwise;
  } catch {
    return otherwise;
  }
}

export class Asking {
  /** answered: called with the body asked and the bytes; refused: with the body and a reason; working: with
   *  whether an answer is awaited. lost: what is said when nobody answers. */
  constructor({ answered, refused, working, lost }) {
    Object.assign(this, { answered, refused, working, lost, next: null, busy: false });
  }

  /** Wants this now, and nothing of what was wanted before and not yet asked. */
  want(body) {
    this.next = body;
    if (!this.busy) this.#run();
  }

  async #run() {
    this.busy = true;
    this.working(true);
    while (this.next) {
      const body = this.next;
      this.next = null;
      await this.#one(body);
    }
    this.busy = false;
    this.working(false);
  }

  async #one(body) {
    let response;
    try {
      response = await post("change", body);
    } catch {
      this.refused(body, this.lost);
      return;
    }
    if (response.status === 429) {
      await new Promise((done) => setTimeout(done, AGAIN));
      this.next ??= body;
    } else if (response.ok) {
      await this.answered(body, new Uint8Array(await response.arrayBuffer()));
    } else this.refused(body, await reasonOf(response, this.lost));
  }
}
