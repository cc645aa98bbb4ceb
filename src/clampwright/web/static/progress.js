// How far the device has come by itself: the server's list of open pulls, less what is kept here.

import { figureOf } from "./compare.js";

/** @typedef {import("./types.d.ts").Bench} Bench */
/** @typedef {import("./types.d.ts").Item} Item */
/** @typedef {import("./types.d.ts").Key} Key */
/** @typedef {import("./types.d.ts").Step} Step */
/** @typedef {import("./types.d.ts").Verdict} Verdict */

/**
 * @param {Key} key
 * @returns {string}
 */
function name(key) {
  return key.join("/");
}

/**
 * Whether a pull is one of a fastener.
 * @param {Key} key
 * @param {Key} of
 */
const sameFastener = (key, of) => key[0] === of[0] && key[2] === of[2];

/**
 * Return the entries of a job that wait here, in the order of the device's counter.
 * @param {Bench} bench
 * @param {Item[]} items
 * @returns {Item[]}
 */
function waitingHere(bench, items) {
  return items.filter((item) => item.job === bench.job.id && item.state === "waiting");
}

/**
 * Return the open pulls, without those that an entry kept here seems to settle. A fastener that
 * was begun anew here has all its pulls before it again. What only waits for a signature comes last
 * in its stage: the next stage is not begun before it is settled.
 * @param {Bench} bench
 * @param {Item[]} items
 * @returns {Key[]}
 */
export function openHere(bench, items) {
  const open = new Set(bench.ahead.map(name));
  const unsigned = new Set((bench.waits ?? []).flatMap((one) => (one.key ? [name(one.key)] : [])));
  for (const { way, key, inside, person } of waitingHere(bench, items)) {
    if (!key) continue;
    if (way === "acceptances" && person) unsigned.add(name(key)); // nobody signed it here
    else if (way === "acceptances" || (way === "pulls" && inside !== false)) open.delete(name(key));
    if (way === "restarts") {
      for (const one of bench.sequence) if (sameFastener(one, key)) open.add(name(one));
    }
  }
  return lastInStage(bench.sequence.filter((key) => open.has(name(key))), unsigned);
}

/**
 * Return pulls with some of them last among those of their stage.
 * @param {Key[]} keys
 * @param {Set<string>} which
 */
function lastInStage(keys, which) {
  /** @type {Map<string, Key[][]>} */
  const stages = new Map();
  for (const key of keys) {
    const stage = `${key[0]}/${key[1]}`;
    const parts = stages.get(stage) ?? [[], []];
    parts[which.has(name(key)) ? 1 : 0]?.push(key);
    stages.set(stage, parts);
  }
  return [...stages.values()].flat(2);
}

/**
 * Return what the bench knows after the server took an entry, for when it cannot be asked again.
 * @param {Bench} bench
 * @param {Item} item
 * @param {Verdict | null} verdict
 * @returns {Bench}
 */
export function withReceipt(bench, item, verdict) {
  const { key } = item;
  if (item.job !== bench.job.id || !key) return bench;
  const open = new Set(bench.ahead.map(name));
  const settles = item.way === "acceptances" || (item.way === "pulls" && verdict?.settled);
  if (settles) open.delete(name(key));
  else if (item.way === "restarts") {
    for (const one of bench.sequence) if (sameFastener(one, key)) open.add(name(one));
  }
  const last = item.way === "pulls" && verdict && !verdict.settled ? verdict : null;
  return { ...bench, ahead: bench.sequence.filter((one) => open.has(name(one))), last };
}

/**
 * Return the entry kept here that stands open at a pull: outside the limits, and nothing said of
 * it, or nothing that was signed.
 * @param {Bench} bench
 * @param {Item[]} items
 * @param {Key} now
 * @returns {Item | null}
 */
export function outsideHere(bench, items, now) {
  /** @type {Item | null} */
  let found = null;
  for (const item of waitingHere(bench, items)) {
    if (!item.key) continue;
    if (item.way === "pulls" && name(item.key) === name(now)) found = item.inside === false ? item : null;
    if (item.way === "restarts" && sameFastener(item.key, now)) found = null;
  }
  return found;
}

