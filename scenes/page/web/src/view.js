// One renderer, one viewer, one or two pictures beside each other. Draws only when something has changed.

import { Vector3, WebGLRenderer } from "three";

import { cornersOf } from "./detail.js";
import { el, set } from "./dom.js";
import { Eye } from "./eye.js";
import { Pace } from "./pace.js";
import { Seen } from "./seen.js";

const SHARPEST = 2; // device pixels in one of the page, at most
const PRINTED = 2; // the same, on paper
const TALLEST = 1.1; // times its width a printed picture is high
const REST = 160; // milliseconds without a move, before letters look for a better place

export class View extends EventTarget {
  /** surface: holds the canvas, and the marks over it. Throws where the browser can't draw. */
  constructor(surface) {
    super();
    this.surface = surface;
    this.details = [];
    this.frames = 0;
    this.size = { wide: 1, high: 1 };
    this.wanted = false;
    this.moving = () => false;
    this.pace = new Pace();
    this.seen = new Seen();
    this.#begin(true);
    this.eye = new Eye(surface, () => this.#moved());
    new ResizeObserver(() => this.resized()).observe(surface);
    this.loop = (now) => this.#frame(now);
  }

  /** What is drawn from now on; the viewer stays where they are. */
  show(details) {
    this.details = details;
    const corners = details.flatMap((detail) => cornersOf(detail.values.target));
    this.centre = corners.reduce((sum, one) => sum.addScaledVector(one, 1 / corners.length), new Vector3());
    this.radius = Math.max(...details.flatMap((detail) => reaches(detail, this.centre)));
    this.#sized();
    this.eye.hold(corners);
    this.#moved();
  }

  /** Draw again soon. */
  ask() {
    if (this.wanted) return;
    this.wanted = true;
    requestAnimationFrame(this.loop);
  }

  /** The pictures, in pixels of the page from the upper left corner. */
  get panes() {
    const { wide, high } = this.size;
    if (this.details.length < 2) return [{ left: 0, top: 0, wide, high }];
    if (Math.min(wide / 2, high) >= Math.min(wide, high / 2)) {
      const half = wide / 2;
      return [{ left: 0, top: 0, wide: half, high }, { left: half, top: 0, wide: wide - half, high }];
    }
    const half = high / 2;
    return [{ left: 0, top: 0, wide, high: half }, { left: 0, top: half, wide, high: high - half }];
  }

  resized() {
    if (!this.#sized()) return;
    this.draw();
    this.#rest();
  }

  /** Fits the picture to its place; whether there is one. */
  #sized() {
    const { clientWidth, clientHeight } = this.surface;
    if (!clientWidth || !clientHeight) return false;
    this.size = { wide: clientWidth, high: clientHeight };
    this.renderer.setPixelRatio(this.fine ? Math.min(window.devicePixelRatio || 1, SHARPEST) : 1);
    this.renderer.setSize(clientWidth, clientHeight, false);
    const [frame] = this.panes;
    this.eye.camera.aspect = frame.wide / frame.high;
    return true;
  }

  /** Draws now, for a picture to be kept. */
  draw() {
    if (!this.details.length) return;
    const { camera } = this.eye;
    this.eye.clip(this.centre, this.radius);
    camera.updateMatrixWorld();
    const frames = this.panes;
    const pixel = (2 * Math.tan((camera.fov * Math.PI) / 360)) / frames[0].high;
    const there = pixel * camera.position.distanceTo(this.eye.controls.target);
    const scale = this.renderer.getPixelRatio();
    const aside = new Vector3(-0.6, 0.5, 0).applyQuaternion(camera.quaternion);
    const whole = this.size.high;
    this.renderer.setScissorTest(true);
    this.details.forEach((detail, k) => {
      const { left, top, wide, high } = frames[k];
      detail.readied({ pixel, there, scale, high, from: camera.position, aside });
      this.renderer.setViewport(left, whole - top - high, wide, high);
      this.renderer.setScissor(left, whole - top - high, wide, high);
      this.renderer.render(detail.scene, camera);
    });
    this.frames += 1;
    this.dispatchEvent(new Event("drawn"));
  }

  /** Where a point stands in a picture of its own, in pixels of the page. */
  place(point, frame) {
    const shown = point.clone().project(this.eye.camera);
    return [frame.left + ((shown.x + 1) / 2) * frame.wide, frame.top + ((1 - shown.y) / 2) * frame.high, shown.z];
  }

  /** Every picture as it stands, sharp enough for paper and not much taller than wide, as the address of an
   *  image; paint: called with a copy's context, and the number of the picture. */
  pictures(paint) {
    const before = this.renderer.getPixelRatio();
    this.#sharp(PRINTED);
    const made = this.panes.map((pane, k) => {
      const high = Math.min(pane.high, TALLEST * pane.wide);
      const cut = (pane.high - high) / 2;
      const copy = el("canvas", { width: Math.round(pane.wide * PRINTED), height: Math.round(high * PRINTED) });
      const context = copy.getContext("2d");
      context.drawImage(this.canvas, -pane.left * PRINTED, -(pane.top + cut) * PRINTED);
      context.setTransform(PRINTED, 0, 0, PRINTED, -pane.left * PRINTED, -(pane.top + cut) * PRINTED);
      paint(context, k);
      return copy.toDataURL("image/png");
    });
    this.#sharp(before);
    return made;
  }

  #sharp(scale) {
    this.renderer.setPixelRatio(scale);
    this.renderer.setSize(this.size.wide, this.size.high, false);
    this.draw();
  }

