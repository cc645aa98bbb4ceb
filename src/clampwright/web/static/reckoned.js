// The job as it is after what happened and was settled on this device, and waits here to be sent: the
// device works out what follows by the server's own tables. The server's word is final.

import { effectsOf, happened, pulled, restarted, settled, settledEffects, standing } from "./aftermath.js";
import { dataOf } from "./dom.js";
import { offered } from "./happening-rules.js";
import { say } from "./words.js";

/** @typedef {import("./aftermath.js").Place} Place */
/** @typedef {import("./types.d.ts").Bench} Bench */
/** @typedef {import("./types.d.ts").Due} Due */
/** @typedef {import("./types.d.ts").DueHere} DueHere */
/** @typedef {import("./types.d.ts").Effects} Effects */
/** @typedef {import("./types.d.ts").Expected} Expected */
/** @typedef {import("./types.d.ts").Happenings} Happenings */
/** @typedef {import("./types.d.ts").Item} Item */
/** @typedef {import("./types.d.ts").Key} Key */
/** @typedef {NonNullable<Bench["after"]>} After */
/** @typedef {{ offered: string, lines: string[] }} Told what is said of something that happened here */

/**
 * What became of a job here.
 * @typedef {object} Reckoned
 * @property {Bench} bench with what follows
 * @property {Item[]} items without pulls that count no more
 * @property {Map<string, Effects>} effects by the entry kept here
 * @property {Map<string, string>} keys of pulls, by the names they have here
 */

/** @param {Key} key */
const named = (key) => key.join("/");

/** @param {After} after @returns {Place} */
export function placeOf(after) {
  const pulls = after.pulls.map(([joint, stage, fastener, tool, done, doubted], at) => {
    /** @type {Key} */
    const key = [joint, stage, fastener];
    return { id: String(at), key, tool, settled: done, doubted };
  });
  return { pulls, dues: after.dues, suspects: after.suspects, asked: [] };
}

/**
 * Return the job as it is here; unchanged where nothing of that kind waits.
 * @param {Bench} bench
 * @param {Item[]} items all that is kept here, in the order of the device's counter
 * @param {Happenings} [tables]
 * @returns {Reckoned}
 */
export function reckoned(bench, items, tables = dataOf("happenings")) {
  const mine = items.filter((item) => item.job === bench.job.id && item.state === "waiting");
  const after = bench.after;
  const found = { bench, items, effects: new Map(), keys: new Map() };
  if (!after || !mine.some((item) => item.way === "happenings" || item.way === "settlings")) return found;
  /** @type {Map<string, Told>} */
  const offers = new Map();
  let place = placeOf(after);
  for (const item of mine) {
    for (const pull of place.pulls) found.keys.set(pull.id, named(pull.key));
    place = folded(tables, after, bench, place, item, found.effects, offers);
  }
  const counts = new Set(place.pulls.map((pull) => pull.id));
  return {
    ...found,
    bench: { ...withPlace(bench, after, place), dues: place.dues.map((due) => shown(tables, after, bench, due, offers)) },
    items: items.filter((item) => item.way !== "pulls" || !mine.includes(item) || counts.has(item.id)),
  };
}

/**
 * Return what the bench knows after the server took an entry, for when it cannot be asked again.
 * @param {Bench} bench as `withReceipt` gives it
 * @param {Item} item
 * @param {import("./types.d.ts").Verdict | null} verdict
 * @param {Happenings} [tables]
 * @returns {Bench}
 */
