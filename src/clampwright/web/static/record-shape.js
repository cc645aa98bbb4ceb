// What a record and its rows must look like before anything in them is reckoned with.

import { fromBase64 } from "./bytes.js";

/** @typedef {import("./strict-json.js").Value} Value */
/** @typedef {import("./strict-json.js").Members} Members */

/**
 * @typedef {object} Entry
 * @property {string} id
 * @property {string} kind
 * @property {string | null} job
 * @property {number | null} jobSeq
 * @property {string} recorded
 * @property {Members} body
 */

/**
 * @typedef {object} Row
 * @property {number} index
 * @property {Members} entry as it was read, to take its canonical form
 * @property {Uint8Array[]} proof
 */

const UUID7 = /^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/;
const KIND = /^[a-z][a-z0-9_]{0,63}$/;
// printable: no character of Unicode's categories C and Z, apart from the plain space
const PRINTABLE = /^(?:[^\p{C}\p{Z}]| ){1,200}$/u;
const TIME =
  /^(\d{4})-(\d\d)-(\d\d)T(\d\d):(\d\d):(\d\d)(?:\.\d{1,9})?(?:Z|[+-](\d\d):(\d\d))$/;
const LONGEST_PROOF = 64;

/**
 * Return an object's members when they are exactly these.
 * @param {Value | undefined} value
 * @param {...string} names
 * @returns {Members | null}
 */
export function exactly(value, ...names) {
  if (!(value instanceof Map) || value.size !== names.length) return null;
  return names.every((name) => value.has(name)) ? value : null;
}

/**
 * @param {Value | undefined} value
 * @returns {value is number} an integer from 0
 */
export function isCount(value) {
  return typeof value === "number" && value >= 0;
}

/** @param {Value | undefined} value */
const isPrintable = (value) => typeof value === "string" && PRINTABLE.test(value);

/** @param {Value | undefined} value */
export function isTime(value) {
  const match = typeof value === "string" ? TIME.exec(value) : null;
  if (match === null) return false;
  const [year = 0, month = 0, day = 0, hour = 0, minute = 0, second = 0, ...zone] = match
    .slice(1)
    .map(Number);
  const [zoneHour = 0, zoneMinute = 0] = zone.map((part) => part || 0);
  const leap = (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0;
  const days = [31, leap ? 29 : 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31][month - 1] ?? 0;
  if (year < 1 || day < 1 || day > days) return false;
  return hour < 24 && minute < 60 && second < 60 && zoneHour < 24 && zoneMinute < 60;
}

/**
 * Return a row of a record, or null when it has not the form of one.
 * @param {Value} value
 * @returns {Row | null}
 */
export function rowOf(value) {
  const row = exactly(value, "index", "entry", "proof");
  const [index, entry, nodes] = ["index", "entry", "proof"].map((name) => row?.get(name));
  if (!isCount(index) || !(entry instanceof Map) || !Array.isArray(nodes)) return null;
  if (nodes.length > LONGEST_PROOF) return null;
  const proof = nodes.map((node) => fromBase64(node, 32));
  return proof.every((node) => node !== null) ? { index, entry, proof } : null;
}

/**
 * Return what an entry says, or null when it has not the form of one.
 * @param {Members} value
 * @returns {Entry | null}
 */
export function entryOf(value) {
  const names = ["version", "id", "kind", "job", "job_seq", "device", "recorded", "body"];
  if (exactly(value, ...names) === null || value.get("version") !== 1) return null;
  const [id, kind, recorded] = ["id", "kind", "recorded"].map((name) => value.get(name));
  const [job, jobSeq, body] = ["job", "job_seq", "body"].map((name) => value.get(name));
  const device = exactly(value.get("device"), "id", "time");
  if (typeof id !== "string" || !UUID7.test(id)) return null;
  if (typeof kind !== "string" || !KIND.test(kind)) return null;
  if (typeof recorded !== "string" || !recorded.endsWith("Z") || !isTime(recorded)) return null;
  if (!isPrintable(device?.get("id")) || !isTime(device?.get("time"))) return null;
  if (!(body instanceof Map)) return null;
  if (job === null && jobSeq === null) return { id, kind, job, jobSeq, recorded, body };
  if (typeof job !== "string" || !isPrintable(job) || !isCount(jobSeq)) return null;
  return { id, kind, job, jobSeq, recorded, body };
}
