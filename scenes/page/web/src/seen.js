// Which piece is seen where: every piece drawn small in a colour of its own, and read back.

import { DoubleSide, NearestFilter, Raycaster, ShaderMaterial, Vector2, Vector3, WebGLRenderTarget } from "three";

const ACROSS = 120; // pixels of the small picture
const LEAST = 14; // of them a piece must fill to get its letter
const WORTH = { flashing: 1, stack: 0.35, covering: 0.2 }; // how much it matters to see a piece

export class Seen {
  constructor() {
    this.target = new WebGLRenderTarget(ACROSS, ACROSS, { minFilter: NearestFilter, magFilter: NearestFilter });
    this.materials = [];
    this.ray = new Raycaster();
  }

  /** anchors: a point [m] of each piece where it is seen best, nothing for those out of sight; worth: how much
   *  there is to see in a box (0 to 1 from the upper left corner), 0 for sky and 1 for flashings alone. */
  looked(renderer, detail, camera) {
    const high = Math.max(16, Math.round(ACROSS / camera.aspect));
    this.target.setSize(ACROSS, high);
    const pixels = this.#drawn(renderer, detail, camera, high);
    const best = deepest(pixels, ACROSS, high, detail.pieces.length);
    const anchors = detail.pieces.map((piece, k) => {
      if (!best[k]) return null;
      const x = ((best[k][0] + 0.5) / ACROSS) * 2 - 1;
      const y = ((best[k][1] + 0.5) / high) * 2 - 1;
      const hit = this.hit([piece], camera, x, y);
      return hit && hit.point.sub(piece.group.position);
    });
    const worths = [0, ...detail.pieces.map(({ values }) => WORTH[values.role] ?? WORTH.stack)];
    return { anchors, worth: (...box) => worthOf(pixels, high, worths, box) };
  }

  /** The first of some pieces under a point of the picture (-1 to 1 each way). */
  hit(pieces, camera, x, y) {
    this.ray.setFromCamera(new Vector2(x, y), camera);
    const meshes = pieces.filter((piece) => piece.group.visible).map((piece) => piece.mesh);
    return this.ray.intersectObjects(meshes, false)[0] ?? null;
  }

  /** Whether something stands more than `slack` metres before a point. */
  hidden(pieces, camera, point, slack) {
    const off = new Vector3().copy(point).sub(camera.position);
    const away = off.length();
    this.ray.set(camera.position, off.normalize());
    const meshes = pieces
      .filter((piece) => piece.group.visible && !piece.mesh.material.transparent)
      .map((piece) => piece.mesh);
    const first = this.ray.intersectObjects(meshes, false)[0];
    return first !== undefined && first.distance < away - slack;
  }

  #drawn(renderer, detail, camera, high) {
    const amounts = detail.pieces.flatMap((piece) => [...piece.amounts.values()]);
    const others = [detail.water, ...detail.laps, ...amounts].map((one) => [one, one.visible]);
    const { background } = detail.scene;
    for (const [one] of others) one.visible = false;
    detail.pieces.forEach((piece, k) => {
      piece.kept = [piece.mesh.material, piece.mesh.visible];
      piece.mesh.visible = !piece.mesh.material.transparent;
      piece.mesh.material = this.#material(k);
      piece.lines.visible = false;
    });
    detail.scene.background = null;
    renderer.setRenderTarget(this.target);
    renderer.setClearColor(0x000000, 1);
    renderer.clear();
    renderer.render(detail.scene, camera);
    const pixels = new Uint8Array(4 * ACROSS * high);
    renderer.readRenderTargetPixels(this.target, 0, 0, ACROSS, high, pixels);
    renderer.setRenderTarget(null);
    for (const piece of detail.pieces) {
      [piece.mesh.material, piece.mesh.visible] = piece.kept;
      piece.lines.visible = true;
    }
    detail.scene.background = background;
    for (const [one, visible] of others) one.visible = visible;
    return pixels;
  }

  #material(k) {
    this.materials[k] ??= new ShaderMaterial({
      vertexShader: "void main() { gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0); }",
      fragmentShader: "uniform float number; void main() { gl_FragColor = vec4(number / 255.0, 0.0, 0.0, 1.0); }",
      uniforms: { number: { value: k + 1 } },
      side: DoubleSide,
    });
    return this.materials[k];
  }
}

function worthOf(pixels, high, worths, [left, top, right, bottom]) {
  let [sum, count] = [0, 0];
  for (let y = Math.floor(top * high); y < bottom * high; y++) {
    for (let x = Math.floor(left * ACROSS); x < right * ACROSS; x++) {
      const at = (high - 1 - y) * ACROSS + x;
      sum += worths[pixels[4 * at]] ?? 0;
      count += 1;
    }
  }
  return count ? sum / count : 0;
}

/** Of each number in the red of some pixels, the pixel farthest from another number: [x, y]. */
function deepest(pixels, wide, high, count) {
  const depth = new Uint16Array(wide * high);
  const best = new Array(count).fill(null);
  const most = new Uint16Array(count);
  const filled = new Uint32Array(count);
  const same = (at, one) => (pixels[4 * at] === one ? depth[at] : 0);
  for (let y = 1; y < high - 1; y++) {
    for (let x = 1; x < wide - 1; x++) {
      const at = y * wide + x;
      const one = pixels[4 * at];
      if (one) depth[at] = 1 + Math.min(same(at - 1, one), same(at - wide, one));
    }
  }
  for (let y = high - 2; y > 0; y--) {
    for (let x = wide - 2; x > 0; x--) {
      const at = y * wide + x;
      const one = pixels[4 * at];
      if (!one) continue;
      depth[at] = Math.min(depth[at], 1 + Math.min(same(at + 1, one), same(at + wide, one)));
      filled[one - 1] += 1;
      if (depth[at] > most[one - 1]) [most[one - 1], best[one - 1]] = [depth[at], [x, y]];
    }
  }
  return best.map((one, k) => (filled[k] >= LEAST ? one : null));
}
