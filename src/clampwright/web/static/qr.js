// A QR code of bytes with correction level L (ISO/IEC 18004), drawn on the device without network.

import { BLOCKS, CORRECTION, LEVEL_BITS, alignment, dataModules } from "./qr-tables.js";

/** @typedef {boolean[][]} Matrix rows of modules, dark is true */

const LARGEST = 40;
const POLYNOMIAL = 0x11d;

/** @type {number[]} */
const EXP = [];
/** @type {number[]} */
const LOG = [];
for (let power = 0, value = 1; power < 255; power += 1) {
  EXP[power] = value;
  LOG[value] = power;
  value <<= 1;
  if (value & 0x100) value ^= POLYNOMIAL;
}

/** @param {number} one @param {number} other */
const times = (one, other) => (one && other ? (EXP[((LOG[one] ?? 0) + (LOG[other] ?? 0)) % 255] ?? 0) : 0);

/**
 * Return how many bytes fit into a code.
 * @param {number} version
 */
export function room(version) {
  return codewords(version) - (version < 10 ? 2 : 3);
}

/** @param {number} version */
function codewords(version) {
  const correction = (CORRECTION[version - 1] ?? 0) * (BLOCKS[version - 1] ?? 0);
  return Math.floor(dataModules(version) / 8) - correction;
}

/**
 * Return a code.
 * @param {Uint8Array} data
 * @param {{ version?: number, mask?: number }} options the smallest version that has the room, and
 *   the mask of least penalty, if not given
 * @returns {Matrix}
 */
export function qr(data, { version, mask } = {}) {
  let size = version ?? 1;
  while (version === undefined && size < LARGEST && room(size) < data.length) size += 1;
  if (room(size) < data.length) throw new RangeError(`${data.length} bytes do not fit into a code`);
  const code = new Code(size);
  code.place(interleaved(padded(data, size), size));
  return code.masked(mask);
}

/**
 * @param {Uint8Array} data
 * @param {number} version
 * @returns {number[]}
 */
function padded(data, version) {
  /** @type {number[]} */
  const bits = [];
  const add = (/** @type {number} */ value, /** @type {number} */ count) => {
    for (let at = count - 1; at >= 0; at -= 1) bits.push((value >> at) & 1);
  };
  add(4, 4); // mode: bytes
  add(data.length, version < 10 ? 8 : 16);
  for (const byte of data) add(byte, 8);
  const whole = codewords(version);
  add(0, Math.min(4, 8 * whole - bits.length));
  add(0, (8 - (bits.length % 8)) % 8);
  const bytes = [];
  for (let at = 0; at < bits.length; at += 8) {
    bytes.push(bits.slice(at, at + 8).reduce((sum, bit) => (sum << 1) | bit, 0));
  }
  for (let pad = 0; bytes.length < whole; pad += 1) bytes.push(pad % 2 ? 0x11 : 0xec);
  return bytes;
}

/**
 * Divide into blocks, add the correction, and take from all blocks in turn.
 * @param {number[]} data
 * @param {number} version
 * @returns {number[]}
 */
function interleaved(data, version) {
  const count = BLOCKS[version - 1] ?? 1;
  const extra = CORRECTION[version - 1] ?? 0;
  const short = Math.floor(data.length / count);
  const long = data.length % count;
  const divisor = divisorOf(extra);
  const blocks = [];
  for (let block = 0, at = 0; block < count; block += 1) {
    const length = short + (block >= count - long ? 1 : 0);
    const part = data.slice(at, at + length);
    blocks.push({ part, correction: remainder(part, divisor) });
    at += length;
  }
  const out = [];
  for (let at = 0; at <= short; at += 1) {
    for (const { part } of blocks) if (at < part.length) out.push(part[at] ?? 0);
  }
  for (let at = 0; at < extra; at += 1) {
    for (const { correction } of blocks) out.push(correction[at] ?? 0);
  }
  return out;
}