  /** The piece and the point under a pixel of the page: {k, piece, point}, or null. */
  under(x, y) {
    const k = this.panes.findIndex(
      ({ left, top, wide, high }) => x >= left && x < left + wide && y >= top && y < top + high,
    );
    if (k < 0 || !this.details[k]) return null;
    const { left, top, wide, high } = this.panes[k];
    const pieces = this.details[k].pieces;
    const hit = this.seen.hit(pieces, this.eye.camera, ((x - left) / wide) * 2 - 1, 1 - ((y - top) / high) * 2);
    return hit && { k, piece: hit.object.userData.piece, point: hit.point };
  }

  /** Looks at a picture: for every piece, where it is seen best; and how much of a box [pixels of the page]
   *  would hide, from 0 (nothing but sky) to 1 (flashings alone). */
  looked(k) {
    const { anchors, worth } = this.seen.looked(this.renderer, this.details[k], this.eye.camera);
    const busy = (box) => {
      const { left, top, wide, high } = this.panes[k];
      const [across, down] = [(x) => (x - left) / wide, (y) => (y - top) / high];
      return worth(across(box.left), down(box.top), across(box.right), down(box.bottom));
    };
    return { anchors, busy };
  }

  #frame(now) {
    this.wanted = false;
    const turning = this.eye.step(now);
    const running = this.moving(now);
    this.draw();
    if (turning || running) {
      if (this.fine && this.pace.slow(now)) this.#plainer();
      this.ask();
    } else this.pace.rested();
  }

  #moved() {
    this.ask();
    this.#rest();
  }

  #rest() {
    clearTimeout(this.resting);
    this.resting = setTimeout(() => this.dispatchEvent(new Event("rested")), REST);
  }

  /** One pixel of the page for each of the picture, edges as they come: for slow machines. */
  #plainer() {
    const chosen = document.activeElement === this.canvas;
    this.renderer.dispose();
    this.canvas.remove();
    this.#begin(false);
    if (chosen) this.canvas.focus({ preventScroll: true });
    this.resized();
  }

  #begin(fine) {
    const before = this.canvas;
    this.canvas = el("canvas", { role: "img", tabindex: "0" });
    this.renderer = new WebGLRenderer({ canvas: this.canvas, antialias: fine, powerPreference: "low-power" });
    this.fine = fine;
    if (before) for (const name of ["aria-label", "aria-describedby"]) {
      if (before.hasAttribute(name)) set(this.canvas, { [name]: before.getAttribute(name) });
    }
    const { canvas } = this;
    canvas.addEventListener("webglcontextlost", () => canvas === this.canvas && this.dispatchEvent(new Event("lost")));
    canvas.addEventListener("webglcontextrestored", () => {
      this.dispatchEvent(new Event("found"));
      this.ask();
    });
    this.surface.prepend(this.canvas);
  }
}

/** How far the pieces of a detail reach from a point, apart or not. */
function reaches({ pieces }, centre) {
  return pieces.map(({ values }) => {
    const { triangles, apart } = values;
    let most = 0;
    for (let at = 0; at < triangles.length; at += 3) {
      const off = [0, 1, 2].map((i) => triangles[at + i] - centre.getComponent(i));
      most = Math.max(most, Math.hypot(...off));
    }
    return most + Math.hypot(...apart);
  });
}
