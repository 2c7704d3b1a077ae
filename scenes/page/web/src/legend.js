// What the marks mean, each beside a sample of it; and the scale of a field's colours.

import { share } from "./amounts.js";
import { el, svg } from "./dom.js";
import { getsIn } from "./ways.js";

const EDGE = 0.06; // ticks so near to an end of the scale begin or end there

export class Legend {
  constructor(app) {
    this.app = app;
    this.scale = el("figure", { class: "scale", hidden: true });
    this.rows = el("ul", { class: "legend" });
    this.element = el("section", {}, el("h2", {}, app.say("legend")), this.rows);
  }

  show() {
    const { say, values } = this.app;
    const any = (name) => values.details.some((detail) => detail[name].length > 0);
    const rows = [row(line("water"), say("legend.water"))];
    const paths = values.details.map((detail) => detail.paths);
    if (paths.some(({ under }) => under.some(Boolean))) rows.push(row(line("water dashed"), say("legend.under")));
    if (paths.some((one) => one.leak.some((_, k) => getsIn(one, k)))) {
      rows.push(row(line("water bold"), say("legend.coming")));
      rows.push(row(line("behind"), say("legend.behind")), row(line("behind dashed"), say("legend.hidden")));
    }
    rows.push(row(drops(), say("legend.drops")));
    if (any("leaks")) {
      rows.push(row(el("span", { class: "mark leak" }, "1"), say("legend.leak")));
      rows.push(row(el("span", { class: "mark leak hidden" }, "1"), say("legend.leak_hidden")));
    }
    if (any("laps")) rows.push(row(line("lap"), say("legend.lap")));
    if (any("pools")) rows.push(row(el("span", { class: "mark pool" }, "~"), say("legend.pool")));
    rows.push(row(el("span", { class: "mark letter" }, "A"), say("legend.letter")));
    this.rows.replaceChildren(...rows);
  }

  /** The scale of the field that is drawn, if one is. */
  field() {
    const { state, values } = this.app;
    const field = values.details[0].fields[state.field];
    this.scale.hidden = !field;
    if (field) this.scale.replaceChildren(...scaleOf(field, values.ramp));
  }
}

/** A field's name, its colours from low to high, and its ticks. */
export function scaleOf(field, ramp) {
  const { label, unit, note, ticks } = field;
  const strip = el("div", { class: "ramp", "aria-hidden": "true" });
  strip.style.background = `linear-gradient(to right, ${ramp.join(", ")})`;
  const marks = ticks.map(([value, text]) => {
    const tick = el("span", {}, text);
    const along = share(field, value);
    tick.style.left = `${100 * along}%`;
    tick.style.transform = `translateX(${along < EDGE ? 0 : along > 1 - EDGE ? -100 : -50}%)`;
    return tick;
  });
  return [
    el("figcaption", {}, unit ? `${label} (${unit})` : label),
    strip,
    el("div", { class: "ticks" }, ...marks),
    note ? el("p", { class: "quiet" }, note) : null,
  ].filter(Boolean);
}

function row(sample, words) {
  sample.setAttribute("aria-hidden", "true");
  return el("li", {}, el("span", { class: "sample" }, sample), el("span", {}, words));
}

function line(kind) {
  return svg("svg", { viewBox: "0 0 36 12", width: 36, height: 12 },
    svg("line", { x1: 1, y1: 6, x2: 35, y2: 6, class: `drawn ${kind}` }));
}

function drops() {
  return svg("svg", { viewBox: "0 0 36 12", width: 36, height: 12 },
    svg("circle", { cx: 9, cy: 6, r: 4, class: "drop water" }),
    svg("circle", { cx: 27, cy: 6, r: 4, class: "drop behind" }));
}
