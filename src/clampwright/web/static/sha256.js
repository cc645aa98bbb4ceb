// SHA-256 (FIPS 180-4), in plain JavaScript: a page over plain http has no `crypto.subtle`.

import { joined } from "./bytes.js";
import { rootBits } from "./prime-roots.js";

const BLOCK = 64;

/** @param {bigint} bits */
const upperHalf = (bits) => Number(bits >> 32n);

const ROUND = Uint32Array.from(rootBits(64, 3), upperHalf);
const START = Uint32Array.from(rootBits(8, 2), upperHalf);

/**
 * Return the message with its padding: a one bit, zeros, and its length in bits.
 * @param {Uint8Array} data
 * @param {number} block bytes of a block
 * @param {number} room bytes kept for the length
 */
export function padded(data, block, room) {
  const length = Math.ceil((data.length + 1 + room) / block) * block;
  const whole = new Uint8Array(length);
  whole.set(data);
  whole[data.length] = 0x80;
  new DataView(whole.buffer).setBigUint64(length - 8, BigInt(data.length) * 8n);
  return whole;
}

/**
 * Turn a 32-bit word to the right.
 * @param {number} word
 * @param {number} by
 */
const turned = (word, by) => (word >>> by) | (word << (32 - by));

/**
 * Take one block into the state.
 * @param {Uint32Array} state
 * @param {Uint32Array} w the block in its first 16 words; the rest is filled here
 */
function take(state, w) {
  for (let t = 16; t < 64; t += 1) {
    const [x, y] = [w[t - 15] ?? 0, w[t - 2] ?? 0];
    const low = turned(x, 7) ^ turned(x, 18) ^ (x >>> 3);
    const high = turned(y, 17) ^ turned(y, 19) ^ (y >>> 10);
    w[t] = (w[t - 16] ?? 0) + low + (w[t - 7] ?? 0) + high;
  }
  let [a = 0, b = 0, c = 0, d = 0, e = 0, f = 0, g = 0, h = 0] = state;
  for (let t = 0; t < 64; t += 1) {
    const sum = turned(e, 6) ^ turned(e, 11) ^ turned(e, 25);
    const first = h + sum + ((e & f) ^ (~e & g)) + (ROUND[t] ?? 0) + (w[t] ?? 0);
    const other = turned(a, 2) ^ turned(a, 13) ^ turned(a, 22);
    const second = other + ((a & b) ^ (a & c) ^ (b & c));
    [h, g, f, e] = [g, f, e, (d + first) | 0];
    [d, c, b, a] = [c, b, a, (first + second) | 0];
  }
  [a, b, c, d, e, f, g, h].forEach((word, place) => {
    state[place] = (state[place] ?? 0) + word;
  });
}

/**
 * Return the 32 bytes of SHA-256 over parts that follow each other.
 * @param {...Uint8Array} parts
 * @returns {Uint8Array}
 */
export function sha256(...parts) {
  const whole = padded(joined(...parts), BLOCK, 8);
  const view = new DataView(whole.buffer);
  const state = START.slice();
  const words = new Uint32Array(64);
  for (let block = 0; block < whole.length; block += BLOCK) {
    for (let t = 0; t < 16; t += 1) words[t] = view.getUint32(block + 4 * t);
    take(state, words);
  }
  const out = new DataView(new ArrayBuffer(32));
  state.forEach((word, place) => out.setUint32(4 * place, word));
  return new Uint8Array(out.buffer);
}