export function taken(bench, item, verdict, tables = dataOf("happenings")) {
  const after = bench.after;
  if (!after || item.job !== bench.job.id || !FOLDED.has(item.way)) return bench;
  const offers = new Map();
  const judged = verdict ? { ...item, inside: verdict.settled } : item;
  const place = folded(tables, after, bench, placeOf(after), judged, new Map(), offers);
  const dues = place.dues.map((due) => shown(tables, after, bench, due, offers));
  const numbers = new Map(place.pulls.map((pull, at) => [pull.id, String(at)]));
  const numbered = (/** @type {DueHere} */ due) => ({
    ...due,
    pulls: due.pulls.flatMap((id) => numbers.get(id) ?? []),
  });
  /** @type {After} */
  const next = {
    ...after,
    pulls: place.pulls.map(({ key, tool, settled: done, doubted }) => [...key, tool, done, doubted]),
    dues: place.dues.map(numbered),
    suspects: place.suspects,
    holds: after.holds.filter((hold) => !isAsked(place, hold)),
  };
  const ways = item.way === "pulls" || item.way === "acceptances" ? bench : withPlace(bench, after, place);
  return { ...ways, dues, after: next };
}

/** Ways whose entries change what happenings rest on. */
const FOLDED = new Set(["pulls", "acceptances", "restarts", "happenings", "settlings"]);

/**
 * @param {Bench} bench
 * @param {After} after
 * @param {Place} place
 * @returns {Bench}
 */
function withPlace(bench, after, place) {
  const last = standing(place.pulls);
  const done = new Set(last.filter((pull) => pull.settled).map((pull) => named(pull.key)));
  const at = bench.last && last.find((pull) => bench.last && named(pull.key) === named(keyOf(bench.last)));
  const again = after.holds.filter((hold) => isAsked(place, hold));
  return {
    ...bench,
    ahead: bench.sequence.filter((key) => !done.has(named(key))),
    holds: [...bench.holds, ...again].sort((a, b) => order(bench, a.joint) - order(bench, b.joint) || a.after - b.after),
    last: at && /^\d+$/.test(at.id) && !at.settled ? bench.last : null,
    suspects: place.suspects,
  };
}

/** Whether a hold point is asked again. @param {Place} place @param {import("./types.d.ts").Hold} hold */
function isAsked(place, hold) {
  return place.asked.some(([joint, from]) => joint === hold.joint && from <= hold.after);
}

/** @param {import("./types.d.ts").Verdict} verdict @returns {Key} */
function keyOf(verdict) {
  return [verdict.joint, verdict.stage, verdict.fastener];
}

/** @param {Bench} bench @param {string} joint */
function order(bench, joint) {
  return bench.sequence.findIndex((key) => key[0] === joint);
}

/**
 * @param {Happenings} tables
 * @param {After} after
 * @param {Bench} bench
 * @param {Place} place
 * @param {Item} item
 * @param {Map<string, Effects>} effects
 * @param {Map<string, Told>} offers
 * @returns {Place}
 */
function folded(tables, after, bench, place, item, effects, offers) {
  const body = /** @type {any} */ (item.body);
  if (item.way === "pulls" && item.key) {
    const inside = item.inside !== false;
    return pulled(place, { id: item.id, key: item.key, tool: body.tool ?? "", settled: inside, doubted: false });
  }
  if (item.way === "acceptances" && item.key && !item.person) {
    const key = named(item.key);
    const pull = standing(place.pulls).find((one) => named(one.key) === key);
    return { ...place, pulls: place.pulls.map((one) => (one === pull ? { ...one, settled: true } : one)) };
  }
  if (item.way === "restarts") return restarted(place, body.joint, body.fastener, body.renewed);
  if (item.way === "happenings") {
    const sort = bench.steps[`${body.joint}/${body.stage}`]?.sort ?? "";
    const rule = offered(tables, { what: body.what, sort, stage: body.stage, answers: body.answers });
    if (!rule) return place;
    const found = effectsOf(tables, after.joints, place, { ...body, tool: body.tool ?? "" }, rule.does);
    effects.set(item.id, found);
    offers.set(item.id, { offered: rule.say, lines: handOver(body.answers) });
    return happened(place, item.id, body.joint, found);
  }
  if (item.way === "settlings") {
    const due = place.dues.find((one) => one.happening === body.happening && one.due === body.due && one.joint === body.joint);
    const answers = tables.dues.find((one) => one.name === body.due)?.answers ?? [];
    if (!due) return place;
    const does = answers.find((one) => one.name === body.answer)?.does ?? [];
    const found = settledEffects(tables, after.joints, place, due, does);
    effects.set(item.id, found);
    return settled(place, item.id, due, found);
  }
  return place;
}

