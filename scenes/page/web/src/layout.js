// Labels laid out so that none overlap: boxes in pixels, each as near to its point as there is room.

const GAP = 3;
const TURNS = 16;

/** A place for a box of a size at a point: the last place first, then the point itself (if `on`), then
 *  rings round it; with `busy`, the free place that hides least. Null where there is no room; with `must`,
 *  the best of what there is. */
export function placed({ point, size, on, must, last, rings, busy }, taken, frame) {
  const [wide, high] = size;
  const tries = [];
  if (last) tries.push(last);
  if (on) tries.push([0, 0]);
  for (const ring of rings) {
    for (let k = 0; k < TURNS; k++) {
      const turn = ((k % 2 ? -1 : 1) * Math.ceil(k / 2) * 2 * Math.PI) / TURNS - Math.PI / 4;
      tries.push([Math.cos(turn) * (ring + wide / 2), Math.sin(turn) * (ring + high / 2)]);
    }
  }
  let best = null;
  let least = Infinity;
  for (const [k, off] of tries.entries()) {
    const box = boxAt(point, off, size, must ? frame : null);
    if (!within(box, frame)) continue;
    let over = 0;
    for (const other of taken) over += overlap(box, other);
    if (over === 0 && (!busy || (last && k === 0))) return { box, off };
    const cost = over || -1 / (1 + busy(box) + k / (4 * tries.length));
    if (cost < least) [best, least] = [{ box, off }, cost];
  }
  return must || least < 0 ? best : null;
}

/** A box as wide and high as `size`, its middle `off` from a point; pushed into `frame` where one is given. */
export function boxAt([x, y], [dx, dy], [wide, high], frame = null) {
  let left = x + dx - wide / 2;
  let top = y + dy - high / 2;
  if (frame) {
    left = Math.min(Math.max(left, frame.left + GAP), frame.left + frame.wide - wide - GAP);
    top = Math.min(Math.max(top, frame.top + GAP), frame.top + frame.high - high - GAP);
  }
  return { left, top, right: left + wide, bottom: top + high };
}

function within(box, { left, top, wide, high }) {
  return box.left >= left && box.top >= top && box.right <= left + wide && box.bottom <= top + high;
}

function overlap(a, b) {
  const wide = Math.min(a.right, b.right) - Math.max(a.left, b.left) + GAP;
  const high = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) + GAP;
  return wide > 0 && high > 0 ? wide * high : 0;
}
