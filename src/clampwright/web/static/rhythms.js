// What a hand hears and feels: each signal has a rhythm of its own, so that it is told apart without
// pitch, by one who hears badly or only feels the phone. Times in ms, pitches in Hz.

/** @typedef {"reached" | "over" | "slip"} Signal */

/**
 * Tones and pauses, one after the other: how long it sounds, how long it is still, how high.
 * @type {Record<Signal, [sounds: number, still: number, pitch: number][]>}
 */
export const RHYTHMS = {
  // short, short: there it is
  reached: [[90, 80, 880], [90, 0, 880]],
  // long, long, long: too much
  over: [[420, 140, 330], [420, 140, 330], [420, 0, 330]],
  // a tremble that ends long: off it went
  slip: [[50, 40, 660], [50, 40, 520], [50, 40, 660], [50, 40, 520], [300, 0, 440]],
};

/**
 * The same as a pattern of vibration: on, off, on ...
 * @param {Signal} signal
 * @returns {number[]}
 */
export function vibration(signal) {
  const all = RHYTHMS[signal].flatMap(([sounds, still]) => [sounds, still]);
  return all.slice(0, -1);
}

/** From this share of the way on, progress is ticked. */
const FROM = 0.5;
const SLOWEST = 700;
const FASTEST = 110;

/**
 * How long from one tick to the next: the nearer, the quicker; null before half of the way and once
 * there, where stillness says to stop.
 * @param {number} share of the way, 1 at the goal
 * @returns {number | null}
 */
export function tickGap(share) {
  if (share < FROM || share >= 1) return null;
  const near = (share - FROM) / (1 - FROM);
  return SLOWEST * (FASTEST / SLOWEST) ** near;
}

/**
 * How high a tick is: it climbs by an octave from half of the way to the goal.
 * @param {number} share
 * @returns {number}
 */
export function tickPitch(share) {
  return 440 * 2 ** ((Math.min(Math.max(share, FROM), 1) - FROM) / (1 - FROM));
}

/** Marks at which the rest is said, in degrees, the farthest first. */
const MARKS = [10, 5];

/**
 * Which mark was passed between two values of the rest; null where none was.
 * @param {number | null} before
 * @param {number | null} now
 * @returns {number | null}
 */
export function passed(before, now) {
  if (now === null || now <= 0) return null;
  const found = MARKS.filter((mark) => now <= mark && (before === null || before > mark));
  return found.length ? Math.min(...found) : null;
}
