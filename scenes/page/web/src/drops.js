// Drops on their way, a train of them along every path at the speed of its film. What is outside is a
// full drop; what is behind the flashings is a ring, seen through everything.

import { BufferAttribute, BufferGeometry, Points, ShaderMaterial, Sphere, Vector3 } from "three";

import { plain } from "./strips.js";
import { Trains } from "./trains.js";

const WANTED = 520; // drops at a time

const VERTEX = `
  uniform float size, pixel, nearer;
  void main() {
    vec4 here = modelViewMatrix * vec4(position, 1.0);
    here.xyz += normalize(-here.xyz) * (5e-4 - here.z * pixel * nearer);
    gl_Position = projectionMatrix * here;
    gl_PointSize = size;
  }`;

const FRAGMENT = `
  uniform vec3 colour;
  uniform float hollow, opacity;
  void main() {
    float away = length(gl_PointCoord - 0.5) * 2.0;
    if (away > 1.0) discard;
    vec3 shown = away < hollow ? vec3(1.0) : colour;
    gl_FragColor = vec4(shown, opacity);
  }`;

export class Drops {
  constructor(detail, colours) {
    this.trains = new Trains(detail.paths, WANTED);
    const [outside, behind] = this.trains.places;
    const full = { size: 6, hollow: 0, nearer: 4, depthTest: true };
    const ring = { size: 9, hollow: 0.45, nearer: 5, depthTest: false };
    this.meshes = [cloud(outside, colours.water, full, 7), cloud(behind, colours.behind, ring, 8)];
    this.moved(0);
  }

  /** Puts every drop where it is at a time [s]. */
  moved(now) {
    this.trains.at(now).forEach((count, which) => {
      const { geometry } = this.meshes[which];
      geometry.setDrawRange(0, count);
      geometry.attributes.position.needsUpdate = true;
    });
  }
}

function cloud(places, colour, { size, hollow, nearer, depthTest }, order) {
  const geometry = new BufferGeometry();
  geometry.setAttribute("position", new BufferAttribute(places, 3));
  geometry.boundingSphere = new Sphere(new Vector3(), Infinity);
  const material = new ShaderMaterial({
    vertexShader: VERTEX,
    fragmentShader: FRAGMENT,
    depthTest,
    depthWrite: false,
    transparent: true,
    uniforms: {
      colour: { value: new Vector3(...plain(colour)) },
      size: { value: size },
      base: { value: size },
      pixel: { value: 0.001 },
      nearer: { value: nearer },
      hollow: { value: hollow },
      opacity: { value: 1 },
    },
  });
  const made = new Points(geometry, material);
  made.renderOrder = order;
  made.frustumCulled = false;
  return made;
}