/**
 * Return a step as it is for this fastener here: what short pulls kept here turned of an angle is
 * taken off what is left.
 * @param {Bench} bench
 * @param {Item[]} items
 * @param {Key} key
 * @param {Step} step
 * @returns {Step}
 */
export function stepHere(bench, items, key, step) {
  if (step.ask !== "angle") return step;
  let already = 0;
  for (const item of waitingHere(bench, items)) {
    if (!item.key) continue;
    if (item.way === "restarts" && sameFastener(item.key, key)) already = 0;
    if (item.way === "pulls" && name(item.key) === name(key) && item.side === "short") already += angleOf(item);
  }
  return already ? lessTurned(step, already) : step;
}

/** @param {Item} item */
function angleOf(item) {
  const reading = /** @type {any} */ (item.body["reading"]);
  if (!reading || ["done", "click"].includes(reading.kind)) return 0;
  const { value, unit } = figureOf(reading);
  return unit === "deg" ? (value ?? 0) : 0;
}

/**
 * @param {Step} step
 * @param {number} already degrees
 * @returns {Step}
 */
function lessTurned(step, already) {
  const less = (/** @type {number} */ value) => Number((value - already).toFixed(1));
  const deg = step.compare?.units?.["deg"];
  const compare = deg && {
    units: {
      deg: {
        low: deg.low === null ? null : less(deg.low),
        high: deg.high === null ? null : less(deg.high),
        text: [deg.low, deg.high].map((end) => (end === null ? "…" : `${less(end)}°`)).join(" – "),
      },
    },
  };
  return { ...step, figure: `${less(parseFloat(step.figure))}°`, compare: compare ?? null };
}

/**
 * Return the hold point at which the work stands, if one does: its joint has come past it.
 * @param {Bench} bench
 * @param {Item[]} items
 * @param {Key[]} open
 * @returns {import("./types.d.ts").Hold | null}
 */
export function holdHere(bench, items, open) {
  const now = open[0] ?? null;
  const kept = waitingHere(bench, items).filter((item) => item.way === "holds");
  const answered = (/** @type {import("./types.d.ts").Hold} */ hold) =>
    kept.some((item) => item.body["joint"] === hold.joint && item.body["hold"] === hold.hold);
  const due = (/** @type {import("./types.d.ts").Hold} */ hold) => {
    const first = open.find((key) => key[0] === hold.joint);
    return !first || (now !== null && first.join() === now.join() && hold.after < first[1]);
  };
  return bench.holds.find((hold) => !answered(hold) && due(hold)) ?? null;
}

/**
 * Return what happened and waits here for the server to say what follows, where the device cannot
 * work it out: until then the work stays as it is.
 * @param {Bench} bench
 * @param {Item[]} items
 * @param {boolean} alone whether the device works out what follows by itself
 * @returns {Item | null}
 */
export function standsHere(bench, items, alone) {
  const known = (/** @type {Item} */ item) => alone && (item.way === "happenings" || item.way === "settlings");
  return waitingHere(bench, items).find((item) => item.stands === true && !known(item)) ?? null;
}

/**
 * Return what something that happened has left open before the next pull, if anything.
 * @param {Bench} bench
 * @param {Key | null} now
 * @returns {import("./types.d.ts").Due | null}
 */
export function dueHere(bench, now) {
  if (now === null) return bench.dues[0] ?? null;
  return bench.dues.find((due) => due.joint === now[0] && due.holds_up) ?? null;
}

/**
 * Return the fasteners of a stage whose entries are kept here.
 * @param {Bench} bench
 * @param {Key[]} open
 * @param {Key} now
 * @returns {Set<number>}
 */
export function keptHere(bench, open, now) {
  const still = new Set(open.map(name));
  const same = bench.ahead.filter((key) => key[0] === now[0] && key[1] === now[1]);
  return new Set(same.filter((key) => !still.has(name(key))).map((key) => key[2]));
}
