// Gzip unpacked by hand (RFC 1951 and 1952), for browsers that can't do it by themselves.

const LENGTH = [3, 4, 5, 6, 7, 8, 9, 10, 11, 13, 15, 17, 19, 23, 27, 31, 35, 43, 51, 59, 67, 83, 99, 115, 131,
  163, 195, 227, 258];
const LENGTH_BITS = [0, 0, 0, 0, 0, 0, 0, 0, 1, 1, 1, 1, 2, 2, 2, 2, 3, 3, 3, 3, 4, 4, 4, 4, 5, 5, 5, 5, 0];
const BACK = [1, 2, 3, 4, 5, 7, 9, 13, 17, 25, 33, 49, 65, 97, 129, 193, 257, 385, 513, 769, 1025, 1537, 2049,
  3073, 4097, 6145, 8193, 12289, 16385, 24577];
const BACK_BITS = [0, 0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 5, 5, 6, 6, 7, 7, 8, 8, 9, 9, 10, 10, 11, 11, 12, 12, 13, 13];
const ORDER = [16, 17, 18, 0, 8, 7, 9, 6, 10, 5, 11, 4, 12, 3, 13, 2, 14, 1, 15];

export function gunzip(bytes) {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const out = new Uint8Array(view.getUint32(bytes.length - 4, true));
  let at = afterHead(bytes);
  let held = 0;
  let count = 0;
  let size = 0;

  function bits(wanted) {
    while (count < wanted) {
      if (at >= bytes.length) throw new Error("cut short");
      held |= bytes[at++] << count;
      count += 8;
    }
    const value = held & ((1 << wanted) - 1);
    held >>>= wanted;
    count -= wanted;
    return value;
  }

  function symbol(code) {
    let value = 0;
    let first = 0;
    let index = 0;
    for (let length = 1; length < 16; length++) {
      value |= bits(1);
      const here = code.counts[length];
      if (value - first < here) return code.symbols[index + value - first];
      index += here;
      first = (first + here) << 1;
      value <<= 1;
    }
    throw new Error("no such code");
  }

  function block(lengths, backs) {
    for (let one = symbol(lengths); one !== 256; one = symbol(lengths)) {
      if (one < 256) {
        out[size++] = one;
        continue;
      }
      const length = LENGTH[one - 257] + bits(LENGTH_BITS[one - 257]);
      const far = symbol(backs);
      const back = BACK[far] + bits(BACK_BITS[far]);
      for (let k = 0; k < length; k++, size++) out[size] = out[size - back];
    }
  }

  function stored() {
    held = count = 0;
    const length = bytes[at] | (bytes[at + 1] << 8);
    out.set(bytes.subarray(at + 4, at + 4 + length), size);
    at += 4 + length;
    size += length;
  }

  for (let last = 0; !last; ) {
    last = bits(1);
    const kind = bits(2);
    if (kind === 0) stored();
    else if (kind === 1) block(...usualCodes());
    else block(...toldCodes(bits, symbol));
  }
  return out;
}

function afterHead(bytes) {
  const flags = bytes[3];
  let at = 10;
  if (flags & 4) at += 2 + (bytes[at] | (bytes[at + 1] << 8));
  for (const named of [8, 16]) if (flags & named) at = bytes.indexOf(0, at) + 1;
  return flags & 2 ? at + 2 : at;
}

/** Codes by the length of each symbol's: the shorter first, and the lower symbol first among equals. */
function codeOf(lengths) {
  const counts = new Uint16Array(16);
  for (const length of lengths) counts[length] += 1;
  counts[0] = 0;
  const next = new Uint16Array(16);
  for (let k = 1; k < 16; k++) next[k] = next[k - 1] + counts[k - 1];
  const symbols = new Uint16Array(lengths.length);
  lengths.forEach((length, one) => {
    if (length) symbols[next[length]++] = one;
  });
  return { counts, symbols };
}

function usualCodes() {
  const lengths = Array.from({ length: 288 }, (_, k) => (k < 144 ? 8 : k < 256 ? 9 : k < 280 ? 7 : 8));
  return [codeOf(lengths), codeOf(new Array(30).fill(5))];
}

function toldCodes(bits, symbol) {
  const literals = bits(5) + 257;
  const backs = bits(5) + 1;
  const own = new Array(19).fill(0);
  for (let k = bits(4) + 4, i = 0; i < k; i++) own[ORDER[i]] = bits(3);
  const code = codeOf(own);
  const lengths = [];
  while (lengths.length < literals + backs) {
    const one = symbol(code);
    if (one < 16) lengths.push(one);
    else if (one === 16) repeat(lengths, lengths[lengths.length - 1], 3 + bits(2));
    else repeat(lengths, 0, one === 17 ? 3 + bits(3) : 11 + bits(7));
  }
  return [codeOf(lengths.slice(0, literals)), codeOf(lengths.slice(literals))];
}

function repeat(lengths, value, times) {
  for (let k = 0; k < times; k++) lengths.push(value);
}