/** @param {number} degree */
function divisorOf(degree) {
  let result = [1];
  for (let power = 0; power < degree; power += 1) {
    const next = [...result, 0];
    result.forEach((value, at) => {
      next[at + 1] = (next[at + 1] ?? 0) ^ times(value, EXP[power] ?? 0);
    });
    result = next;
  }
  return result.slice(1);
}

/** @param {number[]} data @param {number[]} divisor */
function remainder(data, divisor) {
  const rest = divisor.map(() => 0);
  for (const byte of data) {
    const factor = byte ^ (rest.shift() ?? 0);
    rest.push(0);
    divisor.forEach((value, at) => {
      rest[at] = (rest[at] ?? 0) ^ times(value, factor);
    });
  }
  return rest;
}

/** @type {((row: number, column: number) => boolean)[]} ISO/IEC 18004, table 10 */
const MASKS = [
  (i, j) => (i + j) % 2 === 0,
  (i) => i % 2 === 0,
  (_i, j) => j % 3 === 0,
  (i, j) => (i + j) % 3 === 0,
  (i, j) => (Math.floor(i / 2) + Math.floor(j / 3)) % 2 === 0,
  (i, j) => ((i * j) % 2) + ((i * j) % 3) === 0,
  (i, j) => (((i * j) % 2) + ((i * j) % 3)) % 2 === 0,
  (i, j) => (((i + j) % 2) + ((i * j) % 3)) % 2 === 0,
];

class Code {
  /** @type {Matrix} */
  #dark;
  /** Modules drawn in every code: no data, no mask. @type {Matrix} */
  #fixed;
  #size;
  #version;

  /** @param {number} version */
  constructor(version) {
    this.#version = version;
    this.#size = 4 * version + 17;
    this.#dark = grid(this.#size);
    this.#fixed = grid(this.#size);
    this.#draw();
  }

  /** @param {number} row @param {number} column @param {boolean} dark */
  #set(row, column, dark) {
    const [line, fixed] = [this.#dark[row], this.#fixed[row]];
    if (!line || !fixed || column < 0 || column >= this.#size) return;
    line[column] = dark;
    fixed[column] = true;
  }

  #draw() {
    const size = this.#size;
    for (let at = 0; at < size; at += 1) {
      this.#set(6, at, at % 2 === 0);
      this.#set(at, 6, at % 2 === 0);
    }
    for (const [row, column] of [[3, 3], [3, size - 4], [size - 4, 3]]) this.#rings(row ?? 0, column ?? 0, 4, [2, 4]);
    const places = alignment(this.#version);
    const last = places.length - 1;
    places.forEach((row, i) =>
      places.forEach((column, j) => {
        const corner = (i === 0 && j === 0) || (i === 0 && j === last) || (i === last && j === 0);
        if (!corner) this.#rings(row, column, 2, [1]);
      }),
    );
    this.#format(0);
    if (this.#version >= 7) this.#sayVersion();
  }

  /**
   * Squares around a middle; those at some distances are light.
   * @param {number} row
   * @param {number} column
   * @param {number} reach
   * @param {number[]} light
   */
  #rings(row, column, reach, light) {
    for (let dy = -reach; dy <= reach; dy += 1) {
      for (let dx = -reach; dx <= reach; dx += 1) {
        this.#set(row + dy, column + dx, !light.includes(Math.max(Math.abs(dy), Math.abs(dx))));
      }
    }
  }

  /** @param {number} bits level and mask, five bits */
  #format(bits) {
    let rest = bits;
    for (let at = 0; at < 10; at += 1) rest = (rest << 1) ^ ((rest >> 9) * 0x537);
    const word = ((bits << 10) | rest) ^ 0x5412;
    const bit = (/** @type {number} */ at) => ((word >> at) & 1) === 1;
    const size = this.#size;
    for (let at = 0; at < 15; at += 1) {
      // down the left finder's side, over the timing row; and in two parts by the other finders
      if (at < 8) {
        this.#set(at < 6 ? at : at + 1, 8, bit(at));
        this.#set(8, size - 1 - at, bit(at));
      } else {
        this.#set(8, at === 8 ? 7 : 14 - at, bit(at));
        this.#set(size - 15 + at, 8, bit(at));
      }
    }
    this.#set(size - 8, 8, true);
  }

