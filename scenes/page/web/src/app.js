// The page: what is shown and how it stands, and what every control of it does.

import { Vector3 } from "three";

import { Bar } from "./bar.js";
import { Compass } from "./compass.js";
import { Detail } from "./detail.js";
import { el, newId, write } from "./dom.js";
import { hands, keysList } from "./help.js";
import { Story } from "./leaks.js";
import { Legend } from "./legend.js";
import { Marks, shortWords } from "./marks.js";
import { Pieces } from "./pieces.js";
import { printed } from "./sheet.js";
import { Stand } from "./stand.js";
import { Tools } from "./tools.js";
import { View } from "./view.js";
import { headingOf } from "./words.js";

const INKS = {
  ink: "ink", quiet_ink: "quiet", rule_line: "line", sky: "sky", behind: "behind", good: "good", water: "water",
  short_lap: "lap",
}; // colours of the data, and what the style calls them
const CLOSE = 0.5; // how much nearer than the whole picture a place is looked at
const LONGEST_STEP = 1; // seconds that drops move at most from one picture to the next

export class App {
  constructor(values, say) {
    this.values = values;
    this.say = say;
    this.state = { off: new Set(), on: Infinity, apart: 0, through: false, ways: true, field: -1 };
    this.opened = null;
    this.clock = 0;
    this.speed = 1;
    for (const [name, ink] of Object.entries(INKS)) {
      document.documentElement.style.setProperty(`--${ink}`, values.colours[name]);
    }
    this.status = document.getElementById("status");
    this.picture = document.getElementById("picture");
    this.panel = document.getElementById("panel");
    this.surface = el("div", { class: "surface" });
    this.view = this.#viewOrNone();
    this.playing = Boolean(this.view) && !window.matchMedia("(prefers-reduced-motion: reduce)").matches;
    this.story = new Story(this);
    this.pieces = new Pieces(this);
    this.legend = new Legend(this);
    this.stand = values.kind === "stand" ? new Stand(this) : null;
    if (this.view) this.#drawn();
    else this.picture.append(el("p", { class: "no-picture" }, say("no_picture")));
    this.#filled();
    this.show(values);
    if (this.view) this.#begin();
    else this.story.openAll();
    printed(this, document.getElementById("sheet"));
    this.stand?.begin();
    document.documentElement.dataset.ready = "";
  }

