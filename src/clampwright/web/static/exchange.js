// Entries carried by hand: a file, or codes that another device reads with its camera.
// The form is told in docs/reference/exchange-file.md.

import { toHex, utf8 } from "./bytes.js";
import { contentHash } from "./content-hash.js";
import { sha256 } from "./sha256.js";

/** @typedef {import("./types.d.ts").Item} Item */
/** @typedef {import("./types.d.ts").Carried} Carried */

export const FORMAT = "clampwright-entries";
/** Characters of one code: it stays coarse enough for a phone's screen. */
const PART = 640;
const CODE = /CWE1 (\d+)\/(\d+) ([0-9a-f]{8}) ([A-Za-z0-9_-]+)/g;

/**
 * Return entries as the text of a file.
 * @param {string} device
 * @param {Item[]} items in the order of the device's counter
 * @returns {string}
 */
export function asFile(device, items) {
  const entries = items.map((item) => ({
    job: item.job,
    way: item.way,
    id: item.id,
    counter: item.counter ?? 0,
    made: item.made,
    ...(item.plan ? { plan: item.plan } : {}),
    ...(item.person ? { person: item.person } : {}),
    content: item.body,
    sha256: contentHash(item.job, item.way, item.body),
  }));
  return JSON.stringify({ format: FORMAT, version: 1, device, made: new Date().toISOString(), entries });
}

/**
 * Return the texts of the codes that together hold a file.
 * @param {string} file
 * @returns {string[]}
 */
export function asCodes(file) {
  const bytes = utf8(file);
  const tag = toHex(sha256(bytes)).slice(0, 8);
  let binary = "";
  for (const byte of bytes) binary += String.fromCharCode(byte);
  const text = btoa(binary).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
  const parts = text.match(new RegExp(`.{1,${PART}}`, "g")) ?? [];
  return parts.map((part, at) => `CWE1 ${at + 1}/${parts.length} ${tag} ${part}`);
}

/**
 * What is wrong with a text that was to hold entries.
 */
export class NotEntries extends Error {
  /**
   * @param {"not_entries" | "codes_missing" | "codes_mixed" | "altered"} what
   * @param {string} which
   */
  constructor(what, which = "") {
    super(what);
    this.what = what;
    this.which = which;
  }
}

/**
 * Return the file whose codes stand in a text, in any order, perhaps some of them twice.
 * @param {string} text
 * @returns {string}
 */
function fromCodes(text) {
  /** @type {Map<number, string>} */
  const parts = new Map();
  const found = [...text.matchAll(CODE)];
  const [, , count = "", tag = ""] = found[0] ?? [];
  for (const [, at = "", of, whose, part = ""] of found) {
    if (of !== count || whose !== tag) throw new NotEntries("codes_mixed");
    parts.set(Number(at), part);
  }
  const numbers = Array.from({ length: Number(count) }, (_one, at) => at + 1);
  const missing = numbers.filter((at) => !parts.has(at));
  if (missing.length) throw new NotEntries("codes_missing", missing.join(", "));
  const whole = numbers.map((at) => parts.get(at)).join("");
  const binary = atob(whole.replaceAll("-", "+").replaceAll("_", "/"));
  const bytes = Uint8Array.from(binary, (one) => one.charCodeAt(0));
  if (toHex(sha256(bytes)).slice(0, 8) !== tag) throw new NotEntries("altered");
  return new TextDecoder().decode(bytes);
}

/**
 * Return the entries that a file or the texts of its codes hold.
 * @param {string} text
 * @returns {Carried}
 */
export function carriedIn(text) {
  const file = /CWE1 \d/.test(text) && !text.trimStart().startsWith("{") ? fromCodes(text) : text;
  /** @type {any} */
  let carried;
  try {
    carried = JSON.parse(file);
  } catch {
    throw new NotEntries("not_entries");
  }
  if (carried?.format !== FORMAT || carried.version !== 1 || !Array.isArray(carried.entries)) {
    throw new NotEntries("not_entries");
  }
  for (const one of carried.entries) {
    // A file of the reset page states no hashes: it has to work when nothing else does.
    const hash = one.sha256 ?? contentHash(one.job, one.way, one.content);
    if (contentHash(one.job, one.way, one.content) !== hash) throw new NotEntries("altered", String(one.id));
  }
  return carried;
}
