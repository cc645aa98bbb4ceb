// SHA-512 (FIPS 180-4), in plain JavaScript. Only Ed25519 needs it, for a few bytes at a time.

import { joined } from "./bytes.js";
import { rootBits } from "./prime-roots.js";
import { padded } from "./sha256.js";

const BLOCK = 128;
const MASK = (1n << 64n) - 1n;

const ROUND = rootBits(80, 3);
const START = rootBits(8, 2);

/**
 * Turn a 64-bit word to the right.
 * @param {bigint} word
 * @param {bigint} by
 */
const turned = (word, by) => ((word >> by) | (word << (64n - by))) & MASK;

/**
 * Return the 80 words that a block gives.
 * @param {DataView} view
 * @param {number} block where it begins
 * @returns {bigint[]}
 */
function schedule(view, block) {
  const w = Array.from({ length: 16 }, (_none, t) => view.getBigUint64(block + 8 * t));
  for (let t = 16; t < 80; t += 1) {
    const [x, y] = [w[t - 15] ?? 0n, w[t - 2] ?? 0n];
    const low = turned(x, 1n) ^ turned(x, 8n) ^ (x >> 7n);
    const high = turned(y, 19n) ^ turned(y, 61n) ^ (y >> 6n);
    w.push(((w[t - 16] ?? 0n) + low + (w[t - 7] ?? 0n) + high) & MASK);
  }
  return w;
}

/**
 * Return the state after a block.
 * @param {bigint[]} state
 * @param {bigint[]} w
 * @returns {bigint[]}
 */
function taken(state, w) {
  let [a = 0n, b = 0n, c = 0n, d = 0n, e = 0n, f = 0n, g = 0n, h = 0n] = state;
  for (let t = 0; t < 80; t += 1) {
    const sum = turned(e, 14n) ^ turned(e, 18n) ^ turned(e, 41n);
    const first = h + sum + ((e & f) ^ ((e ^ MASK) & g)) + (ROUND[t] ?? 0n) + (w[t] ?? 0n);
    const other = turned(a, 28n) ^ turned(a, 34n) ^ turned(a, 39n);
    const second = other + ((a & b) ^ (a & c) ^ (b & c));
    [h, g, f, e] = [g, f, e, (d + first) & MASK];
    [d, c, b, a] = [c, b, a, (first + second) & MASK];
  }
  return [a, b, c, d, e, f, g, h].map((word, place) => ((state[place] ?? 0n) + word) & MASK);
}

/**
 * Return the 64 bytes of SHA-512 over parts that follow each other.
 * @param {...Uint8Array} parts
 * @returns {Uint8Array}
 */
export function sha512(...parts) {
  const whole = padded(joined(...parts), BLOCK, 16);
  const view = new DataView(whole.buffer);
  let state = START;
  for (let block = 0; block < whole.length; block += BLOCK) {
    state = taken(state, schedule(view, block));
  }
  const out = new DataView(new ArrayBuffer(64));
  state.forEach((word, place) => out.setBigUint64(8 * place, word));
  return new Uint8Array(out.buffer);
}
