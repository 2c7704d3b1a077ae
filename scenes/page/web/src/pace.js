// How long pictures take, and whether they are too slow for a fine picture.

const SLOW = 70; // milliseconds a picture
const LOOKED_AT = 4;

export class Pace {
  constructor() {
    this.last = 0;
    this.taken = [];
  }

  /** Another picture was drawn at `now` [ms]; whether the last few were slow. */
  slow(now) {
    const span = now - this.last;
    this.last = now;
    if (span < 1000) this.taken.push(span);
    if (this.taken.length > LOOKED_AT) this.taken.shift();
    const middle = [...this.taken].sort((a, b) => a - b)[LOOKED_AT >> 1];
    return this.taken.length === LOOKED_AT && middle > SLOW;
  }

  /** After a rest the time since the last picture says nothing. */
  rested() {
    this.last = -Infinity;
  }
}
