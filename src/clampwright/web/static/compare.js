// Comparing a reading with the limits the server gave, for when there is no server. Nothing more:
// calibration and judgement stay with the server, whose verdict is final.

import { parseNumber } from "./numbers.js";

/** @typedef {import("./types.d.ts").Step} Step */
/** @typedef {import("./types.d.ts").Reading} Reading */

/**
 * @typedef {object} Compared
 * @property {boolean | null} inside null where it cannot be told
 * @property {"short" | "over" | null} side on which side of the limits it is, where it is outside
 * @property {string} limits in words
 */

/**
 * @param {Step} step
 * @param {Reading} reading
 * @returns {Compared}
 */
export function compare(step, reading) {
  const known = step.compare;
  if (reading.kind === "done") return { inside: reading.done ? null : false, side: null, limits: "" };
  if (reading.kind === "click") {
    const limits = known?.text ?? "";
    if (!reading.clicked) return { inside: false, side: "short", limits };
    if (!reading.moved) return { inside: false, side: null, limits };
    return { inside: known?.click ?? null, side: null, limits };
  }
  const limits = known?.units?.[reading.unit];
  const value = parseNumber(reading.value);
  if (!limits || value === null) return { inside: null, side: null, limits: "" };
  const side = value < (limits.low ?? -Infinity) ? "short" : value > (limits.high ?? Infinity) ? "over" : null;
  return { inside: side === null, side, limits: limits.text };
}
