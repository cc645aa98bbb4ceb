// The screen stays on while the bench is looked at, where the browser allows it (over plain http on
// another machine it does not: then nothing changes) and the person has not turned it off.

import { choices, isOn } from "./cue-choices.js";

/** @type {WakeLockSentinel | null} */
let lock = null;

async function stayOn() {
  if (document.hidden || !("wakeLock" in navigator)) return;
  if (!isOn("screen")) {
    await lock?.release();
    lock = null;
    return;
  }
  try {
    lock = await navigator.wakeLock.request("screen");
  } catch {
    // The device saves its battery: its owner's choice counts.
  }
}

/** Keep the screen on from now; a lock is lost when the page is hidden and taken again after. */
export function keepAwake() {
  document.addEventListener("visibilitychange", () => void stayOn());
  choices.addEventListener("change", () => void stayOn());
  void stayOn();
}
