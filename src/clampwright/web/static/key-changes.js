// From the first key of a log to the present one: each change is an entry, signed by the new key
// and, where it was still at hand, by the old one.

import { equal, fromBase64, utf8 } from "./bytes.js";
import { signatureHolds } from "./ed25519.js";
import { exactly, isCount } from "./record-shape.js";

/** @typedef {import("./strict-json.js").Members} Members */

/**
 * @typedef {object} KeyChange
 * @property {Uint8Array} key the new one
 * @property {boolean} signedByOld
 */

const REASONS = ["planned", "lost", "stolen"];

/**
 * Return a change that holds, or null.
 * @param {Members} body of the entry
 * @param {string} origin
 * @param {number} index place of the entry in the log
 * @param {Uint8Array} present the key until then
 * @returns {KeyChange | null}
 */
export function keyChange(body, origin, index, present) {
  const members = exactly(body, "before", "key", "reason", "signed_by_new", "signed_by_old");
  const before = exactly(members?.get("before"), "size", "root", "key");
  if (members === null || before === null) return null;
  const [size, rootText, oldText] = ["size", "root", "key"].map((name) => before.get(name));
  const [newText, reason] = ["key", "reason"].map((name) => members.get(name));
  const [root, old, key] = [rootText, oldText, newText].map((text) => fromBase64(text, 32));
  if (!root || !old || !key || !isCount(size) || size !== index || !equal(old, present)) return null;
  if (typeof reason !== "string" || !REASONS.includes(reason)) return null;
  const lines = ["clampwright key change", origin, size, rootText, oldText, newText, reason];
  const said = utf8(lines.map((line) => `${line}\n`).join(""));
  const byNew = fromBase64(members.get("signed_by_new"), 64);
  if (byNew === null || !signatureHolds(key, said, byNew)) return null;
  if (members.get("signed_by_old") === null) {
    return reason === "planned" ? null : { key, signedByOld: false };
  }
  const byOld = fromBase64(members.get("signed_by_old"), 64);
  return byOld && signatureHolds(old, said, byOld) ? { key, signedByOld: true } : null;
}
