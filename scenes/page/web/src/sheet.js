// What is printed: one clean sheet, with the picture as it stood and every reason, and nothing to press.

import { el } from "./dom.js";
import { reasons, verdictOf } from "./leaks.js";
import { letterOf, named } from "./pieces.js";
import { headingOf } from "./words.js";

export function printed(app, sheet) {
  const fill = () => sheet.replaceChildren(...parts(app));
  const paper = window.matchMedia("print");
  let filled = false;
  window.addEventListener("beforeprint", () => {
    fill();
    filled = true;
  });
  window.addEventListener("afterprint", () => {
    filled = false;
  });
  paper.addEventListener?.("change", () => paper.matches && !filled && fill());
}

function parts(app) {
  const { say, values } = app;
  const { details } = values;
  const pictures = app.pictures();
  const [first] = details;
  const several = details.length > 1;
  const figures = details.map((detail, k) => figure(app, detail, pictures[k], several));
  return [
    el("h1", {}, document.title),
    first.weather ? el("p", { class: "quiet" }, first.weather) : null,
    first.note ? el("p", { class: "quiet" }, first.note) : null,
    el("div", { class: several ? "sides two" : "sides" }, ...figures, several ? null : key(details, say)),
    several ? key(details, say) : null,
    ...details.flatMap((detail) => told(detail, say, several)),
    el("h2", {}, say("cautions")),
    el("ul", { class: "cautions" }, ...values.cautions.map((line) => el("li", {}, line))),
    el("p", { class: "quiet" }, say("made", { program: values.program })),
  ].filter(Boolean);
}

function key(details, say) {
  const rows = named(details).map((piece) => el("li", {}, letterOf(piece), el("span", {}, piece.legend)));
  return el("section", { class: "key" }, el("h2", {}, say("print.legend")), el("ul", {}, ...rows));
}

function figure({ say }, detail, picture, several) {
  return el("figure", {},
    several ? el("h2", {}, headingOf(detail, say)) : null,
    verdictOf(detail, say),
    picture ? el("img", { src: picture, decoding: "sync", alt: say("print.picture", { title: detail.title }) }) : null,
    detail.shares ? el("p", {}, detail.shares) : null);
}

function told(detail, say, several) {
  const heading = (words) => (several ? `${headingOf(detail, say)}: ${words}` : words);
  const parts = [];
  if (detail.leaks.length) {
    const number = (leak) => el("span", { class: "number" }, String(leak.number));
    const rows = detail.leaks.map((leak) =>
      el("li", {}, number(leak), el("strong", {}, leak.words), ...reasons(leak, say)));
    parts.push(el("h2", {}, heading(say("leaks"))), el("ol", { class: "leaks" }, ...rows));
  }
  for (const [name, rows] of [["laps", detail.laps], ["pools", detail.pools]]) {
    if (!rows.length) continue;
    parts.push(el("h2", {}, heading(say(name))), el("ul", {}, ...rows.map((row) => el("li", {}, row.words))));
  }
  return parts;
}
