// The Merkle tree of RFC 9162: is this leaf in it, and is a larger tree a smaller one carried on?

import { equal } from "./bytes.js";
import { sha256 } from "./sha256.js";

const LEAF = Uint8Array.of(0);
const NODE = Uint8Array.of(1);

/**
 * @param {Uint8Array} data
 * @returns {Uint8Array}
 */
export function leafHash(data) {
  return sha256(LEAF, data);
}

/**
 * Go up one level; where the right one of a pair is missing, as far as there is a left one.
 * @param {bigint} fn
 * @param {bigint} sn
 * @param {boolean} skip
 * @returns {[fn: bigint, sn: bigint]}
 */
function up(fn, sn, skip) {
  let [low, high] = [fn, sn];
  while (skip && !(low & 1n) && low !== 0n) [low, high] = [low >> 1n, high >> 1n];
  return [low >> 1n, high >> 1n];
}

/**
 * Tell whether a leaf stands at its place in a tree (section 2.1.3.2).
 * @param {Uint8Array} leaf its hash
 * @param {bigint} index
 * @param {bigint} size
 * @param {Uint8Array[]} proof
 * @param {Uint8Array} root
 * @returns {boolean}
 */
export function inclusionHolds(leaf, index, size, proof, root) {
  if (index < 0n || index >= size) return false;
  let [fn, sn, r] = [index, size - 1n, leaf];
  for (const p of proof) {
    if (sn === 0n) return false;
    const right = Boolean(fn & 1n) || fn === sn;
    r = right ? sha256(NODE, p, r) : sha256(NODE, r, p);
    [fn, sn] = up(fn, sn, right);
  }
  return sn === 0n && equal(r, root);
}

/**
 * Tell whether a tree is an older one carried on (section 2.1.4.2).
 * @param {bigint} first size of the older one
 * @param {Uint8Array} firstRoot
 * @param {bigint} second
 * @param {Uint8Array} secondRoot
 * @param {Uint8Array[]} proof
 * @returns {boolean}
 */
export function consistencyHolds(first, firstRoot, second, secondRoot, proof) {
  if (first < 1n || first >= second || proof.length === 0) return false;
  // a complete older tree is a node of the larger one: its root then begins the proof
  const [start, ...rest] = (first & (first - 1n)) === 0n ? [firstRoot, ...proof] : proof;
  if (start === undefined) return false;
  let [fn, sn] = [first - 1n, second - 1n];
  while (fn & 1n) [fn, sn] = [fn >> 1n, sn >> 1n];
  let [fr, sr] = [start, start];
  for (const c of rest) {
    if (sn === 0n) return false;
    const right = Boolean(fn & 1n) || fn === sn;
    if (right) [fr, sr] = [sha256(NODE, c, fr), sha256(NODE, c, sr)];
    else sr = sha256(NODE, sr, c);
    [fn, sn] = up(fn, sn, right);
  }
  return sn === 0n && equal(fr, firstRoot) && equal(sr, secondRoot);
}
