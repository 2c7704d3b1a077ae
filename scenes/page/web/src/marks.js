// Words and numbers over the picture: places where water gets in, short laps, pools, letters of pieces.

import { Vector3 } from "three";

import { el, svg, write } from "./dom.js";
import { placed } from "./layout.js";
import { painted } from "./painted.js";
import { headingOf, kindOf, signOf } from "./words.js";

const NEAR = [14, 34, 60];
const CALL_OUT = [26, 52, 84, 120, 160];
const LOW = 260; // pixels: a lower picture has no room for many words
const FAR_SIDE = 0.05; // metres that something must stand before a place to hide it

export class Marks {
  /** over: the element over the picture; opened: called with the number of a picture and a leak. */
  constructor(view, say, over, opened) {
    this.corners = [];
    this.view = view;
    this.say = say;
    this.opened = opened;
    this.lines = svg("svg", { class: "leaders", "aria-hidden": "true" });
    this.over = over;
    this.labels = [];
    this.heads = [];
    this.open = null;
    this.apart = 0;
    view.addEventListener("drawn", () => this.#laid());
    view.addEventListener("rested", () => this.#looked());
  }

  /** Makes the labels of what the view shows. */
  show() {
    this.labels = [];
    this.heads = [];
    const { details } = this.view;
    details.forEach((detail, k) => {
      const { values } = detail;
      this.heads.push(details.length > 1 ? this.#head(values) : null);
      values.leaks.forEach((leak) => this.#leak(k, leak));
      values.laps.forEach((lap) => this.#add(k, "lap", middle(lap.edge), lap.label, NEAR));
      values.pools.forEach((pool) => this.#add(k, "pool", pool.point, pool.words, NEAR));
      detail.pieces.forEach((piece) => {
        const label = this.#add(k, "letter", null, piece.values.letter, NEAR);
        Object.assign(label, { piece, on: true });
      });
    });
    this.callOut = this.#add(0, "call-out", null, "", CALL_OUT);
    this.named = this.#add(0, "named", null, "", NEAR);
    const order = ["call-out", "leak", "named", "lap", "pool", "letter"];
    this.labels.sort((a, b) => order.indexOf(a.kind) - order.indexOf(b.kind));
    const elements = this.labels.map((label) => label.element);
    const buttons = this.labels.filter((label) => label.kind === "leak").map((label) => label.element);
    const others = elements.filter((element) => !buttons.includes(element));
    this.over.replaceChildren(this.lines, ...this.heads.filter(Boolean), ...buttons, ...others);
  }

  /** Puts words at the place of a leak; null takes them away. */
  callTo(k, leak) {
    this.open = leak && { k, number: leak.number };
    Object.assign(this.callOut, { k, anchor: leak ? new Vector3(...leak.point) : null, last: null });
    const { element } = this.callOut;
    const words = leak ? shortWords(leak.words) : "";
    element.replaceChildren(el("strong", {}, this.say("leak.here")), el("span", {}, words));
    element.classList.toggle("short", this.view.panes[0].high < LOW);
    this.callOut.size = null;
    for (const label of this.labels) {
      if (label.kind !== "leak") continue;
      const here = leak && label.k === k && label.number === leak.number;
      label.element.classList.toggle("open", Boolean(here));
    }
    this.view.ask();
  }

  /** Names a piece where it was tapped; without a point, none. */
  name(k, words, point = null) {
    Object.assign(this.named, { k, anchor: point, last: null, size: null });
    write(this.named.element, words);
    this.view.ask();
  }

  focus(k, number) {
    this.labels.find((label) => label.kind === "leak" && label.k === k && label.number === number)?.element.focus();
  }

  /** Paints the numbers, letters and words of a picture over its copy. */
  paint(context, k) {
    for (const label of this.labels) {
      if (label.k === k && !label.element.classList.contains("gone")) painted(context, label);
    }
  }

  #head(values) {
    const words = `${signOf(values)} ${headingOf(values, this.say)}`;
    return el("p", { class: `head ${kindOf(values)}` }, el("strong", {}, words), el("span", {}, values.verdict));
  }

  #leak(k, leak) {
    const label = this.#add(k, "leak", leak.point, String(leak.number), NEAR, "button");
    Object.assign(label, { on: true, must: true, number: leak.number });
    const words = this.say("leak", { number: leak.number, words: leak.words });
    const { details } = this.view;
    const whose = details.length > 1 ? `${headingOf(details[k].values, this.say)}. ` : "";
    label.element.setAttribute("aria-label", whose + words);
    label.element.addEventListener("click", () => this.opened(k, leak.number));
  }

  #add(k, kind, point, words, rings, tag = "div") {
    const element = el(tag, tag === "button" ? { type: "button" } : { "aria-hidden": "true" }, words);
    element.className = `mark ${kind}`;
    const anchor = point && new Vector3(...point);
    const leader = svg("line", { class: kind });
    const label = { k, kind, anchor, element, rings, leader, on: false, must: kind === "call-out", last: null };
    this.labels.push(label);
    return label;
  }

  /** With the picture at rest: letters where their pieces are seen best, and which leaks are out of sight. */
  #looked() {
    const { view } = this;
    if (!view.surface.clientWidth) return;
    view.details.forEach((detail, k) => {
      const { anchors, busy } = view.looked(k);
      if (this.callOut.k === k) this.callOut.busy = busy;
      for (const label of this.labels.filter((one) => one.k === k)) {
        if (label.kind === "letter") label.anchor = anchors[detail.pieces.indexOf(label.piece)];
        if (label.kind === "leak") {
          const hidden = view.seen.hidden(detail.pieces, view.eye.camera, label.anchor, FAR_SIDE);
          label.element.classList.toggle("hidden", hidden);
        }
        label.last = null;
      }
    });
    view.ask();
  }

  #laid() {
    const frames = this.view.panes;
    const from = this.over.getBoundingClientRect();
    const corners = this.corners.map((element) => boxOf(element, from)).filter(Boolean);
    const taken = frames.map((frame, k) => [...this.#headBox(frame, k), ...corners]);
    for (const label of this.labels) if (label.kind === "leak") this.#guard(label, frames, taken);
    const leaders = [];
    for (const label of this.labels) {
      const shown = this.#put(label, frames[label.k], taken[label.k]);
      label.element.classList.toggle("gone", !shown);
      if (shown && label.kind === "leak") label.element.tabIndex = 0;
      if (shown && far(label)) leaders.push(label.leader);
    }
    if (leaders.length !== this.lines.childNodes.length || leaders.some((one, k) => one !== this.lines.childNodes[k])) {
      this.lines.replaceChildren(...leaders);
    }
  }

  /** Other words keep off the points of leaks, even where a leak's own number has moved aside. */
  #guard(label, frames, taken) {
    const [x, y] = this.view.place(label.anchor, frames[label.k]);
    label.guard = { left: x - 5, top: y - 5, right: x + 5, bottom: y + 5 };
    taken[label.k].push(label.guard);
  }

  #put(label, frame, taken) {
    const hiddenApart = this.apart > 0 && label.kind !== "letter" && label.kind !== "named";
    const off = label.piece && !label.piece.group.visible;
    if (!frame || !label.anchor || hiddenApart || off) return false;
    const at = label.anchor.clone();
    if (label.piece) at.add(label.piece.group.position);
    const [x, y, depth] = this.view.place(at, frame);
    const inside = x > frame.left && x < frame.left + frame.wide && y > frame.top && y < frame.top + frame.high;
    if (!inside || depth > 1 || depth < -1) return false;
    label.size ??= [label.element.offsetWidth, label.element.offsetHeight];
    const others = taken.filter((box) => box !== label.guard);
    const found = placed({ ...label, point: [x, y] }, others, frame);
    if (!found) return false;
    label.last = found.off;
    taken.push(found.box);
    label.element.style.transform = `translate(${Math.round(found.box.left)}px, ${Math.round(found.box.top)}px)`;
    const { left, top, right, bottom } = found.box;
    label.box = found.box;
    label.gap = Math.hypot((left + right) / 2 - x, (top + bottom) / 2 - y);
    const [toX, toY] = [Math.min(Math.max(x, left), right), Math.min(Math.max(y, top), bottom)];
    for (const [name, value] of [["x1", x], ["y1", y], ["x2", toX], ["y2", toY]]) {
      label.leader.setAttribute(name, value.toFixed(1));
    }
    return true;
  }

  #headBox(frame, k) {
    const head = this.heads[k];
    if (!head) return [];
    head.style.transform = `translate(${frame.left}px, ${frame.top}px)`;
    head.style.width = `${frame.wide}px`;
    const { left, top, wide } = frame;
    return [{ left, top, right: left + wide, bottom: top + head.offsetHeight }];
  }
}

/** What stands before the figures: "through the corner ..., at the back left". */
export function shortWords(words) {
  const stop = words.lastIndexOf(": ");
  return stop > 0 ? words.slice(0, stop) : words;
}

/** Where an element in a corner of the picture lies. */
function boxOf(element, from) {
  const { left, top, right, bottom, width } = element.getBoundingClientRect();
  if (!width) return null;
  return { left: left - from.left, top: top - from.top, right: right - from.left, bottom: bottom - from.top };
}

function far(label) {
  return label.gap > (label.kind === "leak" ? 8 : 20);
}

function middle(edge) {
  return edge[Math.floor(edge.length / 2)].map((one, i) => {
    const before = edge[Math.max(Math.floor(edge.length / 2) - 1, 0)];
    return (one + before[i]) / 2;
  });
}
