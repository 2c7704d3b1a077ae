// The rims and folds of a piece as strips, each half in the plane of the face that it bounds.

import { Strips } from "./strips.js";

const RIM = 2.2;
const FOLD = 0.85;

/** A geometry for one material of width 1: rims are heavier than folds. All Float32Array of points. */
export function outline(triangles, rims, folds) {
  const faces = facesByEdge(triangles);
  const strips = new Strips();
  for (const [edges, width] of [[rims, RIM], [folds, FOLD]]) {
    for (let at = 0; at < edges.length; at += 6) {
      const from = edges.subarray(at, at + 3);
      const to = edges.subarray(at + 3, at + 6);
      const inward = (faces.get(edgeKey(from, to)) ?? []).map((third) => inwards(from, to, third));
      if (inward.length === 0) strips.add(from, to, null, -width / 2, width / 2);
      for (const one of inward) strips.add(from, to, one, 0, width);
    }
  }
  return strips.geometry();
}

/** The third corners of the faces at every edge. */
function facesByEdge(triangles) {
  const faces = new Map();
  for (let at = 0; at < triangles.length; at += 9) {
    const corners = [0, 3, 6].map((k) => triangles.subarray(at + k, at + k + 3));
    for (let k = 0; k < 3; k++) {
      const key = edgeKey(corners[k], corners[(k + 1) % 3]);
      if (!faces.has(key)) faces.set(key, []);
      faces.get(key).push(corners[(k + 2) % 3]);
    }
  }
  return faces;
}

function edgeKey(from, to) {
  const ends = [from, to].map((point) => Array.from(point, (value) => Math.round(value * 1e5)).join());
  return ends.sort().join(" ");
}

/** The unit vector across an edge, towards a face's third corner. */
function inwards(from, to, third) {
  const step = [0, 1, 2].map((i) => to[i] - from[i]);
  const away = [0, 1, 2].map((i) => third[i] - from[i]);
  const long = dot(step, step) || 1;
  const flat = away.map((one, i) => one - (step[i] * dot(step, away)) / long);
  const length = Math.hypot(...flat);
  return length < 1e-9 ? null : flat.map((one) => one / length);
}

function dot(a, b) {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}
