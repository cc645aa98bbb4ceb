// A record held against signed heads that were kept elsewhere: that alone shows a log which was
// cut short or written anew by the holder of its key.

import { equal, fromBase64 } from "./bytes.js";
import { consistencyHolds } from "./merkle.js";
import { sha256 } from "./sha256.js";
import { headAmongWitnesses, headOf, signedWith } from "./signed-head.js";
import { NotStrict, read } from "./strict-json.js";

/** @typedef {import("./signed-head.js").Head} Head */
/** @typedef {{ old: bigint, proof: Uint8Array[] }} Bridge from an older head to the one beside it */
/** @typedef {{ head: Head, bridge: Bridge | null }} Kept what a kept file holds */

/**
 * How a kept head stands to the record's: it is the same, one carries the other on, it is of a log
 * that went another way, it is of another log, or the bridge is not at hand, so nobody can tell.
 * @typedef {"same" | "carried_on" | "another_way" | "other_log" | "no_bridge"} Standing
 */

const LONGEST_PROOF = 63;

/**
 * Return a bridge with its head, or null when the text is none.
 * @param {string} text
 * @returns {Kept | null}
 */
function bridgeOf(text) {
  const blank = text.indexOf("\n\n");
  const [line = "", ...nodes] = text.slice(0, Math.max(0, blank)).split("\n");
  const head = headAmongWitnesses(text.slice(blank + 2));
  const old = /^old (0|[1-9][0-9]{0,15})$/.exec(line)?.[1];
  const proof = nodes.map((node) => fromBase64(node, 32));
  if (old === undefined || head === null || proof.length > LONGEST_PROOF) return null;
  if (!proof.every((node) => node !== null)) return null;
  return { head, bridge: { old: BigInt(old), proof } };
}

/**
 * Return what a kept file holds: a signed head, a bridge, or another record with its head; or null.
 * @param {Uint8Array} bytes
 * @returns {Kept | null}
 */
export function keptOf(bytes) {
  if (bytes[0] === 0x7b) return ofRecord(bytes);
  const text = new TextDecoder().decode(bytes).replaceAll("\r\n", "\n");
  if (text.startsWith("old ")) return bridgeOf(text);
  const head = headAmongWitnesses(`${text.replace(/\n+$/, "")}\n`);
  return head && { head, bridge: null };
}

/**
 * @param {Uint8Array} bytes
 * @returns {Kept | null}
 */
function ofRecord(bytes) {
  try {
    const content = read(bytes);
    const head = content instanceof Map ? headOf(content.get("checkpoint")) : null;
    return head && { head, bridge: null };
  } catch (error) {
    if (error instanceof NotStrict) return null;
    throw error;
  }
}

/**
 * Tell how a kept head stands to the head of a record.
 * @param {Head} head of the record
 * @param {Head} kept
 * @param {Kept[]} all every kept file, for the bridges among them
 * @returns {Standing}
 */
export function heldAgainst(head, kept, all) {
  if (kept.origin !== head.origin) return "other_log";
  if (kept.size === head.size) return equal(kept.root, head.root) ? "same" : "another_way";
  const [old, young] = kept.size < head.size ? [kept, head] : [head, kept];
  // an empty log is the beginning of every other
  if (old.size === 0n) return equal(old.root, sha256()) ? "carried_on" : "another_way";
  const proofs = all
    .filter(({ bridge, head: end }) => bridge?.old === old.size && leadsTo(end, young))
    .map(({ bridge }) => bridge?.proof ?? []);
  if (proofs.length === 0) return "no_bridge";
  const holds = proofs.some((proof) =>
    consistencyHolds(old.size, old.root, young.size, young.root, proof),
  );
  return holds ? "carried_on" : "another_way";
}

/**
 * @param {Head} end of a bridge
 * @param {Head} young
 */
const leadsTo = (end, young) =>
  end.origin === young.origin && end.size === young.size && equal(end.root, young.root);

/**
 * Tell whether a kept head is signed with one of the keys of the record's log.
 * @param {Head} kept
 * @param {Uint8Array[]} keys
 * @returns {boolean}
 */
export const ofTheseKeys = (kept, keys) => keys.some((key) => signedWith(kept, key));
