// Lines as flat strips, as wide on the screen as they should be. A strip lies in the plane of its sheet, so
// that a sheet 1 mm above hides it and its own never does; a line of the graphics card can't promise that.

import { BufferAttribute, BufferGeometry, DoubleSide, ShaderMaterial, Sphere, Vector3 } from "three";

const VERTEX = `
  attribute vec3 along;
  attribute vec3 across;
  attribute float side;
  attribute float run;
  uniform float width, pixel, lift, liftPixels;
  varying float where;
  void main() {
    vec4 here = modelViewMatrix * vec4(position, 1.0);
    float metres = -here.z * pixel;
    vec3 towards = normalize(-here.xyz);
    vec3 flatly = mat3(modelViewMatrix) * across;
    vec3 aside = vec3(0.0);
    if (dot(flatly, flatly) > 0.5) {
      aside = flatly / max(length(flatly - towards * dot(flatly, towards)), 0.2);
    } else {
      aside = cross(mat3(modelViewMatrix) * along, towards);
      aside /= max(length(aside), 1e-6);
    }
    here.xyz += aside * side * width * metres + towards * (lift + liftPixels * metres);
    where = run;
    gl_Position = projectionMatrix * here;
  }`;

const FRAGMENT = `
  uniform vec3 colour;
  uniform float opacity, dash;
  varying float where;
  void main() {
    if (dash > 0.0 && mod(where, dash) > dash * 0.55) discard;
    gl_FragColor = vec4(colour, opacity);
  }`;

const LIFT = 4e-4; // metres: over its own sheet, under the next one 1 mm above

/** width: pixels of the page; dashed: the stretch of a dash follows the distance (see `fitted`). */
export function stripMaterial({ colour, width, opacity = 1, lift = LIFT, liftPixels = 0, dashed = false, ...more }) {
  const [red, green, blue] = plain(colour);
  return new ShaderMaterial({
    vertexShader: VERTEX,
    fragmentShader: FRAGMENT,
    side: DoubleSide,
    transparent: opacity < 1,
    uniforms: {
      colour: { value: new Vector3(red, green, blue) },
      opacity: { value: opacity },
      width: { value: width },
      pixel: { value: 0.001 },
      lift: { value: lift },
      liftPixels: { value: liftPixels },
      dash: { value: 0 },
    },
    defines: dashed ? { DASHED: 1 } : {},
    ...more,
  });
}

/** Tells strips how large a pixel is: metres a pixel at 1 m, and at the point that is looked at. */
export function fitted(material, pixel, there) {
  material.uniforms.pixel.value = pixel;
  if (material.defines.DASHED) material.uniforms.dash.value = 2 ** Math.round(Math.log2(there * 13));
}

/** Red, green and blue (0 to 1) as the screen has them. */
export function plain(colour) {
  const value = Number.parseInt(colour.slice(1), 16);
  return [(value >> 16) / 255, ((value >> 8) & 255) / 255, (value & 255) / 255];
}

/** Gathers strips: each from one point to another, in a plane (`across` a unit vector in it) or facing the
 *  viewer (`across` null), from `left` to `right` of its line in parts of its width. */
export class Strips {
  constructor() {
    this.position = [];
    this.along = [];
    this.across = [];
    this.side = [];
    this.run = [];
    this.index = [];
  }

  add(from, to, across, left, right, start = 0) {
    const step = [to[0] - from[0], to[1] - from[1], to[2] - from[2]];
    const length = Math.hypot(...step);
    if (length < 1e-7) return start;
    const along = step.map((one) => one / length);
    const first = this.side.length;
    for (const [point, run] of [[from, start], [to, start + length]]) {
      for (const side of [left, right]) {
        this.position.push(...point);
        this.along.push(...along);
        this.across.push(...(across ?? [0, 0, 0]));
        this.side.push(side);
        this.run.push(run);
      }
    }
    this.index.push(first, first + 1, first + 2, first + 2, first + 1, first + 3);
    return start + length;
  }

  geometry() {
    const made = new BufferGeometry();
    for (const [name, size] of [["position", 3], ["along", 3], ["across", 3], ["side", 1], ["run", 1]]) {
      made.setAttribute(name, new BufferAttribute(new Float32Array(this[name]), size));
    }
    made.setIndex(this.index);
    made.boundingSphere = new Sphere(new Vector3(), Infinity);
    return made;
  }
}