  /** Shows these values from now on: the viewer stays, and so does what is switched on and off. */
  show(values) {
    this.values = values;
    this.story.show();
    this.stand?.show(values.details);
    this.pieces.show();
    this.legend.show();
    if (!this.view) return;
    for (const detail of this.details ?? []) detail.dispose();
    this.details = values.details.map((one) => new Detail(one, values.colours, values.ramp));
    for (const detail of this.details) detail.drops.moved(this.clock);
    this.#stood();
    this.view.show(this.details);
    this.marks.show();
    this.compass.show();
    this.tools.show();
    this.legend.field();
    this.view.canvas.setAttribute("aria-label", this.#label());
    const opened = this.opened;
    this.open(this.#leak(opened) ? opened : null, { quiet: true });
    this.opened = opened; // it may be there again after the next change
  }

  set(change) {
    Object.assign(this.state, change);
    this.marks.apart = this.state.apart;
    this.#stood();
    this.legend.field();
    this.view.ask();
    this.view.dispatchEvent(new Event("rested"));
  }

  play(on) {
    this.playing = on;
    this.last = null;
    this.bar.show();
    this.view.ask();
  }

  setSpeed(speed) {
    this.speed = speed;
    this.tell(`${this.say("speed")} ${this.say(`speed.${speed}`)}`);
  }

  /** Opens the reason of a leak {k, number}, or closes them all; goes there and says so unless `quiet`. */
  open(which, { focus = false, quiet = false } = {}) {
    const leak = this.#leak(which);
    this.opened = leak ? which : null;
    this.story.open(this.opened, focus, !quiet);
    // On the stand the first leak is called out by itself: what was changed is seen at once.
    const called = leak ?? (this.stand ? this.values.details[0].leaks[0] : null);
    this.marks?.callTo(which?.k ?? 0, called ?? null);
    if (!leak || quiet) return;
    this.tell(this.say("leak.opened", { number: leak.number, words: shortWords(leak.words) }));
    this.goTo(which.k, which.number);
  }

  goTo(k, number) {
    if (!this.view) return;
    if (this.state.apart > 0) this.tools.together();
    const leak = this.#leak({ k, number });
    const view = this.values.views.find((one) => one.name === leak.view) ?? this.values.views[0];
    const whole = this.view.eye.fitted(view);
    this.view.eye.fly({ ...whole, distance: whole.distance * CLOSE, target: leak.point });
  }

  nextLeak(step) {
    const all = this.values.details.flatMap((detail, k) => detail.leaks.map(({ number }) => ({ k, number })));
    if (!all.length) return;
    const now = all.findIndex((one) => one.k === this.opened?.k && one.number === this.opened?.number);
    const next = now < 0 && step < 0 ? all.length - 1 : (now + step + all.length) % all.length;
    this.open(all[next]);
  }

  lookFrom(name) {
    const view = this.values.views.find((one) => one.name === name);
    this.view.eye.fly(this.view.eye.fitted(view));
  }

  whole() {
    const { azimuth, elevation } = this.view.eye.place;
    this.view.eye.fly(this.view.eye.fitted({ azimuth, elevation }));
  }

  tapped(x, y) {
    const under = this.view.under(x, y);
    const words = under && this.say("piece.tapped", { letter: under.piece.letter, name: under.piece.legend });
    this.marks.name(under?.k ?? 0, words ?? "", under ? new Vector3().copy(under.point) : null);
    if (words) this.tell(words);
  }

  /** Says something to those who listen. */
  tell(words) {
    write(this.status, words);
  }

  /** The pictures as they stand, as addresses of images, one for each detail. */
  pictures() {
    return this.view ? this.view.pictures((...copy) => this.marks.paint(...copy)) : [];
  }

  #viewOrNone() {
    try {
      return new View(this.surface);
    } catch {
      return null;
    }
  }

  #drawn() {
    const over = el("div", { class: "over", role: "group", "aria-label": this.say("marks") });
    this.surface.append(over);
    this.marks = new Marks(this.view, this.say, over, (k, number) => this.open({ k, number }, { focus: true }));
    this.compass = new Compass(this);
    this.tools = new Tools(this);
    this.bar = new Bar(this);
    const whole = el("button", { type: "button", class: "whole", onclick: () => this.whole() }, this.say("look.whole"));
    this.surface.append(el("div", { class: "corners" }, this.compass.element, whole));
    this.marks.corners = [this.compass.element, whole];
    this.picture.append(this.surface, this.legend.scale, this.bar.element);
    hands(this, this.picture, this.surface);
    this.view.moving = (now) => this.#moving(now);
    this.view.addEventListener("drawn", () => this.#noted());
    const lost = el("p", { class: "lost", role: "alert", hidden: true }, this.say("picture_lost"));
    this.surface.append(lost);
    for (const name of ["lost", "found"]) {
      this.view.addEventListener(name, () => {
        lost.hidden = name === "found";
      });
    }
  }

  #filled() {
    const { say, values } = this;
    const keys = newId();
    const tools = [this.tools?.element, this.pieces.element, this.legend.element].filter(Boolean);
    const about = el("section", { class: "about" },
      el("h2", {}, say("cautions")),
      el("ul", {}, ...values.cautions.map((line) => el("li", {}, line))),
      el("p", { class: "quiet" }, say("made", { program: values.program })));
    const left = el("div", { class: "column" }, this.stand?.element, this.story.element);
    const right = el("div", { class: "column" }, ...tools, this.view ? keysList(say, keys) : null, about);
    if (this.stand) this.panel.append(this.stand.now);
    this.panel.append(el("div", { class: "columns" }, left, right));
    if (this.view) this.view.canvas.setAttribute("aria-describedby", keys);
  }

  /** At first all of it is seen, from where the first leak is in sight, with its reason open. */
  #begin() {
    const all = this.values.details.flatMap((detail, k) => detail.leaks.map((leak) => ({ k, leak })));
    const name = all[0]?.leak.view ?? this.values.views[0].name;
    const view = this.values.views.find((one) => one.name === name) ?? this.values.views[0];
    this.view.eye.place = this.view.eye.fitted(view);
    if (all[0] && !this.stand) this.open({ k: all[0].k, number: all[0].leak.number }, { quiet: true });
  }

  #stood() {
    for (const detail of this.details) detail.stand(this.state);
  }

  #moving(now) {
    if (!this.playing || this.state.apart > 0) return false;
    const span = this.last ? Math.min((now - this.last) / 1000, LONGEST_STEP) : 0;
    this.last = now;
    this.clock += span * this.speed;
    for (const detail of this.details) detail.drops.moved(this.clock);
    return true;
  }

  /** What the picture does, for whoever looks from outside. */
  #noted() {
    const { azimuth, elevation, distance, target } = this.view.eye.place;
    const { fine, frames } = this.view;
    const numbers = { azimuth, elevation, distance, clock: this.clock };
    for (const [name, value] of Object.entries(numbers)) this.picture.dataset[name] = value.toFixed(4);
    Object.assign(this.picture.dataset, { frames, fine, target: target.map((one) => one.toFixed(4)).join(" ") });
  }

  #leak(which) {
    return which && this.values.details[which.k]?.leaks.find((leak) => leak.number === which.number);
  }

  #label() {
    const [first, second] = this.values.details;
    if (!second) return this.say("picture_of", { title: first.title, verdict: first.verdict });
    return this.say("picture_of_two", {
      first: headingOf(first, this.say), first_verdict: first.verdict,
      second: headingOf(second, this.say), second_verdict: second.verdict,
    });
  }
}
