// Two states kept, A and B, and a step from one to the other.

import { el, write } from "./dom.js";

const NAMES = ["A", "B"];

export class Kept {
  /** now: gives the state to keep, {values, verdict}; shown: called with the values of a kept one. */
  constructor(say, { now, shown, changed }) {
    this.say = say;
    this.shown = shown;
    this.held = { A: null, B: null };
    this.current = null;
    this.lines = Object.fromEntries(NAMES.map((name) => [name, el("p", { class: "quiet" })]));
    this.flip = el("button", { type: "button", onclick: () => this.#flip() }, say("kept.flip"));
    this.told = el("p", { class: "quiet", role: "status" });
    const keep = (name) => {
      this.held[name] = now();
      this.current = name;
      this.show();
      changed();
    };
    this.element = el("details", { class: "kept" },
      el("summary", {}, say("kept")),
      ...NAMES.flatMap((name) => [
        el("button", { type: "button", onclick: () => keep(name) }, say("kept.keep", { name })),
        this.lines[name],
      ]),
      this.flip,
      this.told);
    this.show();
  }

  show() {
    const { say } = this;
    for (const name of NAMES) {
      const held = this.held[name];
      const verdict = held ? held.verdict : say("kept.empty");
      write(this.lines[name], say("kept.verdict", { name, verdict }));
    }
    this.flip.disabled = NAMES.some((name) => !this.held[name]);
    write(this.told, this.current ? say("kept.shown", { name: this.current }) : say("kept.neither"));
  }

  /** What is shown is neither of them any more. */
  left() {
    this.current = null;
    this.show();
  }

  #flip() {
    this.current = this.current === "A" ? "B" : "A";
    this.show();
    this.shown(this.held[this.current].values);
  }
}
