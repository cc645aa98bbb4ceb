// Checking an Ed25519 signature (RFC 8032, sections 5.1.3, 5.1.4 and 5.1.7). It handles no secret,
// so that it need not take the same time for every key.

import { sha512 } from "./sha512.js";

/**
 * A point of the curve: X, Y, Z, T with x = X/Z, y = Y/Z, x y = T/Z (section 5.1.4).
 * @typedef {[x: bigint, y: bigint, z: bigint, t: bigint]} Point
 */

const P = (1n << 255n) - 19n;
const ORDER = (1n << 252n) + 27742317777372353535851937790883648493n;
const D = mod(-121665n * power(121666n, P - 2n));
const ROOT_OF_MINUS_ONE = power(2n, (P - 1n) / 4n);
/** @type {Point} */
const NOTHING = [0n, 1n, 1n, 0n];
const BASE = base();

/** @param {bigint} number */
function mod(number) {
  const rest = number % P;
  return rest < 0n ? rest + P : rest;
}

/**
 * @param {bigint} number
 * @param {bigint} exponent
 */
function power(number, exponent) {
  let [result, factor] = [1n, mod(number)];
  for (let rest = exponent; rest > 0n; rest >>= 1n) {
    if (rest & 1n) result = mod(result * factor);
    factor = mod(factor * factor);
  }
  return result;
}

/**
 * Return bytes as a number, the lowest first.
 * @param {Uint8Array} bytes
 */
function numberOf(bytes) {
  let number = 0n;
  for (let place = bytes.length - 1; place >= 0; place -= 1) {
    number = (number << 8n) | BigInt(bytes[place] ?? 0);
  }
  return number;
}

/**
 * Return x of a point from y and its lowest bit, or null when there is none.
 * @param {bigint} y
 * @param {bigint} lowest
 */
function recovered(y, lowest) {
  const [u, v] = [mod(y * y - 1n), mod(D * y * y + 1n)];
  let x = mod(u * power(v, 3n) * power(u * power(v, 7n), (P - 5n) / 8n));
  if (mod(v * x * x) === mod(-u)) x = mod(x * ROOT_OF_MINUS_ONE);
  if (mod(v * x * x) !== u) return null;
  if (x === 0n && lowest === 1n) return null;
  return (x & 1n) === lowest ? x : mod(-x);
}

/** @returns {Point} */
function base() {
  const y = mod(4n * power(5n, P - 2n));
  const x = recovered(y, 0n) ?? 0n;
  return [x, y, 1n, mod(x * y)];
}

/**
 * Return the point that 32 bytes say, or null (section 5.1.3).
 * @param {Uint8Array} bytes
 * @returns {Point | null}
 */
function pointOf(bytes) {
  const number = numberOf(bytes);
  const y = number & ((1n << 255n) - 1n);
  if (y >= P) return null;
  const x = recovered(y, number >> 255n);
  return x === null ? null : [x, y, 1n, mod(x * y)];
}

/**
 * Return the sum of two points.
 * @param {Point} one
 * @param {Point} other
 * @returns {Point}
 */
function sum([x1, y1, z1, t1], [x2, y2, z2, t2]) {
  const a = mod((y1 - x1) * (y2 - x2));
  const b = mod((y1 + x1) * (y2 + x2));
  const c = mod(2n * D * t1 * t2);
  const d = mod(2n * z1 * z2);
  const [e, f, g, h] = [b - a, d - c, d + c, b + a];
  return [mod(e * f), mod(g * h), mod(f * g), mod(e * h)];
}

/**
 * Return a point taken so many times.
 * @param {bigint} times
 * @param {Point} point
 * @returns {Point}
 */
function multiple(times, point) {
  let [result, doubled] = [NOTHING, point];
  for (let rest = times; rest > 0n; rest >>= 1n) {
    if (rest & 1n) result = sum(result, doubled);
    doubled = sum(doubled, doubled);
  }
  return result;
}

/**
 * Tell whether two points are the same.
 * @param {Point} one
 * @param {Point} other
 */
function same([x1, y1, z1], [x2, y2, z2]) {
  return mod(x1 * z2 - x2 * z1) === 0n && mod(y1 * z2 - y2 * z1) === 0n;
}

/**
 * Tell whether a signature over a message is that of a key: S B = R + k A, S below the order.
 * @param {Uint8Array} key 32 bytes
 * @param {Uint8Array} message
 * @param {Uint8Array} signature 64 bytes
 * @returns {boolean}
 */
export function signatureHolds(key, message, signature) {
  if (key.length !== 32 || signature.length !== 64) return false;
  const [a, r] = [pointOf(key), pointOf(signature.subarray(0, 32))];
  const s = numberOf(signature.subarray(32));
  if (a === null || r === null || s >= ORDER) return false;
  const k = numberOf(sha512(signature.subarray(0, 32), key, message)) % ORDER;
  return same(multiple(s, BASE), sum(r, multiple(k, a)));
}
