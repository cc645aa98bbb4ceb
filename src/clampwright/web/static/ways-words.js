// What the ways in which a result comes in are called.

import { say } from "./words.js";

/** @typedef {import("./types.d.ts").Step} Step */
/** @typedef {Step["ways"][number] | "figure"} WayIn */

/** @type {Record<WayIn, () => string>} */
export const TABS = {
  marks: () => say("way_marks"),
  gauge: () => say("way_gauge"),
  phone: () => say("way_phone"),
  stretch: () => say("ways_stretch"),
  turning: () => say("ways_turning"),
  figure: () => say("ways_title"),
};

/**
 * What the button that opens the sheet says.
 * @param {Step} step
 */
export function waysWords(step) {
  const first = step.ways[0];
  if (first === "marks") return say("ways_marks");
  return first ? TABS[first]() : "";
}