  #sayVersion() {
    let rest = this.#version;
    for (let at = 0; at < 12; at += 1) rest = (rest << 1) ^ ((rest >> 11) * 0x1f25);
    const word = (this.#version << 12) | rest;
    for (let at = 0; at < 18; at += 1) {
      const dark = ((word >> at) & 1) === 1;
      const [far, near] = [this.#size - 11 + (at % 3), Math.floor(at / 3)];
      this.#set(near, far, dark);
      this.#set(far, near, dark);
    }
  }

  /**
   * Put bytes into the modules that are free: up and down in pairs of columns, from the right.
   * @param {number[]} bytes
   */
  place(bytes) {
    let at = 0;
    for (let right = this.#size - 1; right >= 1; right -= 2) {
      if (right === 6) right = 5;
      for (let step = 0; step < this.#size; step += 1) {
        const upward = ((right + 1) & 2) === 0;
        const row = upward ? this.#size - 1 - step : step;
        for (const column of [right, right - 1]) {
          const line = this.#dark[row];
          if (!line || this.#fixed[row]?.[column]) continue;
          line[column] = (((bytes[at >> 3] ?? 0) >> (7 - (at & 7))) & 1) === 1;
          at += 1;
        }
      }
    }
  }

  /**
     * @param {number | undefined} mask
   * @returns {Matrix}
   */
  masked(mask) {
    const masks = mask === undefined ? MASKS.keys() : [mask];
    /** @type {Matrix} */
    let best = [];
    let least = Infinity;
    for (const number of masks) {
      this.#format((LEVEL_BITS << 3) | number);
      const turned = this.#dark.map((line, row) =>
        line.map((dark, column) => dark !== (!this.#fixed[row]?.[column] && MASKS[number]?.(row, column) === true)),
      );
      const found = penalty(turned);
      if (found < least) [least, best] = [found, turned];
    }
    return best;
  }
}

/** @param {number} size @returns {Matrix} */
const grid = (size) => Array.from({ length: size }, () => Array.from({ length: size }, () => false));

/**
 * How hard a pattern is to read: long runs, squares, what looks like a finder, too much of one.
 * ISO/IEC 18004, 7.8.3.
 * @param {Matrix} matrix
 */
function penalty(matrix) {
  const size = matrix.length;
  const columns = matrix.map((_line, at) => matrix.map((line) => line[at] ?? false));
  let sum = 0;
  for (const line of [...matrix, ...columns]) sum += ofLine(line);
  let dark = 0;
  for (let row = 0; row < size; row += 1) {
    for (let column = 0; column < size; column += 1) {
      const own = matrix[row]?.[column];
      if (own) dark += 1;
      if (row + 1 === size || column + 1 === size) continue;
      const [right, below, across] = [matrix[row]?.[column + 1], matrix[row + 1]?.[column], matrix[row + 1]?.[column + 1]];
      if (own === right && own === below && own === across) sum += 3;
    }
  }
  return sum + 10 * Math.floor(Math.abs((dark * 100) / size ** 2 - 50) / 5);
}

const LIKE_A_FINDER = ["10111010000", "00001011101"];

/** @param {boolean[]} line */
function ofLine(line) {
  const text = line.map((dark) => (dark ? "1" : "0")).join("");
  let sum = 0;
  for (const run of text.match(/0{5,}|1{5,}/g) ?? []) sum += run.length - 2;
  for (const pattern of LIKE_A_FINDER) {
    for (let at = text.indexOf(pattern); at >= 0; at = text.indexOf(pattern, at + 1)) sum += 40;
  }
  return sum;
}
