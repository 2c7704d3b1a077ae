// Under the picture: stop and go, and how fast.

import { el, newId, write } from "./dom.js";

const SPEEDS = ["5", "1", "0.5", "0.2", "0.1"];

export class Bar {
  constructor(app) {
    const { say } = app;
    this.app = app;
    const speed = newId();
    this.button = el("button", { type: "button", class: "play", onclick: () => app.play(!app.playing) });
    this.speed = el("select", { id: speed, onchange: () => app.setSpeed(Number(this.speed.value)) },
      ...SPEEDS.map((one) => el("option", { value: one, selected: one === "1" }, say(`speed.${one}`))));
    this.element = el("div", { class: "bar" },
      this.button,
      el("label", { for: speed }, say("speed")),
      this.speed);
    this.show();
  }

  show() {
    const { say, playing } = this.app;
    write(this.button, say(playing ? "play.stop" : "play.go"));
  }
}
