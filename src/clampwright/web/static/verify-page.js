// The page that verifies a record: everything happens on this device, nothing is sent.

import { fill, make } from "./dom.js";
import { heldAgainst, keptOf, ofTheseKeys } from "./held-against.js";
import { isPaper, recordIn } from "./record-in-paper.js";
import { isStamp, stampOver } from "./time-stamp.js";
import { demandedFingerprint } from "./signed-head.js";
import { FOUND, HOLDS, STANDINGS } from "./verify-words.js";
import { verifyRecord } from "./verify-record.js";
import { say } from "./words.js";

/** @typedef {import("./held-against.js").Kept} Kept */
/** @typedef {import("./verify-record.js").Verdict} Verdict */

/** @param {string} id */
function inputOf(id) {
  const found = document.getElementById(id);
  if (!(found instanceof HTMLInputElement)) throw new Error(`no field ${id}`);
  return found;
}

const place = document.getElementById("verdict");
const drop = document.getElementById("drop");
const recordField = inputOf("record");
const keptField = inputOf("kept");
const keyField = inputOf("key");
const MOST_TOLD = 20;
/** @type {File | null} */
let dropped = null;
/** Counts what was asked: an answer that was overtaken is not shown. */
let turn = 0;

/** @param {File} file */
const bytesOf = async (file) => new Uint8Array(await file.arrayBuffer());

/**
 * The sentence of a finding.
 * @param {import("./verify-record.js").Finding} finding
 */
const told = ({ code, at = "" }) => say(FOUND[code], { at });

/**
 * What the kept heads say, each in a sentence, and whether one of them contradicts the record.
 * @param {Verdict} verdict
 * @param {File[]} files
 */
async function heldTold(verdict, files) {
  /** @type {[string, Kept | null][]} */
  const all = [];
  /** @type {[string, Uint8Array][]} */
  const stamps = [];
  for (const file of files) {
    const bytes = await bytesOf(file);
    if (isStamp(bytes)) stamps.push([file.name, bytes]);
    else all.push([file.name, keptOf(bytes)]);
  }
  const kept = all.flatMap(([, one]) => one ?? []);
  /** @type {{ text: string, against: boolean }[]} */
  const lines = [];
  for (const [file, one] of all) {
    if (one === null || verdict.head === null) {
      lines.push({ text: say("verify_kept_none", { file }), against: true });
      continue;
    }
    const standing = heldAgainst(verdict.head, one.head, kept);
    const sizes = { file, kept: String(one.head.size), own: String(verdict.head.size) };
    const against = standing === "another_way" || standing === "other_log";
    lines.push({ text: say(STANDINGS[standing], sizes), against });
    if (!ofTheseKeys(one.head, verdict.keys)) {
      lines.push({ text: say("verify_kept_other_key", { file }), against: false });
    }
    if (one.head.witnesses > 0) {
      const count = one.head.witnesses;
      lines.push({ text: say("verify_kept_witnesses", { file, count }), against: false });
    }
  }
  return [...lines, ...stamps.map(([file, bytes]) => stampTold(file, bytes, verdict, all))];
}

/**
 * What a time stamp is over; its signature is not checked here, and that is said.
 * @param {string} file
 * @param {Uint8Array} bytes
 * @param {Verdict} verdict
 * @param {[string, Kept | null][]} all
 */
function stampTold(file, bytes, verdict, all) {
  if (verdict.head !== null && stampOver(bytes, verdict.head)) {
    return { text: say("verify_stamp_own", { file }), against: false };
  }
  const under = all.find(([, one]) => one !== null && stampOver(bytes, one.head));
  if (under) return { text: say("verify_stamp_kept", { file, head: under[0] }), against: false };
  return { text: say("verify_stamp_none", { file }), against: true };
}

/**
 * @param {string} heading
 * @param {string[]} sentences
 */
function section(heading, sentences) {
  if (sentences.length === 0) return null;
  const items = sentences.map((sentence) => make("li", {}, sentence));
  return make("section", {}, make("h2", {}, heading), make("ul", {}, ...items));
}

/**
 * Whose key it is, large, to be compared.
 * @param {Verdict} verdict
 * @param {boolean} demanded
 */
function keySection(verdict, demanded) {
  if (verdict.fingerprint === "") return null;
  return make(
    "section",
    {},
    make("h2", {}, say("verify_key_first")),
    make("p", { class: "fingerprint" }, verdict.fingerprint),
    make("p", {}, demanded ? say("verify_key_demanded") : say("verify_key_compare")),
  );
}

/** A time of a record, which is in UTC, to the second. @param {string} time */
const utc = (time) => `${time.slice(0, 19).replace("T", " ")} UTC`;

/**
 * What does not hold, and what to do about it.
 * @param {Verdict} verdict
 * @param {string[]} against what kept heads contradict
 */
