// Amounts on surfaces: triangles in the colours of their values, each lying on its piece and going with it.

import { BufferAttribute, BufferGeometry, DoubleSide, Mesh, ShaderMaterial } from "three";

import { plain } from "./strips.js";

const VERTEX = `
  attribute vec3 shade;
  varying vec3 shown;
  void main() {
    vec4 here = modelViewMatrix * vec4(position, 1.0);
    here.xyz -= normalize(here.xyz) * 2e-4; // over its own sheet, under the lines on it
    shown = shade;
    gl_Position = projectionMatrix * here;
  }`;

const FRAGMENT = `
  varying vec3 shown;
  void main() {
    gl_FragColor = vec4(shown, 1.0);
  }`;

/** The meshes of a field by the number of the piece that they lie on. */
export function amountsOf(field, ramp) {
  const rows = new Map();
  field.piece.forEach((piece, row) => {
    if (!rows.has(piece)) rows.set(piece, []);
    rows.get(piece).push(row);
  });
  const shades = ramp.map(plain);
  return new Map([...rows].map(([piece, own]) => [piece, meshOf(field, own, shades)]));
}

function meshOf(field, rows, shades) {
  const [points, colours] = [new Float32Array(9 * rows.length), new Float32Array(9 * rows.length)];
  rows.forEach((row, k) => {
    points.set(field.triangles.subarray(9 * row, 9 * row + 9), 9 * k);
    const shade = shadeOf(share(field, field.values[row]), shades);
    for (let corner = 0; corner < 3; corner++) colours.set(shade, 9 * k + 3 * corner);
  });
  const geometry = new BufferGeometry();
  geometry.setAttribute("position", new BufferAttribute(points, 3));
  geometry.setAttribute("shade", new BufferAttribute(colours, 3));
  const look = { vertexShader: VERTEX, fragmentShader: FRAGMENT, side: DoubleSide };
  const mesh = new Mesh(geometry, new ShaderMaterial(look));
  mesh.visible = false;
  return mesh;
}

/** Where a value stands between the least and the greatest that is shown: 0 to 1. */
export function share({ low, high, log }, value) {
  const scale = log ? (one) => Math.log(Math.max(one, 1e-12)) : (one) => one;
  return Math.min(Math.max((scale(value) - scale(low)) / (scale(high) - scale(low) || 1), 0), 1);
}

function shadeOf(place, shades) {
  const along = place * (shades.length - 1);
  const first = Math.min(Math.floor(along), shades.length - 2);
  return shades[first].map((one, i) => one + (along - first) * (shades[first + 1][i] - one));
}
