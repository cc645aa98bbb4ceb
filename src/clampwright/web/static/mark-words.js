// Where a mark goes, in words that may be spoken.

import { clockText, goalOf } from "./clock-marks.js";
import { say } from "./words.js";

/**
 * @param {number} start
 * @param {number} angle
 * @param {import("./clock-marks.js").Turning} turning
 */
export function markWords(start, angle, turning) {
  const { goal, turns } = goalOf(start, angle, turning);
  const [first, last] = [start, goal].map((place) => clockText(place).replace(/:00$/, ""));
  const places = { start: first ?? "", goal: last ?? "" };
  if (turns === 0) return say("mark_to", places);
  return turns === 1 ? say("mark_once", places) : say("mark_times", { ...places, turns });
}
