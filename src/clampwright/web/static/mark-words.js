// Where a mark goes, in words that may be spoken.

import { clockText, goalOf } from "./clock-marks.js";
import { say } from "./words.js";

/** @param {number} place */
export function oClock(place) {
  const text = clockText(place);
  return text.endsWith(":00") ? say("o_clock", { hour: text.slice(0, -3) }) : text;
}

/**
 * @param {number} start
 * @param {number} angle
 * @param {import("./clock-marks.js").Turning} turning
 */
export function markWords(start, angle, turning) {
  const { goal, turns } = goalOf(start, angle, turning);
  const places = { start: oClock(start), goal: oClock(goal) };
  const [first, last] = [clockText(start), clockText(goal)];
  if (turns === 0 && first.endsWith(":00") && last.endsWith(":00")) {
    return say("mark_hours", { start: first.slice(0, -3), goal: last.slice(0, -3) });
  }
  if (turns === 0) return say("mark_to", places);
  return turns === 1 ? say("mark_once", places) : say("mark_times", { ...places, turns });
}
