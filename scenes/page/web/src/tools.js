// What can be done with the picture: pieces on one by one or apart, where to look from, what is shown.

import { el, newId, write } from "./dom.js";
import { headingOf } from "./words.js";

const TURN = Math.PI / 12;
const NEARER = 0.75;

export class Tools {
  constructor(app) {
    const { say } = app;
    this.app = app;
    this.peel = slider(say("peel"), { min: 0, step: 1 }, () => this.#peeled());
    this.apart = slider(say("explode"), { min: 0, max: 100, step: 1 }, () => this.#moved());
    this.apart.input.value = 0;
    this.through = tick(say("covering"), false, (on) => app.set({ through: on }));
    this.ways = tick(say("water.lines"), true, (on) => app.set({ ways: on }));
    this.colours = el("p", { class: "row" });
    this.element = el("section", { class: "tools" },
      el("h2", {}, say("look")),
      this.#views(),
      this.#turns(),
      this.peel.element,
      this.apart.element,
      this.through.element,
      this.ways.element,
      this.colours);
  }

  /** Sliders and choices for the details that are shown; a slider that stood at its end stays there. */
  show() {
    const { details, say, state, values } = this.app;
    this.steps = Math.max(0, ...details.map((detail) => detail.steps));
    this.peel.input.max = this.steps;
    this.peel.input.value = Math.min(state.on, this.steps);
    this.peel.element.hidden = this.apart.element.hidden = this.steps === 0;
    this.through.element.hidden = !values.details.some((one) => one.pieces.some((piece) => piece.role === "covering"));
    this.#told();
    const labels = values.details[0].fields.map((field) => field.label);
    if (state.field >= labels.length) state.field = -1;
    this.colours.hidden = labels.length === 0;
    const id = newId();
    const chosen = el("select", { id, onchange: () => this.app.set({ field: Number(chosen.value) }) },
      ...[say("colours.pieces"), ...labels].map((label, k) =>
        el("option", { value: k - 1, selected: k - 1 === state.field }, label)));
    this.colours.replaceChildren(el("label", { for: id }, say("colours")), chosen);
  }

  together() {
    this.apart.input.value = 0;
    this.#moved();
  }

  #views() {
    const { app } = this;
    const buttons = app.values.views.map((view) =>
      el("button", { type: "button", onclick: () => app.lookFrom(view.name) }, app.say(`view.${view.name}`)));
    const id = newId();
    return el("div", { class: "row", role: "group", "aria-labelledby": id },
      el("span", { id }, app.say("look.from")), ...buttons);
  }

  /** What fingers do, for those who press. */
  #turns() {
    const { say, view } = this.app;
    const acts = {
      left: () => view.eye.turn(-TURN, 0),
      right: () => view.eye.turn(TURN, 0),
      up: () => view.eye.turn(0, TURN),
      down: () => view.eye.turn(0, -TURN),
      nearer: () => view.eye.nearer(NEARER),
      farther: () => view.eye.nearer(1 / NEARER),
    };
    const buttons = Object.entries(acts).map(([name, act]) =>
      el("button", { type: "button", onclick: act }, say(`turn.${name}`)));
    const id = newId();
    const label = el("span", { id }, say("turn"));
    return el("div", { class: "row", role: "group", "aria-labelledby": id }, label, ...buttons);
  }

  #peeled() {
    const on = Number(this.peel.input.value);
    this.app.set({ on: on >= this.steps ? Infinity : on });
    this.#told();
  }

  #moved() {
    this.app.set({ apart: Number(this.apart.input.value) / 100 });
    this.#told();
  }

  #told() {
    const { details, say, values } = this.app;
    const on = Number(this.peel.input.value);
    const rows = details.map((detail, k) => {
      const said = peelWords(detail, on, say);
      return details.length > 1 ? `${headingOf(values.details[k], say)}: ${said}` : said;
    });
    this.peel.tell(rows.join(". "));
    const percent = Number(this.apart.input.value);
    const apart = say("explode.told", { percent });
    this.apart.tell(percent ? `${apart}. ${say("water.apart")}` : apart);
  }
}

function peelWords(detail, on, say) {
  const all = detail.steps;
  if (on === 0) return say("peel.none", { all });
  const piece = detail.lastOn(on)?.name ?? "";
  return say(on >= all ? "peel.all" : "peel.some", { on: Math.min(on, all), all, piece });
}

/** A slider with its label over it and its meaning in words beneath. */
export function slider(label, settings, moved) {
  const id = newId();
  const told = el("output", { for: id, "aria-live": "off" });
  const input = el("input", { type: "range", id, ...settings, oninput: moved });
  const element = el("div", { class: "slider" }, el("label", { for: id }, label), input, told);
  const tell = (words) => {
    write(told, words);
    input.setAttribute("aria-valuetext", words);
  };
  return { element, input, tell };
}

/** A box to tick. */
export function tick(label, on, changed) {
  const input = el("input", { type: "checkbox", checked: on, onchange: () => changed(input.checked) });
  return { element: el("label", { class: "tick" }, input, el("span", {}, label)), input };
}
