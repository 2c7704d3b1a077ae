// What is drawn of one detail: its pieces with the amounts on them, its water, the edges of short laps.

import { Color, Group, Mesh, Scene, Vector3 } from "three";

import { amountsOf } from "./amounts.js";
import { Drops } from "./drops.js";
import { faceMaterial, flatFaces } from "./faces.js";
import { outline } from "./outline.js";
import { fitted, stripMaterial, Strips } from "./strips.js";
import { waysOf } from "./ways.js";

const LAP = 2.5; // half the width of a short lap's edge, in pixels
const THROUGH = 0.16; // how much of the covering is left when it is seen through

export class Detail {
  /** values: one of the page's `details`, its arrays as numbers. */
  constructor(values, colours, ramp) {
    this.values = values;
    this.colours = colours;
    this.scene = new Scene();
    this.scene.background = new Color(colours.sky);
    this.pieces = values.pieces.map((piece) => this.#piece(piece));
    this.ways = waysOf(values, colours);
    this.drops = new Drops(values, colours);
    this.water = new Group();
    this.water.add(...this.ways, ...this.drops.meshes);
    this.laps = values.laps.map((lap) => shortLap(lap, colours));
    this.scene.add(this.water, ...this.laps);
    values.fields.forEach((field, number) => this.#amounts(field, number, ramp));
    this.steps = Math.max(0, ...values.pieces.map((piece) => piece.turn));
  }

  /** How pieces stand: names that are off, how many flashings are on, how far apart (0 to 1), whether the
   *  covering is seen through, whether ways are shown, which field (-1: none). */
  stand({ off, on, apart, through, ways, field }) {
    for (const piece of this.pieces) {
      const { name, turn, role, apart: shift } = piece.values;
      piece.group.visible = !off.has(name) && turn <= on;
      piece.group.position.fromArray(shift).multiplyScalar(apart);
      const own = field < 0 ? piece.values.colour : this.colours.plain;
      piece.mesh.material.uniforms.colour.value.set(own);
      if (role === "covering") seenThrough(piece, through);
      for (const [number, mesh] of piece.amounts) mesh.visible = number === field && !piece.mesh.material.transparent;
    }
    this.water.visible = apart === 0;
    this.ways.forEach((way, k) => {
      way.visible = ways && (k > 1 || field < 0); // lines of outside water would hide the amounts under them
    });
    for (const lap of this.laps) lap.visible = apart === 0;
  }

  /** The name of the last flashing that is on, of so many. */
  lastOn(on) {
    return this.values.pieces.find((piece) => piece.turn > 0 && piece.turn === Math.min(on, this.steps));
  }

  /** Before drawing: pixel [m a pixel at 1 m], there [m a pixel where the viewer looks], scale [device
   *  pixels in one of the page], high [pixels of the page], and the place of the viewer. */
  readied({ pixel, there, scale, high, from, aside }) {
    const lamp = new Vector3().copy(from).add(aside).normalize();
    for (const { lines, mesh } of this.pieces) {
      fitted(lines.material, pixel, there);
      mesh.material.uniforms.lamp.value.copy(lamp);
    }
    for (const one of [...this.ways, ...this.laps]) fitted(one.material, pixel, there);
    for (const { material } of this.drops.meshes) {
      material.uniforms.pixel.value = pixel;
      material.uniforms.size.value = material.uniforms.base.value * scale * Math.min(Math.max(high / 480, 0.65), 1);
    }
  }

  dispose() {
    this.scene.traverse((one) => {
      one.geometry?.dispose();
      one.material?.dispose();
    });
  }

  #piece(values) {
    const group = new Group();
    const mesh = new Mesh(flatFaces(values.triangles), faceMaterial(values.colour));
    const edge = values.role === "covering" ? this.colours.covering_edge : this.colours.sheet_edge;
    const lines = new Mesh(
      outline(values.triangles, values.rims, values.folds),
      stripMaterial({ colour: edge, width: 1, transparent: true }),
    );
    lines.frustumCulled = false;
    lines.renderOrder = 1;
    mesh.userData.piece = values;
    group.add(mesh, lines);
    this.scene.add(group);
    return { values, group, mesh, lines, amounts: new Map() };
  }

  #amounts(field, number, ramp) {
    for (const [k, mesh] of amountsOf(field, ramp)) {
      this.pieces[k].amounts.set(number, mesh);
      this.pieces[k].group.add(mesh);
    }
  }
}

function seenThrough({ mesh, lines }, through) {
  mesh.material.transparent = through;
  mesh.material.uniforms.opacity.value = through ? THROUGH : 1;
  mesh.material.depthWrite = !through;
  lines.material.uniforms.opacity.value = through ? 0.4 : 1;
}

function shortLap(lap, colours) {
  const strips = new Strips();
  for (let k = 0; k + 1 < lap.edge.length; k++) strips.add(lap.edge[k], lap.edge[k + 1], null, -1, 1);
  const look = { colour: colours.short_lap, width: LAP, liftPixels: 3, depthWrite: false, transparent: true };
  const mesh = new Mesh(strips.geometry(), stripMaterial(look));
  mesh.renderOrder = 3;
  mesh.frustumCulled = false;
  return mesh;
}

/** Corners of what a view must hold: eight points. */
export function cornersOf(target) {
  const [low, high] = target;
  const corners = [];
  for (const x of [low[0], high[0]]) {
    for (const y of [low[1], high[1]]) for (const z of [low[2], high[2]]) corners.push(new Vector3(x, y, z));
  }
  return corners;
}
