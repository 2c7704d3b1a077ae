// Keys for the picture while it or a mark in it is chosen, taps on it, and the list of both in words.

import { el } from "./dom.js";

const STEP = (5 * Math.PI) / 180;
const ALONG = 0.06; // of the distance
const NEARER = 0.87;
const TAP = 7; // pixels that a finger may slip
const LONG = 500; // milliseconds

export function hands(app, picture, surface) {
  keys(app, picture);
  taps(app, surface);
}

/** The keys in words, folded away. */
export function keysList(say, id) {
  const rows = ["turn", "along", "near", "leaks", "space"].map((name) => el("li", {}, say(`keys.${name}`)));
  return el("details", { class: "keys" },
    el("summary", {}, say("keys")),
    el("div", { id }, el("p", {}, say("keys.tab")), el("ul", {}, ...rows), el("p", {}, say("keys.touch"))));
}

function keys(app, picture) {
  const acts = {
    ArrowLeft: () => app.view.eye.turn(-STEP, 0),
    ArrowRight: () => app.view.eye.turn(STEP, 0),
    ArrowUp: () => app.view.eye.turn(0, STEP),
    ArrowDown: () => app.view.eye.turn(0, -STEP),
    "+": () => app.view.eye.nearer(NEARER),
    "=": () => app.view.eye.nearer(NEARER),
    "-": () => app.view.eye.nearer(1 / NEARER),
    n: () => app.nextLeak(1),
    p: () => app.nextLeak(-1),
    " ": () => app.play(!app.playing),
  };
  const along = {
    ArrowLeft: () => app.view.eye.along(-ALONG, 0),
    ArrowRight: () => app.view.eye.along(ALONG, 0),
    ArrowUp: () => app.view.eye.along(0, ALONG),
    ArrowDown: () => app.view.eye.along(0, -ALONG),
  };
  picture.addEventListener("keydown", (event) => {
    const act = event.shiftKey && along[event.key] ? along[event.key] : acts[event.key];
    const onMark = event.target.closest("button");
    if (!act || event.ctrlKey || event.metaKey || event.altKey || (onMark && event.key === " ")) return;
    event.preventDefault();
    act();
  });
}

function taps(app, surface) {
  let down = null;
  // What turns the picture would take the press of a button for its own.
  for (const button of surface.children) {
    if (button.tagName !== "CANVAS") button.addEventListener("pointerdown", (event) => event.stopPropagation());
  }
  surface.addEventListener("pointerdown", (event) => {
    down = event.isPrimary ? event : null;
  });
  surface.addEventListener("pointerup", (event) => {
    if (!down || !event.isPrimary) return;
    const slipped = Math.hypot(event.clientX - down.clientX, event.clientY - down.clientY);
    const long = event.timeStamp - down.timeStamp > LONG;
    down = null;
    if (slipped > TAP || long) return;
    const { left, top } = surface.getBoundingClientRect();
    app.tapped(event.clientX - left, event.clientY - top);
  });
}
