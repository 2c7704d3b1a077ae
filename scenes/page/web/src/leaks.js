// The list of places where water gets in: each opens to its reason and what to change.

import { el, newId } from "./dom.js";
import { headingOf, kindOf, signOf } from "./words.js";

export class Story {
  constructor(app) {
    this.app = app;
    this.element = el("div", { class: "story" });
    this.entries = [];
  }

  /** Writes verdicts, leaks, short laps and pools of the details that are shown. */
  show() {
    const { details } = this.app.values;
    this.entries = [];
    const parts = details.map((detail, k) => this.#detail(detail, k, details.length > 1));
    const alike = (name) => details.every((detail) => detail[name] === details[0][name]);
    const common = ["weather", "note"].filter((name) => details[0][name] && alike(name));
    const rows = common.map((name) => el("p", { class: "quiet" }, details[0][name]));
    this.element.replaceChildren(...parts, ...rows);
  }

  /** Opens one entry and closes the others; null closes all. Brings it into sight if `shown`. */
  open(which, focus, shown) {
    for (const entry of this.entries) {
      const here = which !== null && entry.k === which.k && entry.number === which.number;
      entry.element.open = here;
      if (here && focus) entry.element.querySelector("summary").focus();
      if (here && shown) entry.element.scrollIntoView({ block: "nearest" });
    }
  }

  /** Every entry open, where there is no picture to tap. */
  openAll() {
    for (const { element } of this.entries) element.open = true;
  }

  #detail(detail, k, several) {
    const { say } = this.app;
    const level = several ? "h3" : "h2";
    const parts = [
      several ? el("h2", {}, headingOf(detail, say)) : null,
      several && detail.title !== document.title ? el("p", { class: "quiet" }, detail.title) : null,
      this.app.stand ? null : verdictOf(detail, say),
      detail.shares ? el("p", {}, detail.shares) : null,
      ...this.#own(detail, "weather"),
    ];
    if (detail.leaks.length) {
      parts.push(el(level, {}, say("leaks")));
      parts.push(el("ol", { class: "leaks" }, ...detail.leaks.map((leak) => this.#entry(leak, k))));
    }
    for (const [name, rows] of [["laps", detail.laps], ["pools", detail.pools]]) {
      if (!rows.length) continue;
      parts.push(el(level, {}, say(name)), el("ul", {}, ...rows.map((row) => el("li", {}, row.words))));
    }
    parts.push(...this.#own(detail, "note"));
    return el("section", { class: `detail ${kindOf(detail)}` }, ...parts);
  }

  /** What is said of this detail and not of the other alike. */
  #own(detail, name) {
    const others = this.app.values.details.filter((one) => one[name] !== detail[name]);
    return others.length && detail[name] ? [el("p", { class: "quiet" }, detail[name])] : [];
  }

  #entry(leak, k) {
    const { say, view } = this.app;
    const number = leak.number;
    const summary = el("summary", {},
      el("span", { class: "number", "aria-hidden": "true" }, String(number)),
      el("span", { class: "unseen" }, `${say("leak.short", { number })}: `),
      el("span", {}, leak.words));
    const element = el("details", { id: `leak-${k}-${number}` }, summary, ...reasons(leak, say));
    summary.addEventListener("click", (event) => {
      event.preventDefault();
      if (element.open) this.app.open(null);
      else this.app.open({ k, number });
    });
    if (view) {
      const go = () => this.app.goTo(k, number);
      element.append(el("button", { type: "button", onclick: go }, say("leak.show")));
    }
    this.entries.push({ k, number, element });
    return el("li", {}, element);
  }
}

/** Why water gets in, how far it comes, and what to change. */
export function reasons(leak, say) {
  const cures = newId();
  const far = leak.severity === "inside" || leak.severity === "underlay" ? say(`leak.${leak.severity}`) : "";
  return [
    leak.why ? el("p", {}, leak.why) : null,
    far ? el("p", {}, far) : null,
    leak.cures.length ? el("p", { class: "cures", id: cures }, say("leak.cures")) : null,
    leak.cures.length ? el("ul", { "aria-labelledby": cures }, ...leak.cures.map((cure) => el("li", {}, cure))) : null,
  ].filter(Boolean);
}

export function verdictOf(detail, say) {
  const kind = kindOf(detail);
  const told = kind === "plain" ? "" : say(`verdict.${kind}`);
  return el("p", { class: `verdict ${kind}` },
    el("span", { "aria-hidden": "true" }, `${signOf(detail)} `),
    told ? el("span", { class: "unseen" }, `${told} `) : null,
    detail.verdict);
}
