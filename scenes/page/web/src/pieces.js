// The list of pieces by their letters and colours: the key of the picture, and each on or off.

import { el } from "./dom.js";
import { tick } from "./tools.js";

export class Pieces {
  constructor(app) {
    this.app = app;
    this.list = el("ul", { class: "pieces" });
    this.element = el("section", {},
      el("h2", {}, app.say("pieces")),
      this.list,
      el("button", { type: "button", onclick: () => this.#all() }, app.say("pieces.all")));
  }

  show() {
    const { off } = this.app.state;
    this.ticks = new Map();
    const rows = named(this.app.values.details).map((piece) => {
      const one = tick("", !off.has(piece.name), (on) => this.#turned(piece.name, on));
      one.element.lastChild.replaceWith(letterOf(piece), el("span", {}, piece.legend));
      this.ticks.set(piece.name, one.input);
      return el("li", {}, one.element);
    });
    this.list.replaceChildren(...rows);
  }

  #turned(name, on) {
    const off = new Set(this.app.state.off);
    if (on) off.delete(name);
    else off.add(name);
    this.app.set({ off });
  }

  #all() {
    for (const input of this.ticks.values()) input.checked = true;
    this.app.set({ off: new Set() });
  }
}

/** The pieces of all details, each name once. */
export function named(details) {
  const rows = new Map();
  for (const detail of details) {
    for (const piece of detail.pieces) if (!rows.has(piece.name)) rows.set(piece.name, piece);
  }
  const after = (a, b) => a.length - b.length || (a < b ? -1 : 1); // Z comes before AA
  return [...rows.values()].sort((a, b) => after(a.letter, b.letter));
}

export function letterOf(piece) {
  const swatch = el("span", { class: "swatch" }, piece.letter);
  swatch.style.borderLeftColor = piece.colour;
  return swatch;
}
