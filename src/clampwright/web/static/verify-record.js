// Is a record as it was signed? Written from docs/reference/record-format.md alone, and apart from
// the program's own verifier, so that the two check each other. It sends and stores nothing.

import { equal, fromBase64 } from "./bytes.js";
import { keyChange } from "./key-changes.js";
import { inclusionHolds, leafHash } from "./merkle.js";
import { entryOf, exactly, isCount, rowOf } from "./record-shape.js";
import { fingerprint, headOf, signedWith } from "./signed-head.js";
import { NotStrict, canonical, read } from "./strict-json.js";

/** @typedef {import("./record-shape.js").Entry} Entry */
/** @typedef {import("./record-shape.js").Row} Row */
/** @typedef {import("./signed-head.js").Head} Head */
/** @typedef {import("./strict-json.js").Members} Members */
/** @typedef {import("./strict-json.js").Value} Value */

/**
 * The rule that does not hold.
 * @typedef {`json_${import("./strict-json.js").Fault}` | "no_record" | "other_key" | "head_form" |
 *   "head_origin" | "head_signature" | "row_form" | "row_order" | "row_altered" | "same_id" |
 *   "other_job" | "gap" | "beginning" | "key_change" | "rebuilt" | "closing" | "counted"} Rule
 */
/** @typedef {{ code: Rule, at?: string }} Finding what does not hold, and where */

/**
 * @typedef {object} Verdict
 * @property {boolean} whole
 * @property {Finding[]} findings
 * @property {string} origin
 * @property {string} job
 * @property {string} fingerprint of the record's key; empty when it has none
 * @property {number} rows
 * @property {number} ofJob entries of the job
 * @property {string} closed when the record was made
 * @property {number} changes of key
 * @property {number} unsignedChanges those that the old key did not sign
 * @property {Head | null} head
 * @property {Uint8Array[]} keys first to last
 */

const LARGEST_ENTRY = 1_000_000;

/** @returns {Verdict} */
function blank() {
  return {
    whole: false,
    findings: [],
    origin: "",
    job: "",
    fingerprint: "",
    rows: 0,
    ofJob: 0,
    closed: "",
    changes: 0,
    unsignedChanges: 0,
    head: null,
    keys: [],
  };
}

/**
 * Check a record.
 * @param {Uint8Array} bytes the file
 * @param {string | null} demanded fingerprint that its key must have
 * @returns {Verdict}
 */
export function verifyRecord(bytes, demanded = null) {
  const verdict = blank();
  /** @type {Value} */
  let content = null;
  try {
    content = read(bytes);
  } catch (error) {
    if (!(error instanceof NotStrict)) throw error;
    verdict.findings.push({ code: `json_${error.code}`, at: String(error.at) });
    return verdict;
  }
  check(content, demanded, verdict);
  verdict.whole = verdict.findings.length === 0;
  return verdict;
}

/**
 * @param {Value} content
 * @param {string | null} demanded
 * @param {Verdict} verdict
 */
function check(content, demanded, verdict) {
  const names = ["format", "version", "origin", "job", "key", "checkpoint", "entries"];
  const record = exactly(content, ...names);
  const [origin, job, entries] = ["origin", "job", "entries"].map((name) => record?.get(name));
  const key = fromBase64(record?.get("key"), 32);
  if (record?.get("format") !== "clampwright-record" || record.get("version") !== 1) {
    verdict.findings.push({ code: "no_record" });
    return;
  }
  if (typeof origin !== "string" || typeof job !== "string" || key === null) {
    verdict.findings.push({ code: "no_record" });
    return;
  }
  if (!Array.isArray(entries) || entries.length === 0) {
    verdict.findings.push({ code: "no_record" });
    return;
  }
  Object.assign(verdict, { origin, job, rows: entries.length, fingerprint: fingerprint(key) });
  if (demanded !== null && demanded !== verdict.fingerprint) {
    verdict.findings.push({ code: "other_key" });
  }
  const head = headOf(record.get("checkpoint"));
  verdict.head = head;
  checkHead(head, origin, key, verdict);
  const rows = checkRows(entries, head, verdict);
  if (rows !== null) checkTogether(rows, key, verdict);
}

/**
 * Step 3.
 * @param {Head | null} head
 * @param {string} origin
 * @param {Uint8Array} key
 * @param {Verdict} verdict
 */
