// What a device typed goes into the value that is asked for; it is filled in and never confirmed.

import { hearTyping, typedSettings } from "./typed-device.js";
import { typedProblem } from "./typed-problems.js";
import { understand } from "./typed-text.js";
import { say } from "./words.js";

/**
 * Fill in what a device types.
 * @param {HTMLElement} page where a value may be asked
 * @param {() => string[]} units in which it may be read, the first where none is typed
 * @param {(text: string) => void} tell says a sentence to the person
 */
export function fillTyped(page, units, tell) {
  hearTyping(({ text, double }) => {
    if (double) return;
    const found = understand(text, typedSettings().mark);
    const field = askedField(page);
    if (found.problem) tell(say("typed_not_read", { text, why: typedProblem(found.problem) }));
    else if (!field) tell(say("typed_not_asked", { text }));
    else if (found.unit && !chosen(field, found.unit, units())) {
      tell(say("typed_other_unit", { text, unit: units().join(", ") }));
    } else {
      field.value = found.value;
      field.dispatchEvent(new Event("input", { bubbles: true }));
      tell(say("typed_filled", { text }));
    }
  });
}

/**
 * The field that asks for a figure: in a sheet the one in use or the first, else the page's own.
 * @param {HTMLElement} page
 * @returns {HTMLInputElement | null}
 */
function askedField(page) {
  const sheet = page.querySelector("dialog[open]");
  const focus = document.activeElement;
  if (sheet) {
    if (focus instanceof HTMLInputElement && sheet.contains(focus) && focus.inputMode === "decimal") return focus;
    const first = sheet.querySelector("input[inputmode=decimal]");
    return first instanceof HTMLInputElement ? first : null;
  }
  const field = page.querySelector("pull-answer:not([hidden]) input[inputmode=decimal]");
  return field instanceof HTMLInputElement && field.checkVisibility() ? field : null;
}

/**
 * Choose the unit that was typed, where there is a choice.
 * @param {HTMLInputElement} field
 * @param {string} unit
 * @param {string[]} units
 * @returns {boolean} false where the value may not be read in it
 */
function chosen(field, unit, units) {
  if (!units.includes(unit)) return false;
  for (const one of field.form?.querySelectorAll("input[type=radio][name=unit]") ?? []) {
    if (one instanceof HTMLInputElement && one.value === unit) one.checked = true;
  }
  return true;
}
