// Comparing a reading with the limits the server gave, for when there is no server. Nothing more:
// calibration and judgement stay with the server, whose verdict is final.

import { angleOf } from "./clock-marks.js";
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
  const { value, unit } = figureOf(reading);
  const limits = known?.units?.[unit];
  if (!limits || value === null) return { inside: null, side: null, limits: "" };
  const side = value < (limits.low ?? -Infinity) ? "short" : value > (limits.high ?? Infinity) ? "over" : null;
  return { inside: side === null, side, limits: limits.text };
}

/**
 * The figure a reading tells, without what the server knows of its uncertainty.
 * @param {Exclude<Reading, { kind: "done" } | { kind: "click" }>} reading
 * @returns {{ value: number | null, unit: string }}
 */
export function figureOf(reading) {
  switch (reading.kind) {
    case "marks":
      return { value: angleOf(place(reading.start), place(reading.end), reading.turns, reading.turning), unit: "deg" };
    case "gauge":
      return { value: less(parseNumber(reading.value), (parseNumber(reading.zero) ?? 0) + (parseNumber(reading.play ?? "0") ?? 0) / 2), unit: "deg" };
    case "stretch":
      return { value: less(mean(reading.tight), mean(reading.free)), unit: reading.unit };
    case "while_turning":
      return { value: mean(reading.values), unit: reading.unit };
    default:
      return { value: parseNumber(reading.value), unit: reading.unit };
  }
}

/** @param {string} clock */
function place(clock) {
  const [hours = "0", minutes = "0"] = clock.split(":");
  return (Number(hours) * 30 + Number(minutes) / 2) % 360;
}

/** @param {string[]} values */
function mean(values) {
  const figures = values.map(parseNumber);
  let sum = 0;
  for (const one of figures) {
    if (one === null) return null;
    sum += one;
  }
  return figures.length ? sum / figures.length : null;
}

/**
 * @param {number | null} one
 * @param {number | null} other
 */
function less(one, other) {
  return one === null || other === null ? null : one - other;
}
