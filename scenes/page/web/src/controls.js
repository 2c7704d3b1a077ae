// What can be changed of a scene: sliders, choices and switches, in groups that open, and found by their names.

import { el, newId, write } from "./dom.js";
import { slider, tick } from "./tools.js";

const MANY = 8; // more than so many are found by their names

export class Controls {
  /** start: the values at first; moved: called with "few" while a slider is dragged and with "all" once
   *  something is set. */
  constructor(controls, start, say, moved) {
    this.say = say;
    this.start = start;
    this.moved = (drops) => {
      this.#counted();
      moved(drops);
    };
    this.rows = new Map();
    this.groups = new Map();
    for (const control of controls) {
      const row = this.#row(control);
      this.rows.set(control.key, row);
      this.#group(control.group || say("change.others")).append(row.element);
      row.group = this.#group(control.group || say("change.others")).parentElement;
    }
    const id = newId();
    const find = el("input", { type: "search", id, oninput: () => this.#find(find.value) });
    const label = el("label", { for: id }, say("change.find"));
    const finding = controls.length > MANY ? el("p", { class: "row" }, label, find) : null;
    const groups = [...this.groups.values()].map(({ element }) => element);
    this.element = el("div", { class: "controls" }, finding, ...groups);
    if (this.groups.size === 1) for (const { element } of this.groups.values()) element.open = true;
    this.#counted();
  }

  get values() {
    return Object.fromEntries([...this.rows].map(([key, row]) => [key, row.read()]));
  }

  set values(values) {
    for (const [key, row] of this.rows) if (key in values) row.put(values[key]);
    this.#counted();
  }

  /** Marks what was refused: keys; none takes the marks away. */
  refuse(keys) {
    for (const [key, row] of this.rows) {
      const here = keys.includes(key);
      row.element.classList.toggle("refused", here);
      if (here) row.group.open = true;
      if (here) row.input.setAttribute("aria-invalid", "true");
      else row.input.removeAttribute("aria-invalid");
      write(row.note, here ? this.say("change.refused_here") : "");
    }
  }

  /** Where the rows of a group go. */
  #group(name) {
    if (!this.groups.has(name)) {
      const [count, rows] = [el("span", { class: "count" }), el("div", { role: "group", "aria-label": name })];
      const element = el("details", {}, el("summary", {}, el("span", {}, name), count), rows);
      this.groups.set(name, { element, rows, count });
    }
    return this.groups.get(name).rows;
  }

  /** Says at each group how much of it differs from the start. */
  #counted() {
    for (const { element, count } of this.groups.values()) {
      const changed = [...this.rows].filter(([key, row]) => row.group === element && row.read() !== this.start[key]);
      write(count, changed.length ? this.say("change.count", { count: changed.length }) : "");
    }
  }

  /** Leaves only what has these letters in its name, and opens where it stands; no letters bring all back. */
  #find(letters) {
    const wanted = letters.trim().toLowerCase();
    for (const row of this.rows.values()) {
      row.element.hidden = wanted !== "" && !row.label.toLowerCase().includes(wanted);
    }
    for (const { element, rows } of this.groups.values()) {
      const some = [...rows.children].some((row) => !row.hidden);
      element.hidden = !some;
      element.open = wanted !== "" && some;
    }
  }

  #row(control) {
    const row = { slider: this.#slider, choice: this.#choice, switch: this.#switch }[control.kind].call(this, control);
    row.label = control.label;
    row.note = el("strong", { class: "note", id: newId() });
    row.input.setAttribute("aria-describedby", row.note.id);
    row.element.append(row.note);
    row.put(control.value);
    return row;
  }

  #slider({ label, low, high, step, unit }) {
    const made = slider(label, { min: low, max: high, step }, () => {
      show();
      this.moved("few");
    });
    const { input } = made;
    input.addEventListener("change", () => this.moved("all"));
    let given = { shown: "", value: 0 };
    // A value between two steps stays as it was given until the slider is moved.
    const read = () => (input.value === given.shown ? given.value : Number(input.value));
    const show = () => made.tell(unit ? `${read()} ${unit}` : String(read()));
    const put = (value) => {
      input.value = value;
      given = { shown: input.value, value };
      show();
    };
    return { element: made.element, input, put, read };
  }

  #choice({ label, choices }) {
    const id = newId();
    const input = el("select", { id, onchange: () => this.moved("all") },
      ...choices.map((choice, k) => el("option", { value: k }, choice.label)));
    const put = (value) => {
      input.value = choices.findIndex((choice) => choice.value === value);
    };
    const read = () => choices[Number(input.value)]?.value ?? null;
    return { element: el("p", { class: "row" }, el("label", { for: id }, label), input), input, put, read };
  }

  #switch({ label }) {
    const { element, input } = tick(label, false, () => this.moved("all"));
    const put = (value) => {
      input.checked = value;
    };
    return { element, input, put, read: () => input.checked };
  }
}