/**
 * Return what stands open, as it is shown: in the server's own words where it is the server's.
 * @param {Happenings} tables
 * @param {After} after
 * @param {Bench} bench
 * @param {DueHere} due
 * @param {Map<string, Told>} offers
 * @returns {Due}
 */
function shown(tables, after, bench, due, offers) {
  const same = (/** @type {{ happening: string, due: string, joint: string }} */ one) =>
    one.happening === due.happening && one.due === due.due && one.joint === due.joint;
  const theirs = bench.dues.find(same);
  const kind = tables.dues.find((one) => one.name === due.due);
  return {
    happening: due.happening,
    joint: due.joint,
    joint_title: after.joints[due.joint]?.title ?? "",
    due: due.due,
    holds_up: due.due !== "suspect",
    ask: asked(bench, due, kind?.question ?? ""),
    say: kind?.say ?? "",
    source: kind?.source ?? "",
    answers: (kind?.answers ?? []).map(({ name, say: text }) => ({ name, say: text })),
    told: kind?.told ?? "",
    // What is read back from the joint is not shown before.
    offered: theirs?.offered ?? (kind?.told === "next" ? "" : (offers.get(due.happening)?.offered ?? "")),
    lines: theirs?.lines ?? offers.get(due.happening)?.lines ?? [],
  };
}

/** Who hands over to whom, as typed here. @param {Record<string, string>} answers */
function handOver({ from, to }) {
  return from && to ? [say("hand_over", { one: from, other: to })] : [];
}

/** @param {Bench} bench @param {DueHere} due @param {string} question */
function asked(bench, due, question) {
  if (due.due === "suspect") return say("due_suspect", { tool: toolName(bench, due.tool) });
  if (due.due !== "loosen") return question;
  const numbers = due.fasteners.join(", ");
  if (due.from_stage > 1) return say("due_loosen_back", { stage: due.from_stage - 1, numbers });
  const one = due.fasteners.length === 1;
  const facts = { number: numbers, numbers };
  if (one) return due.renew ? say("due_loosen_one_new", facts) : say("due_loosen_one", facts);
  return due.renew ? say("due_loosen_new", facts) : say("due_loosen", facts);
}

/** @param {Bench} bench @param {string} tool */
function toolName(bench, tool) {
  for (const step of Object.values(bench.steps)) {
    const found = [...(step.tool ? [step.tool] : []), ...step.tools].find((one) => one.id === tool);
    if (found) return found.name;
  }
  return tool;
}

/**
 * Return what the device reckons of an entry, to be held against what the server finds.
 * @param {Reckoned} here
 * @param {string} entry
 * @returns {Expected | undefined}
 */
export function expected(here, entry) {
  const mine = here.effects.get(entry);
  if (!mine) return undefined;
  const gone = new Set(mine.void.map((id) => here.keys.get(id) ?? id));
  return { void: [...gone].sort(), loosen: mine.loosen, suspect: mine.suspect, dues: mine.dues };
}

/**
 * Return in words where the server found otherwise than the device reckoned; empty where it did not.
 * @param {Bench} bench
 * @param {Expected} mine
 * @param {Expected} theirs
 */
export function otherwise(bench, mine, theirs) {
  const told = (/** @type {Expected} */ { void: gone, loosen, suspect, dues }) =>
    JSON.stringify([[...gone].sort(), loosen.map(parts), suspect, dues]);
  if (told(mine) === told(theirs)) return "";
  const what = theirs.loosen.map((one) => asked(bench, { ...EMPTY, ...one }, "")).join("; ");
  return say("otherwise", { what: what || say("otherwise_nothing") });
}

/** @param {Effects["loosen"][number]} one */
function parts(one) {
  return [one.joint, one.fasteners, one.renew, one.from_stage];
}

/** @type {DueHere} */
const EMPTY = { happening: "", joint: "", due: "loosen", fasteners: [], renew: false, from_stage: 1, tool: "", pulls: [] };
