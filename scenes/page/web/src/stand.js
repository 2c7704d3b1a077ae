// The live stand: what is changed goes to the program, and its answer comes into the same picture.

import { Asking, post, reasonOf } from "./ask.js";
import { Controls } from "./controls.js";
import { decoded } from "./decode.js";
import { el, write } from "./dom.js";
import { completed, differing, readHash, writeHash } from "./hash.js";
import { Kept } from "./kept.js";
import { verdictOf } from "./leaks.js";

export class Stand {
  constructor(app) {
    const { say, values } = app;
    this.app = app;
    this.start = values.start;
    this.accepted = completed(Object.fromEntries(values.controls.map(({ key, value }) => [key, value])), this.start);
    this.controls = new Controls(values.controls, this.start, say, (drops) => this.#changed(drops));
    this.line = el("p", { class: "asked", role: "status" }, say("change.done"));
    this.error = el("p", { class: "error", role: "alert", hidden: true });
    this.kept = new Kept(say, {
      now: () => ({ values: this.controls.values, verdict: app.values.details[0].verdict }),
      shown: (held) => this.#put(held),
      changed: () => this.#noted(),
    });
    this.link = el("p", { class: "quiet", role: "status" });
    this.verdict = el("div");
    this.now = el("div", { class: "now" }, this.verdict, this.line, this.error);
    this.element = el("section", { class: "stand" },
      el("h2", {}, say("change")),
      this.controls.element,
      el("p", { class: "row" },
        el("button", { type: "button", onclick: () => this.#reset() }, say("change.reset")),
        el("button", { type: "button", onclick: () => this.#copy() }, say("link")),
        el("button", { type: "button", onclick: () => this.#save() }, say("scene_file"))),
      this.link,
      this.kept.element);
    this.asking = new Asking({
      answered: (body, bytes) => this.#answered(body, bytes),
      refused: (body, reason) => this.#refused(body, reason),
      working: (on) => this.#working(on),
      lost: say("change.lost"),
    });
  }

  /** Writes the verdict, where it stays in sight. */
  show([detail]) {
    this.verdict.replaceChildren(verdictOf(detail, this.app.say));
  }

  /** Brings back what the address holds. */
  begin() {
    this.controls.values = this.accepted;
    this.#fromHash();
    window.addEventListener("hashchange", () => this.#fromHash());
  }

  #fromHash() {
    const { set, a, b, shown } = readHash();
    for (const [name, held] of [["A", a], ["B", b]]) {
      const fits = held && typeof held.verdict === "string";
      this.kept.held[name] = fits ? { values: completed(held.values, this.start), verdict: held.verdict } : null;
    }
    this.kept.current = (shown === "A" || shown === "B") && this.kept.held[shown] ? shown : null;
    this.kept.show();
    if (this.kept.held.A || this.kept.held.B) this.kept.element.open = true;
    const wanted = completed(set, this.start);
    this.controls.values = wanted;
    if (Object.keys(differing(wanted, this.accepted)).length) this.#ask("all");
  }

  #changed(drops) {
    this.kept.left();
    this.#ask(drops);
    if (drops === "all") this.#noted();
  }

  #put(values) {
    this.controls.values = values;
    this.#noted();
    this.#ask("all");
  }

  #reset() {
    this.kept.left();
    this.#put(this.start);
  }

  #ask(drops) {
    this.asking.want({ values: this.controls.values, drops });
  }

  async #answered({ values }, bytes) {
    let told;
    try {
      told = await decoded(bytes);
    } catch (error) {
      this.#refused({ values }, this.app.say("broken", { reason: error.message }));
      return;
    }
    this.accepted = values;
    this.error.hidden = true;
    this.controls.refuse([]);
    this.app.show(told);
    this.app.tell(told.details[0].verdict);
  }

  /** The old picture stays, and what differs from it is marked. */
  #refused({ values }, error) {
    write(this.error, this.app.say("change.refused", { error }));
    this.error.hidden = false;
    this.controls.refuse(Object.keys(differing(values, this.accepted)));
  }

  #working(on) {
    this.app.picture.classList.toggle("working", on);
    this.app.picture.setAttribute("aria-busy", String(on));
    const { say } = this.app;
    write(this.line, on ? say("change.working") : this.error.hidden ? say("change.done") : "");
  }

  #noted() {
    const short = (held) => held && { values: differing(held.values, this.start), verdict: held.verdict };
    const { A, B } = this.kept.held;
    const kept = { a: short(A), b: short(B) };
    const shown = this.kept.current;
    writeHash({ set: differing(this.controls.values, this.start), ...(A || B ? { ...kept, shown } : {}) });
  }

  async #copy() {
    this.#noted();
    const { say } = this.app;
    const address = window.location.href;
    try {
      await navigator.clipboard.writeText(address);
      this.link.replaceChildren(say("link.copied"));
    } catch {
      const shown = el("input", { readonly: true, value: address, "aria-label": say("link.here") });
      this.link.replaceChildren(say("link.here"), shown);
      shown.select();
    }
  }

  async #save() {
    const { say } = this.app;
    try {
      const response = await post("scene", { values: this.controls.values, drops: "all" });
      if (!response.ok) throw new Error(await reasonOf(response, say("change.lost")));
      const address = URL.createObjectURL(await response.blob());
      el("a", { href: address, download: "scene.toml" }).click();
      setTimeout(() => URL.revokeObjectURL(address), 10000);
      this.link.replaceChildren(say("scene_file.saved"));
    } catch (error) {
      this.link.replaceChildren(error instanceof TypeError ? say("change.lost") : error.message);
    }
  }
}
