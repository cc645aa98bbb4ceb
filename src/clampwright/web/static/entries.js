// What the person did, as an entry on its way: its content, and the same in words.

import { compare } from "./compare.js";
import { say } from "./words.js";

/** @typedef {import("./types.d.ts").Item} Item */
/** @typedef {import("./types.d.ts").Key} Key */
/** @typedef {import("./types.d.ts").Reading} Reading */
/** @typedef {import("./types.d.ts").Step} Step */
/** @typedef {Pick<Item, "way" | "key" | "body" | "what" | "inside" | "side" | "limits" | "stands">} Entry */

/**
 * A pull, compared on the device for when there is no server.
 * @param {Key} key
 * @param {Step} step
 * @param {Reading} reading
 * @returns {Entry}
 */
export function pullEntry(key, step, reading) {
  const [joint, stage, fastener] = key;
  const tool = step.tool?.id ?? null;
  const adapter = step.tool?.adapter ?? null;
  return {
    way: "pulls",
    key,
    body: { joint, stage, fastener, tool, adapter, reading },
    what: `${say("fastener", { number: fastener })}: ${inWords(reading)}`,
    ...compare(step, reading),
  };
}

/**
 * A fastener was loosened and begins anew.
 * @param {Key} key
 * @param {string} reason
 * @param {boolean} renewed
 * @returns {Entry}
 */
export function restartEntry(key, reason, renewed) {
  const [joint, , fastener] = key;
  const what = say("restarted", { number: fastener });
  return { way: "restarts", key, body: { joint, fastener, reason, renewed }, what, ...NOT_COMPARED };
}

/**
 * Something happened; what follows, the server works out.
 * @param {Key} key
 * @param {Extract<import("./happened.js").Noted, { what: "happening" }>} noted
 * @returns {Entry}
 */
export function happeningEntry(key, noted) {
  const [joint, stage] = key;
  const { name, fastener, answers, note } = noted;
  const body = { joint, stage, fastener, what: name, answers, tool: noted.tool || null, note };
  const what = fastener > 0 ? say("happened_at", { what: noted.title, number: fastener }) : noted.title;
  return { way: "happenings", key, body, what, ...NOT_COMPARED, stands: noted.stands };
}

/**
 * What became of something that stood open.
 * @param {import("./types.d.ts").Due} due
 * @param {string} answer
 * @param {string} told
 * @returns {Entry}
 */
export function settlingEntry(due, answer, told) {
  const body = { joint: due.joint, happening: due.happening, due: due.due, answer, told };
  return { way: "settlings", key: null, body, what: due.ask, ...NOT_COMPARED, stands: true };
}

/**
 * The last entry is taken back.
 * @param {string} entry
 * @param {string} reason
 * @returns {Entry}
 */
export function takingBackEntry(entry, reason) {
  const what = say("taken_back", { reason });
  return { way: "takings-back", key: null, body: { entry, reason }, what, ...NOT_COMPARED, stands: true };
}

/**
 * Going on in spite of a verdict.
 * @param {Key} key
 * @param {string} entry of the pull
 * @param {string} reason
 * @returns {Entry}
 */
export function acceptanceEntry(key, entry, reason) {
  const what = `${say("accept")}: ${reason}`;
  return { way: "acceptances", key, body: { entry, reason }, what, ...NOT_COMPARED };
}

/**
 * An answer to a hold point.
 * @param {import("./types.d.ts").Hold} hold
 * @param {string} answer
 * @param {string} reason why the work goes on although it does not fit
 * @returns {Entry}
 */
export function holdEntry(hold, answer, reason) {
  const body = { joint: hold.joint, hold: hold.hold, answer, reason };
  return { way: "holds", key: null, body, what: `${hold.ask} ${answer}`, ...NOT_COMPARED };
}

/**
 * What a second person read of a pull.
 * @param {string} entry of the pull
 * @param {Key} key
 * @param {Reading} reading
 * @returns {Entry}
 */
export function secondEntry(entry, key, reading) {
  const what = `${say("second_person")}: ${inWords(reading)}`;
  return { way: "second-readings", key, body: { entry, reading }, what, ...NOT_COMPARED };
}

/**
 * Nothing is left to do.
 * @param {string} reason why, where another device may still have entries; else empty
 * @returns {Entry}
 */
export function closingEntry(reason = "") {
  const body = reason ? { reason } : {};
  return { way: "closings", key: null, body, what: say("close_job"), ...NOT_COMPARED };
}

const NOT_COMPARED = { inside: null, side: null, limits: "" };

/** @param {Reading} reading */
function inWords(reading) {
  if (reading.kind === "value") return `${reading.value} ${reading.unit}`;
  if (reading.kind === "angle") return `${reading.value}°`;
  if (reading.kind === "done") return say("done");
  if (reading.kind === "gauge" || reading.kind === "phone") return `${reading.value}°`;
  if (reading.kind === "marks") return `${reading.start} → ${reading.end}${reading.turns ? ` + ${reading.turns} × 360°` : ""}`;
  if (reading.kind === "stretch") return `${reading.free.join(" ")} → ${reading.tight.join(" ")} ${reading.unit}`;
  if (reading.kind === "while_turning") return `${reading.values.join(" ")} ${reading.unit}`;
  if (!reading.clicked) return say("clicked_not");
  return say(reading.moved ? "clicked_moved" : "clicked_still");
}
