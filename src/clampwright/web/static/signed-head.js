// The signed head of a log (a checkpoint in the form of a signed note), and the names of keys.

import { equal, fromBase64, joined, toBase64, toHex, utf8 } from "./bytes.js";
import { signatureHolds } from "./ed25519.js";
import { sha256 } from "./sha256.js";

/**
 * @typedef {object} Head
 * @property {string} origin name of the log
 * @property {bigint} size number of entries
 * @property {Uint8Array} root
 * @property {Uint8Array} signed what the signature is over
 * @property {Uint8Array} keyId
 * @property {Uint8Array} signature
 * @property {number} witnesses further signature lines, which are not checked
 */

const LONGEST = 2000;
const MOST_LINES = 100;
const ED25519 = 1;

/** Neither control, format, private and unassigned characters nor spaces: Unicode C and Z. */
const ORIGIN = /^[^\p{C}\p{Z}+]{1,120}$/u;
const SIZE = /^(?:0|[1-9][0-9]{0,15})$/;

/**
 * Return one signature line as its name and bytes.
 * @param {string | undefined} line
 * @param {number} length
 * @returns {{ name: string, bytes: Uint8Array } | null}
 */
function signatureLine(line, length) {
  const [dash, name, text, ...more] = (line ?? "").split(" ");
  const bytes = fromBase64(text, length);
  if (dash !== "\u2014" || name === undefined || bytes === null || more.length > 0) return null;
  return { name, bytes };
}

/**
 * Return what a head with one signature says, or null when it is none. Nothing is checked but its
 * form.
 * @param {unknown} text
 * @returns {Head | null}
 */
export function headOf(text) {
  if (typeof text !== "string" || [...text].length > LONGEST) return null;
  const [origin = "", size = "", rootText, blank, own, end, ...more] = text.split("\n");
  const root = fromBase64(rootText, 32);
  const signature = signatureLine(own, 68);
  if (!ORIGIN.test(origin) || !SIZE.test(size) || root === null || blank !== "") return null;
  if (signature?.name !== origin || end !== "" || more.length > 0) return null;
  const signed = utf8(`${origin}\n${size}\n${rootText}\n`);
  const [id, bytes] = [signature.bytes.subarray(0, 4), signature.bytes.subarray(4)];
  return { origin, size: BigInt(size), root, signed, keyId: id, signature: bytes, witnesses: 0 };
}

/**
 * Return what a head says that may bear lines of witnesses too, which are only counted.
 * @param {string} text
 * @returns {Head | null}
 */
export function headAmongWitnesses(text) {
  const lines = text.split("\n");
  const further = lines.slice(4, -1);
  const own = further.filter((line) => line.startsWith(`\u2014 ${lines[0]} `));
  if (own.length !== 1 || further.length > MOST_LINES || lines.at(-1) !== "") return null;
  const head = headOf([...lines.slice(0, 4), ...own, ""].join("\n"));
  return head && { ...head, witnesses: further.filter((line) => signatureLine(line, 76)).length };
}

/**
 * @param {string} origin
 * @param {Uint8Array} key
 * @returns {Uint8Array} 4 bytes
 */
export function keyId(origin, key) {
  return sha256(utf8(`${origin}\n`), Uint8Array.of(ED25519), key).subarray(0, 4);
}

/**
 * Tell whether a head is signed with a key.
 * @param {Head} head
 * @param {Uint8Array} key
 * @returns {boolean}
 */
export function signedWith(head, key) {
  return (
    equal(head.keyId, keyId(head.origin, key)) && signatureHolds(key, head.signed, head.signature)
  );
}

/**
 * Return what people compare: SHA-256 over the key in groups of four digits.
 * @param {Uint8Array} key
 * @returns {string}
 */
export function fingerprint(key) {
  return (toHex(sha256(key)).match(/.{4}/g) ?? []).join(" ");
}

/**
 * Return the fingerprint that a person demands, or null when the text is no key: a fingerprint,
 * base64 over the key, or the line `name+id+key`.
 * @param {string} text
 * @returns {string | null}
 */
export function demandedFingerprint(text) {
  const bare = text.replace(/\s/g, "").toLowerCase();
  if (/^[0-9a-f]{64}$/.test(bare)) return (bare.match(/.{4}/g) ?? []).join(" ");
  const key = fromBase64(text.trim(), 32);
  if (key !== null) return fingerprint(key);
  const [, name = "", id = "", base64] = /^([^+]+)\+([0-9a-f]{8})\+(.+)$/.exec(text.trim()) ?? [];
  const typed = fromBase64(base64, 33);
  if (typed === null || typed[0] !== ED25519) return null;
  const named = typed.subarray(1);
  return toHex(keyId(name, named)) === id ? fingerprint(named) : null;
}

/**
 * Return the line that hands a key on.
 * @param {string} origin
 * @param {Uint8Array} key
 * @returns {string}
 */
export function keyLine(origin, key) {
  const typed = joined(Uint8Array.of(ED25519), key);
  return `${origin}+${toHex(keyId(origin, key))}+${toBase64(typed)}`;
}
