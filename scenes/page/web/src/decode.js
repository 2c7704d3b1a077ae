// The page's data: base64, gzip, then the length of a JSON text, the text, and arrays by their place.

import { gunzip } from "./inflate.js";

export const FORMAT = 1;

const KINDS = { f32: Float32Array, i16: Int16Array, u8: Uint8Array, u32: Uint32Array };

export function bytesOf(base64) {
  const text = atob(base64.trim());
  const bytes = new Uint8Array(text.length);
  for (let k = 0; k < text.length; k++) bytes[k] = text.charCodeAt(k);
  return bytes;
}

/** The values, every array in its place as numbers; small integers become metres. */
export async function decoded(bytes) {
  const whole = await unzipped(bytes);
  const length = new DataView(whole.buffer).getUint32(0, true);
  const blob = Math.ceil((4 + length) / 8) * 8;
  const values = JSON.parse(new TextDecoder().decode(whole.subarray(4, 4 + length)));
  return filled(values, whole.buffer, blob);
}

async function unzipped(bytes) {
  if (typeof DecompressionStream === "undefined") return gunzip(bytes);
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Uint8Array(await new Response(stream).arrayBuffer());
}

function filled(value, buffer, blob) {
  if (Array.isArray(value)) return value.map((one) => filled(one, buffer, blob));
  if (value === null || typeof value !== "object") return value;
  if ("at" in value && "type" in value && "shape" in value) return numbers(value, buffer, blob);
  const made = {};
  for (const [name, one] of Object.entries(value)) made[name] = filled(one, buffer, blob);
  return made;
}

function numbers({ at, type, shape, scale, origin }, buffer, blob) {
  const count = shape.reduce((product, one) => product * one, 1);
  const plain = new KINDS[type](buffer, blob + at, count);
  if (scale === undefined) return plain;
  const metres = new Float32Array(count);
  for (let k = 0; k < count; k++) metres[k] = origin[k % 3] + scale * plain[k];
  return metres;
}
