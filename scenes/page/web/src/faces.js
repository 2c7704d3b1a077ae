// Faces of sheets, both sides lit: from the sky, from a sun, and by a lamp that goes with the viewer, so that no
// wall is black. Faces are flat, so light is worked out at their corners, which slow machines are glad of.

import { BufferAttribute, BufferGeometry, Color, DoubleSide, ShaderMaterial, Vector3 } from "three";

const VERTEX = `
  uniform vec3 colour, lamp;
  varying vec3 front, back;
  const vec3 sun = vec3(-0.286, -0.429, 0.857);
  const vec3 below = vec3(0.69, 0.64, 0.59);
  vec3 seen(vec3 normal) {
    vec3 light = 0.5 * mix(below, vec3(1.0), 0.5 + 0.5 * normal.z);
    light += 0.25 * max(dot(normal, sun), 0.0) + 0.3 * max(dot(normal, lamp), 0.0);
    vec3 linear = min(colour * light, 1.0);
    return mix(12.92 * linear, 1.055 * pow(linear, vec3(1.0 / 2.4)) - 0.055, step(0.0031308, linear));
  }
  void main() {
    front = seen(normal);
    back = seen(-normal);
    gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
  }`;

const FRAGMENT = `
  uniform float opacity;
  varying vec3 front, back;
  void main() {
    gl_FragColor = vec4(gl_FrontFacing ? front : back, opacity);
  }`;

export function faceMaterial(colour) {
  return new ShaderMaterial({
    vertexShader: VERTEX,
    fragmentShader: FRAGMENT,
    side: DoubleSide,
    uniforms: {
      colour: { value: new Color(colour) },
      lamp: { value: new Vector3(0, 0, 1) },
      opacity: { value: 1 },
    },
  });
}

/** A geometry of triangles (Float32Array, nine numbers each), each with its own normal. */
export function flatFaces(triangles) {
  const geometry = new BufferGeometry();
  geometry.setAttribute("position", new BufferAttribute(triangles, 3));
  geometry.computeVertexNormals();
  return geometry;
}