function faults(verdict, against) {
  const found = [...verdict.findings.map(told), ...against];
  if (found.length > MOST_TOLD) {
    const count = found.length - MOST_TOLD;
    found.splice(MOST_TOLD, count, say("verify_more", { count }));
  }
  if (verdict.findings.length > 0 && verdict.findings.every(({ code }) => code === "row_altered")) {
    found.push(say("verify_rest_holds"));
  }
  if (verdict.findings.some(({ code }) => code !== "other_key")) found.push(say("verify_again"));
  return found;
}

/**
 * @param {Verdict} verdict
 * @param {string} file
 */
function facts(verdict, file) {
  const { job, origin, head } = verdict;
  const lines = [say("verify_fact_file", { file })];
  if (job) lines.push(say("verify_fact_job", { job, count: verdict.ofJob }));
  if (head) lines.push(say("verify_fact_log", { origin, count: String(head.size) }));
  if (verdict.closed) lines.push(say("verify_fact_closed", { time: utc(verdict.closed) }));
  if (verdict.changes > 0) lines.push(say("verify_fact_changes", { count: verdict.changes }));
  return lines;
}

/** What holds, when all of it does. */
const held = () => HOLDS.map((one) => say(one));

/**
 * What the file alone can never show.
 * @param {Verdict} verdict
 * @param {boolean} kept
 * @param {boolean} paper
 */
function limits(verdict, kept, paper) {
  const lines = [say("verify_limit_true"), say("verify_limit_before")];
  if (paper) lines.unshift(say("verify_limit_paper"));
  if (!kept) lines.push(say("verify_limit_log"));
  if (verdict.unsignedChanges > 0) {
    lines.unshift(say("verify_limit_change", { count: verdict.unsignedChanges }));
  }
  return lines;
}

/**
 * @param {File} file
 * @param {boolean} asked by the button or Enter: then the answer takes the place of the field
 */
async function check(file, asked) {
  turn += 1;
  const mine = turn;
  const named = keyField.value.trim();
  const demanded = named === "" ? null : demandedFingerprint(named);
  if (named !== "" && demanded === null) return tell("notice", say("verify_key_none"));
  tell("", say("verify_checking"));
  await new Promise((painted) => setTimeout(painted, 30));
  const chosen = await bytesOf(file);
  const paper = isPaper(chosen);
  const record = paper ? await recordIn(chosen) : chosen;
  if (mine !== turn) return;
  if (record === null) return tell("notice", say("verify_no_paper"));
  const verdict = verifyRecord(record, demanded);
  const kept = [...(keptField.files ?? [])];
  const lines = await heldTold(verdict, kept);
  if (mine !== turn) return;
  const against = lines.filter((line) => line.against).map((line) => line.text);
  const whole = verdict.whole && against.length === 0;
  const word = whole ? say("verify_whole") : say("verify_not_whole");
  const heads = lines.filter((line) => !line.against).map((line) => line.text);
  show(
    make("p", { class: whole ? "outcome is-whole" : "outcome is-altered" }, word),
    section(say("verify_findings"), faults(verdict, against)),
    keySection(verdict, demanded !== null && !verdict.findings.some((one) => one.code === "other_key")),
    section(say("verify_about_file"), facts(verdict, file.name)),
    section(say("verify_heads"), heads),
    whole ? section(say("verify_holds"), held()) : null,
    section(say("verify_limits"), limits(verdict, kept.length > 0, paper)),
  );
  // Nobody's typing is interrupted by a check that began by itself.
  if (asked || document.activeElement !== keyField) place?.focus();
}

/** @param {...(Node | null)} children */
function show(...children) {
  if (!place) return;
  fill(place, ...children);
}

/**
 * @param {string} kind
 * @param {string} text
 */
function tell(kind, text) {
  if (place) fill(place, make("p", kind ? { class: kind } : {}, text));
}

/** Check what is chosen or was dropped, if anything is. @param {boolean} asked by the button */
function begin(asked) {
  const file = dropped ?? recordField.files?.[0];
  if (file) void check(file, asked).catch(unreadable);
  else if (asked) tell("notice", say("verify_no_file"));
}

/**
 * A file that was moved or taken away cannot be read any more; anything else is a fault of ours.
 * @param {unknown} error
 */
function unreadable(error) {
  tell("notice", say("verify_unreadable"));
  if (!(error instanceof DOMException)) throw error;
}

recordField.addEventListener("change", () => {
  dropped = null;
  begin(false);
});
keptField.addEventListener("change", () => begin(false));
document.getElementById("verify")?.addEventListener("submit", (event) => {
  event.preventDefault();
  begin(true);
});
drop?.addEventListener("dragover", (event) => {
  event.preventDefault();
  drop.classList.add("is-over");
});
drop?.addEventListener("dragleave", () => drop.classList.remove("is-over"));
drop?.addEventListener("drop", (event) => {
  event.preventDefault();
  drop.classList.remove("is-over");
  dropped = event.dataTransfer?.files[0] ?? null;
  begin(false);
});
