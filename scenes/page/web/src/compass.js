// The key in the corner: which way is down the slope, and the wind, as they look from here.

import { Vector3 } from "three";

import { el, svg } from "./dom.js";

const ARM = 20; // pixels, when seen from the side

export class Compass {
  constructor(app) {
    this.app = app;
    this.element = el("ul", { class: "compass" });
    this.arrows = [];
    app.view.addEventListener("drawn", () => this.#turned());
  }

  show() {
    const { say, values } = this.app;
    const [{ fall, wind }] = values.details;
    this.arrows = [];
    const rows = [];
    if (fall) rows.push(this.#row(fall, "fall", say("fall")));
    if (wind) rows.push(this.#row(wind.to, "wind", wind.words));
    this.element.hidden = rows.length === 0;
    this.element.replaceChildren(...rows);
  }

  #row(direction, kind, words) {
    const shaft = svg("path", { class: kind });
    const drawn = svg("svg", { viewBox: "-24 -24 48 48", width: 40, height: 40, "aria-hidden": "true" }, shaft);
    this.arrows.push({ shaft, direction: new Vector3(...direction) });
    return el("li", {}, drawn, el("span", {}, words));
  }

  #turned() {
    const { camera } = this.app.view.eye;
    for (const { shaft, direction } of this.arrows) {
      const seen = direction.clone().transformDirection(camera.matrixWorldInverse);
      const length = Math.hypot(seen.x, seen.y);
      const arm = ARM * Math.max(length, 0.15);
      const [x, y] = length > 1e-6 ? [seen.x / length, -seen.y / length] : [0, 1];
      const at = (along, aside) => `${(x * along - y * aside).toFixed(1)} ${(y * along + x * aside).toFixed(1)}`;
      shaft.setAttribute(
        "d",
        `M${at(-arm, 0)}L${at(arm, 0)}M${at(arm - 8, 5)}L${at(arm, 0)}L${at(arm - 8, -5)}`,
      );
    }
  }
}
