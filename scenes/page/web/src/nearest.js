// Which triangle lies at a point: a grid of cells, each with the triangles that reach into it.

const CELL = 0.05; // metres
const TOUCH = 0.002; // a drop that runs on a sheet is at most so far from it, in metres

export class Nearest {
  /** triangles: Float32Array, nine numbers each. */
  constructor(triangles) {
    this.triangles = triangles;
    this.normals = new Float32Array(triangles.length / 3);
    this.cells = new Map();
    for (let k = 0; k < triangles.length / 9; k++) {
      unitNormal(triangles, k, this.normals);
      this.#enter(k);
    }
  }

  /** Writes the unit normal of the sheet at a point to `to`; false where nothing is near. */
  normal(x, y, z, to) {
    const here = this.cells.get(key(cell(x), cell(y), cell(z)));
    let best = TOUCH;
    let found = -1;
    for (const k of here ?? []) {
      const away = this.#away(k, x, y, z);
      if (away < best) [best, found] = [away, k];
    }
    if (found < 0) return false;
    for (let i = 0; i < 3; i++) to[i] = this.normals[3 * found + i];
    return true;
  }

  #enter(k) {
    const low = [0, 0, 0];
    const high = [0, 0, 0];
    for (let i = 0; i < 3; i++) {
      const values = [0, 3, 6].map((corner) => this.triangles[9 * k + corner + i]);
      low[i] = cell(Math.min(...values) - TOUCH);
      high[i] = cell(Math.max(...values) + TOUCH);
    }
    for (let a = low[0]; a <= high[0]; a++) {
      for (let b = low[1]; b <= high[1]; b++) {
        for (let c = low[2]; c <= high[2]; c++) {
          if (this.#reaches(k, a, b, c)) this.#put(key(a, b, c), k);
        }
      }
    }
  }

  #put(name, k) {
    const there = this.cells.get(name);
    if (there) there.push(k);
    else this.cells.set(name, [k]);
  }

  /** Whether the triangle's plane comes near the cell. */
  #reaches(k, a, b, c) {
    const [t, n] = [this.triangles, this.normals];
    const middle = [(a + 0.5) * CELL, (b + 0.5) * CELL, (c + 0.5) * CELL];
    let off = 0;
    for (let i = 0; i < 3; i++) off += n[3 * k + i] * (middle[i] - t[9 * k + i]);
    return Math.abs(off) <= CELL * 0.8661 + TOUCH;
  }

  /** How far a point is from the triangle's plane, where it lies over the triangle. */
  #away(k, x, y, z) {
    const [t, n] = [this.triangles, this.normals];
    const [nx, ny, nz] = [n[3 * k], n[3 * k + 1], n[3 * k + 2]];
    const off = nx * (x - t[9 * k]) + ny * (y - t[9 * k + 1]) + nz * (z - t[9 * k + 2]);
    for (let i = 0; i < 3; i++) {
      const from = 9 * k + 3 * i;
      const to = 9 * k + 3 * ((i + 1) % 3);
      const [ex, ey, ez] = [t[to] - t[from], t[to + 1] - t[from + 1], t[to + 2] - t[from + 2]];
      const [px, py, pz] = [x - t[from], y - t[from + 1], z - t[from + 2]];
      const inside = nx * (ey * pz - ez * py) + ny * (ez * px - ex * pz) + nz * (ex * py - ey * px);
      if (inside < -TOUCH * Math.hypot(ex, ey, ez)) return Infinity;
    }
    return Math.abs(off);
  }
}

function cell(value) {
  return Math.floor(value / CELL);
}

function key(a, b, c) {
  return (a + 512) * 1048576 + (b + 512) * 1024 + (c + 512);
}

function unitNormal(t, k, to) {
  const at = 9 * k;
  const a = [t[at + 3] - t[at], t[at + 4] - t[at + 1], t[at + 5] - t[at + 2]];
  const b = [t[at + 6] - t[at], t[at + 7] - t[at + 1], t[at + 8] - t[at + 2]];
  const n = [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
  const length = Math.hypot(...n) || 1;
  for (let i = 0; i < 3; i++) to[3 * k + i] = n[i] / length;
}
