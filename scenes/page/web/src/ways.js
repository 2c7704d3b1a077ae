// The ways of the water: lines that stay where they are. What gets behind is thin up to its way in, bold from
// there on, and dashed where a sheet hides it.

import { GreaterDepth, Mesh } from "three";

import { Nearest } from "./nearest.js";
import { Strips, stripMaterial } from "./strips.js";

const OUTSIDE = 0.55; // half the width, in pixels
const COMING = 0.5;
const BEHIND = 1.3;
const MOST_OUTSIDE = 170; // lines drawn: more would paint the roof solid
const MOST_BEHIND = 60;
const WET = 5e-4; // metres towards the viewer: water lies on its sheet, and under the next one

/** Meshes of the ways of a detail, with their materials. */
export function waysOf(detail, colours) {
  const { start, points, behind, leak } = detail.paths;
  const nearest = new Nearest(joined(detail.pieces.map((piece) => piece.triangles)));
  const [outside, coming, gone] = [new Strips(), new Strips(), new Strips()];
  const all = Array.from({ length: start.length - 1 }, (_, k) => k);
  for (const k of evenly(all.filter((one) => !behind[one]), MOST_OUTSIDE)) {
    faced(outside, points, start[k], start[k + 1]);
  }
  for (const k of evenly(all.filter((one) => behind[one]), MOST_BEHIND)) {
    const own = detail.leaks.filter((one) => one.number === leak[k]);
    const enters = wayIn(points, start[k], start[k + 1], own.length ? own : detail.leaks);
    faced(coming, points, start[k], enters + 1);
    laidFlat(gone, points, enters, start[k + 1], nearest);
  }
  const before = { lift: WET, liftPixels: 1, depthWrite: false };
  const after = { colour: colours.behind, width: BEHIND, lift: WET, depthWrite: false };
  const bold = gone.geometry();
  return [
    lines(outside.geometry(), 4, { ...before, colour: colours.water, width: OUTSIDE, opacity: 0.5 }),
    lines(coming.geometry(), 5, { ...before, colour: colours.behind, width: COMING, opacity: 0.65 }),
    lines(bold, 6, { ...after, dashed: true, opacity: 0.9, depthFunc: GreaterDepth }),
    lines(bold, 6, after),
  ];
}

function evenly(rows, most) {
  if (rows.length <= most) return rows;
  return Array.from({ length: most }, (_, k) => rows[Math.floor((k * (rows.length - 1)) / (most - 1))]);
}

/** The row of a path's point that is nearest to the place of a leak. */
function wayIn(points, first, stop, leaks) {
  let [best, least] = [first, Infinity];
  for (const { point } of leaks) {
    for (let row = first; row < stop; row++) {
      const away = Math.hypot(...point.map((one, i) => one - points[3 * row + i]));
      if (away < least) [best, least] = [row, away];
    }
  }
  return best;
}

function lines(geometry, order, look) {
  const mesh = new Mesh(geometry, stripMaterial(look));
  mesh.renderOrder = order;
  mesh.frustumCulled = false;
  return mesh;
}

function faced(strips, points, first, stop) {
  let run = 0;
  for (let at = 3 * first; at < 3 * (stop - 1); at += 3) {
    run = strips.add(points.subarray(at, at + 3), points.subarray(at + 3, at + 6), null, -1, 1, run);
  }
}

/** In the plane of the sheet that each stretch runs on. Measured from its end, where many ways are one, so
 *  that the dashes of all fall together. */
function laidFlat(strips, points, first, stop, nearest) {
  let run = 0;
  for (let at = 3 * first; at < 3 * (stop - 1); at += 3) {
    run -= Math.hypot(...[0, 1, 2].map((i) => points[at + 3 + i] - points[at + i]));
  }
  const normal = [0, 0, 0];
  for (let at = 3 * first; at < 3 * (stop - 1); at += 3) {
    const from = points.subarray(at, at + 3);
    const to = points.subarray(at + 3, at + 6);
    const middle = [0, 1, 2].map((i) => (from[i] + to[i]) / 2);
    const on = nearest.normal(...middle, normal);
    run = strips.add(from, to, on ? sideways(from, to, normal) : null, -1, 1, run);
  }
}

function sideways(from, to, normal) {
  const [x, y, z] = [0, 1, 2].map((i) => to[i] - from[i]);
  const made = [y * normal[2] - z * normal[1], z * normal[0] - x * normal[2], x * normal[1] - y * normal[0]];
  const length = Math.hypot(...made);
  return length < 0.3 * Math.hypot(x, y, z) ? null : made.map((one) => one / length);
}

function joined(arrays) {
  const whole = new Float32Array(arrays.reduce((sum, one) => sum + one.length, 0));
  let at = 0;
  for (const one of arrays) {
    whole.set(one, at);
    at += one.length;
  }
  return whole;
}
