// Where a painted mark stands on the clock face of a fastener, and what that says of the angle.
// The same reckoning as work/clock_marks.py; places are degrees from 12, clockwise, as seen.

/** As fine as an eye tells a mark: a quarter of an hour, degrees. */
export const STEP = 7.5;
const MOST_TURNS = 20;

/** @typedef {"cw" | "ccw"} Turning */

/**
 * Where a mark stands after a turn, and how many times it went round.
 * @param {number} start
 * @param {number} angle
 * @param {Turning} turning
 * @returns {{ goal: number, turns: number }}
 */
export function goalOf(start, angle, turning) {
  const turns = Math.floor(Math.round((angle / 360) * 1e9) / 1e9);
  const signed = turning === "cw" ? angle : -angle;
  return { goal: around(start + signed), turns };
}

/**
 * The angle between two places, full turns besides.
 * @param {number} start
 * @param {number} end
 * @param {number} turns
 * @param {Turning} turning
 */
export function angleOf(start, end, turns, turning) {
  return around(turning === "cw" ? end - start : start - end) + 360 * turns;
}

/**
 * Full turns that bring a turn nearest to what is expected.
 * @param {number} start
 * @param {number} end
 * @param {Turning} turning
 * @param {number} expected
 */
export function nearestTurns(start, end, turning, expected) {
  const part = angleOf(start, end, 0, turning);
  return Math.min(Math.max(0, Math.round((expected - part) / 360)), MOST_TURNS);
}

/**
 * A place as the hour hand tells it: 75 is 2:30.
 * @param {number} place
 */
export function clockText(place) {
  const minutes = Math.round(place * 2) % 720;
  return `${Math.floor(minutes / 60) || 12}:${String(minutes % 60).padStart(2, "0")}`;
}

/** The uncertainty of two places read to a step, 95 %, degrees. */
export function spreadOfMarks() {
  return 2 * STEP * Math.sqrt(2 / 12);
}

/** @param {number} place */
export function around(place) {
  return (((Math.round(place * 1e6) / 1e6) % 360) + 360) % 360;
}

/**
 * The nearest place an eye tells.
 * @param {number} place
 */
export function snapped(place) {
  return around(Math.round(place / STEP) * STEP);
}
