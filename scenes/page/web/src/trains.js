// Where drops are when: a train of them along every path, each where the film has brought it by then.

const MOST = 1000; // drops at a time
const GOLDEN = 0.6180339887; // trains of neighbouring paths are out of step

export class Trains {
  /** paths: start (k + 1), points (n, 3), time (n) [s since the drop landed], enters (k): row where it
   *  gets in, that after its last for one that stays outside; wanted: about how many drops at a time. */
  constructor({ start, points, time, enters }, wanted) {
    this.paths = { start, points, time, enters };
    let total = 0;
    for (let k = 0; k + 1 < start.length; k++) total += time[start[k + 1] - 1] - time[start[k]];
    this.apart = Math.max(total / wanted, 1e-3); // seconds from one drop of a path to the next
    this.places = [new Float32Array(3 * MOST), new Float32Array(3 * MOST)];
  }

  /** Writes the place of every drop at a time [s] to `places`: those outside, those behind.
   *  Gives how many there are of each. */
  at(now) {
    const { start, time, enters } = this.paths;
    const count = [0, 0];
    for (let k = 0; k + 1 < start.length; k++) {
      const [first, last] = [start[k], start[k + 1] - 1];
      const entered = enters[k] <= last ? time[enters[k]] : Infinity;
      const begun = (now + this.apart * ((k * GOLDEN) % 1)) % this.apart;
      for (let t = time[first] + begun; t <= time[last] && count[0] + count[1] < MOST; t += this.apart) {
        const which = t >= entered ? 1 : 0;
        this.#place(first, last, t, this.places[which], 3 * count[which]);
        count[which] += 1;
      }
    }
    return count;
  }

  #place(first, last, t, to, at) {
    const { time, points } = this.paths;
    let [low, high] = [first, last];
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (time[middle] <= t) low = middle;
      else high = middle;
    }
    const span = time[high] - time[low];
    const share = span > 0 ? (t - time[low]) / span : 0;
    for (let i = 0; i < 3; i++) {
      const from = points[3 * low + i];
      to[at + i] = from + share * (points[3 * high + i] - from);
    }
  }
}
