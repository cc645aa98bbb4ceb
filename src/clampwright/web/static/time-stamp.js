// A time-stamp authority's answer (RFC 3161): which head it is over. Whether the authority made it, a
// page cannot tell without a store of certificates; it says so.

import { equal, joined, toBase64, utf8 } from "./bytes.js";
import { sha256 } from "./sha256.js";

/** @typedef {import("./signed-head.js").Head} Head */

const SEQUENCE = 0x30;
const OCTETS_OF_32 = new Uint8Array([0x04, 0x20]);

/**
 * Whether a file may be such an answer: DER begins so, and no text of ours does.
 * @param {Uint8Array} bytes
 */
export const isStamp = (bytes) => bytes[0] === SEQUENCE;

/**
 * Whether an answer holds the hash of a signed head.
 * @param {Uint8Array} bytes
 * @param {Head} head
 */
export function stampOver(bytes, head) {
  const signature = toBase64(joined(head.keyId, head.signature));
  const text = joined(head.signed, utf8(`\n\u2014 ${head.origin} ${signature}\n`));
  const wanted = joined(OCTETS_OF_32, sha256(text));
  for (let at = 0; at + wanted.length <= bytes.length; at += 1) {
    if (bytes[at] === 0x04 && equal(bytes.subarray(at, at + wanted.length), wanted)) return true;
  }
  return false;
}
