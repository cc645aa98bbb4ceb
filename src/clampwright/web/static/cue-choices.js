// Which sounds, lights and words this device gives: each can be turned off by itself, and the choice
// stays on the device.

import { remember, remembered } from "./remembered.js";

/**
 * @typedef {"voice" | "ticks" | "reached" | "over" | "slip" | "felt" | "felt_ticks" | "screen" | "panel"} Cue
 */

/** What there is, in the order of the sheet, and whether it is on before anybody chooses. */
export const CUES = /** @type {[Cue, boolean][]} */ ([
  ["voice", false],
  ["ticks", false],
  ["reached", true],
  ["over", true],
  ["slip", true],
  ["felt", true],
  ["felt_ticks", true],
  ["screen", true],
  ["panel", true],
]);

const NAME = "cues";

/** @param {Cue} cue @returns {boolean} */
export function isOn(cue) {
  const kept = remembered(NAME)[cue];
  if (kept === undefined) return CUES.find(([name]) => name === cue)?.[1] ?? false;
  return kept === "on";
}

/** Tells who listens that a choice has changed. */
export const choices = new EventTarget();

/**
 * @param {Cue} cue
 * @param {boolean} on
 */
export function choose(cue, on) {
  remember(NAME, { ...remembered(NAME), [cue]: on ? "on" : "off" });
  choices.dispatchEvent(new Event("change"));
}
