// The ways of the water: lines that stay where they are. What comes to a leak is bold, and from its way in on
// of another colour, dashed where a sheet hides it. Water behind a flashing that comes out again is dashed.

import { GreaterDepth, Mesh } from "three";

import { Nearest } from "./nearest.js";
import { Strips, stripMaterial } from "./strips.js";

const OUTSIDE = 0.55; // half the width, in pixels
const COMING = 1.2;
const BEHIND = 1.3;
const UNDER = 1.1;
const MOST_OUTSIDE = 170; // lines drawn: more would paint the roof solid
const MOST_BEHIND = 60;
const WET = 5e-4; // metres towards the viewer: water lies on its sheet, and under the next one
const OVER = 0.04; // and so far before a sheet that lies close over it

/** Whether the path k ends behind the flashings. */
export function getsIn({ start, enters }, k) {
  return enters[k] < start[k + 1];
}

/** Meshes of the ways of a detail, with their materials: first those that fields would be hidden by. */
export function waysOf(detail, colours) {
  const { start, points, enters, under } = detail.paths;
  const nearest = new Nearest(joined(detail.pieces.map((piece) => piece.triangles)));
  const [outside, below, coming, gone] = [new Strips(), new Strips(), new Strips(), new Strips()];
  const all = Array.from({ length: start.length - 1 }, (_, k) => k);
  for (const k of evenly(all.filter((one) => !getsIn(detail.paths, one)), MOST_OUTSIDE)) {
    faced(outside, points, start[k], start[k + 1]);
    for (const [first, stop] of runs(under, start[k], start[k + 1] - 1)) {
      laidFlat(below, points, first, stop + 1, nearest);
    }
  }
  for (const k of evenly(all.filter((one) => getsIn(detail.paths, one)), MOST_BEHIND)) {
    faced(coming, points, start[k], enters[k] + 1);
    laidFlat(gone, points, enters[k], start[k + 1], nearest);
  }
  const before = { lift: WET, liftPixels: 1, depthWrite: false };
  const after = { colour: colours.behind, width: BEHIND, lift: WET, depthWrite: false };
  const covered = { colour: colours.water, width: UNDER, lift: OVER, depthWrite: false, dashed: true };
  const bold = gone.geometry();
  return [
    lines(outside.geometry(), 4, { ...before, colour: colours.water, width: OUTSIDE, opacity: 0.5 }),
    lines(below.geometry(), 5, covered),
    lines(coming.geometry(), 5, { ...before, colour: colours.water, width: COMING }),
    lines(bold, 6, { ...after, dashed: true, opacity: 0.9, depthFunc: GreaterDepth }),
    lines(bold, 6, after),
  ];
}

/** The unbroken runs of flags from `first` to before `stop`: pairs of where each begins and ends. */
function runs(flags, first, stop) {
  const found = [];
  for (let row = first; row < stop; row++) {
    if (!flags[row]) continue;
    const last = found.at(-1);
    if (last?.[1] === row) last[1] = row + 1;
    else found.push([row, row + 1]);
  }
  return found;
}

function evenly(rows, most) {
  if (rows.length <= most) return rows;
  return Array.from({ length: most }, (_, k) => rows[Math.floor((k * (rows.length - 1)) / (most - 1))]);
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