function checkHead(head, origin, key, verdict) {
  if (head === null) verdict.findings.push({ code: "head_form" });
  else if (head.origin !== origin) verdict.findings.push({ code: "head_origin" });
  else if (!signedWith(head, key)) verdict.findings.push({ code: "head_signature" });
}

/**
 * Step 4. Return the rows, or null when one has not the form of a row.
 * @param {Value[]} entries
 * @param {Head | null} head
 * @param {Verdict} verdict
 * @returns {[Row, Entry][] | null}
 */
function checkRows(entries, head, verdict) {
  /** @type {[Row, Entry][]} */
  const found = [];
  let before = -1;
  for (const [place, value] of entries.entries()) {
    const at = String(place + 1);
    const row = rowOf(value);
    const entry = row && entryOf(row.entry);
    if (!row || !entry) {
      verdict.findings.push({ code: "row_form", at });
      continue;
    }
    if (row.index <= before) verdict.findings.push({ code: "row_order", at });
    before = row.index;
    if (!stands(row, head)) verdict.findings.push({ code: "row_altered", at });
    found.push([row, entry]);
  }
  return found.length === entries.length ? found : null;
}

/**
 * Tell whether an entry is in the tree that the head is over; without a head nobody can.
 * @param {Row} row
 * @param {Head | null} head
 */
function stands(row, head) {
  const data = canonical(row.entry);
  if (data.length > LARGEST_ENTRY) return false;
  if (head === null) return true; // the missing head is a finding of its own
  return inclusionHolds(leafHash(data), BigInt(row.index), head.size, row.proof, head.root);
}

/**
 * Step 5.
 * @param {[Row, Entry][]} rows
 * @param {Uint8Array} key
 * @param {Verdict} verdict
 */
function checkTogether(rows, key, verdict) {
  const entries = rows.map(([, entry]) => entry);
  const ids = new Set(entries.map((entry) => entry.id));
  if (ids.size !== entries.length) verdict.findings.push({ code: "same_id" });
  checkKeys(rows, key, verdict);
  const ofJob = entries.filter((entry) => entry.job !== null);
  verdict.ofJob = ofJob.length;
  if (ofJob.some((entry) => entry.job !== verdict.job)) verdict.findings.push({ code: "other_job" });
  if (ofJob.some((entry, place) => entry.jobSeq !== place)) verdict.findings.push({ code: "gap" });
  checkClosing(entries, ofJob.length, verdict);
}

/**
 * The first row, and the keys from the first to the record's.
 * @param {[Row, Entry][]} rows
 * @param {Uint8Array} key
 * @param {Verdict} verdict
 */
function checkKeys(rows, key, verdict) {
  const [row, entry] = rows[0] ?? [];
  const first = fromBase64(entry?.body.get("public_key"), 32);
  if (row?.index !== 0 || entry?.kind !== "log_opened" || first === null) {
    verdict.findings.push({ code: "beginning" });
    return;
  }
  if (entry.body.get("origin") !== verdict.origin) verdict.findings.push({ code: "beginning" });
  let present = first;
  verdict.keys.push(first);
  for (const [{ index }, { kind, job, body }] of rows) {
    if (kind !== "key_changed") continue;
    const change = job === null ? keyChange(body, verdict.origin, index, present) : null;
    if (change === null) {
      verdict.findings.push({ code: "key_change", at: String(index) });
      return;
    }
    present = change.key;
    verdict.keys.push(present);
    verdict.changes += 1;
    if (!change.signedByOld) verdict.unsignedChanges += 1;
  }
  if (!equal(present, key)) verdict.findings.push({ code: "rebuilt" });
}

/**
 * The last row counts what stands before it.
 * @param {Entry[]} entries
 * @param {number} ofJob
 * @param {Verdict} verdict
 */
function checkClosing(entries, ofJob, verdict) {
  const last = entries.at(-1);
  const body = exactly(last?.body, "entries", "also");
  const [count, also] = [body?.get("entries"), body?.get("also")];
  if (last?.kind !== "record_made" || last.job === null || !isCount(count)) {
    verdict.findings.push({ code: "closing" });
    return;
  }
  verdict.closed = last.recorded;
  const others = entries.slice(1).filter((entry) => entry.job === null);
  const named =
    Array.isArray(also) &&
    also.length === others.length &&
    others.every((entry, place) => entry.id === also[place]);
  if (count !== ofJob - 1 || !named) verdict.findings.push({ code: "counted" });
}
