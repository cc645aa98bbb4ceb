// Comparing a reading with the limits the server gave, for when there is no server. Nothing more:
// calibration and judgement stay with the server, whose verdict is final.

import { parseNumber } from "./numbers.js";

/** @typedef {import("./types.d.ts").Step} Step */
/** @typedef {import("./types.d.ts").Reading} Reading */

/**
 * @param {Step} step
 * @param {Reading} reading
 * @returns {{ inside: boolean | null, limits: string }}
 */
export function compare(step, reading) {
  const known = step.compare;
  if (reading.kind === "done") return { inside: reading.done ? null : false, limits: "" };
  if (reading.kind === "click") {
    if (!reading.clicked || !reading.moved) return { inside: false, limits: known?.text ?? "" };
    return { inside: known?.click ?? null, limits: known?.text ?? "" };
  }
  const limits = known?.units?.[reading.unit];
  const value = parseNumber(reading.value);
  if (!limits || value === null) return { inside: null, limits: "" };
  const low = limits.low ?? -Infinity;
  const high = limits.high ?? Infinity;
  return { inside: value >= low && value <= high, limits: limits.text };
}
