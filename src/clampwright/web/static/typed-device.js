// A device that types, heard anywhere on the page and whatever has the focus: its text fills a
// value, and never confirms one. What fingers type goes its usual way.

import { Burst, FAST, SILENT } from "./typed-burst.js";

const KEPT = "typed-device";

/** @typedef {import("./typed-text.js").TypedSettings} TypedSettings */
/** @typedef {{ text: string, enter: boolean, double: boolean }} Whole */

/** @returns {TypedSettings} */
export function typedSettings() {
  try {
    const kept = JSON.parse(localStorage.getItem(KEPT) ?? "{}");
    const mark = ["point", "comma"].includes(kept.mark) ? kept.mark : "either";
    return { on: kept.on !== false, mark };
  } catch {
    return { on: true, mark: "either" };
  }
}

/** @param {TypedSettings} settings */
export function keepTypedSettings(settings) {
  try {
    localStorage.setItem(KEPT, JSON.stringify(settings));
  } catch {
    // It holds until the page is left.
  }
}

/**
 * Hear what a device types.
 * @param {(whole: Whole) => void} came
 */
export function hearTyping(came) {
  const hearing = new Hearing(came);
  document.addEventListener("keydown", (event) => hearing.down(event), { capture: true });
  document.addEventListener("keyup", (event) => hearing.up(event), { capture: true });
}

/** Whether a PIN or password is being typed: that is no figure, and stands nowhere on the page. */
function isSecret() {
  const focus = document.activeElement;
  const password = focus instanceof HTMLInputElement && focus.type === "password";
  return password || document.querySelector("dialog.who[open]") !== null;
}

class Hearing {
  #burst = new Burst();
  /** The field a text began in, and what stood there. @type {HTMLInputElement | null} */
  #field = null;
  #stood = "";
  #spaceDown = false;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  #timer;
  /**
   * A Space or Enter that waits: a device may begin with it, and then it presses nothing.
   * @type {ReturnType<typeof setTimeout> | undefined}
   */
  #held;

  /** @param {(whole: Whole) => void} came */
  constructor(came) {
    this.came = came;
  }

  /** @param {KeyboardEvent} event */
  down(event) {
    if (!typedSettings().on || !event.isTrusted || event.repeat || isSecret()) return;
    if (event.ctrlKey || event.altKey || event.metaKey || event.isComposing) return;
    const focus = document.activeElement;
    clearTimeout(this.#held);
    if (!this.#burst.open && this.#hold(event, focus)) return;
    if (!this.#burst.open) {
      this.#field = focus instanceof HTMLInputElement ? focus : null;
      this.#stood = this.#field?.value ?? "";
    }
    const told = this.#burst.key(event.key, event.timeStamp);
    clearTimeout(this.#timer);
    const at = event.timeStamp + SILENT;
    this.#timer = setTimeout(() => this.#told(this.#burst.idle(at)), SILENT);
    if (told.swallow) this.#swallow(event);
    this.#told(told);
  }

  /** @param {KeyboardEvent} event */
  up(event) {
    if (event.key !== " " || !this.#spaceDown) return;
    this.#spaceDown = false; // a button is pressed when Space comes up again
    event.preventDefault();
  }

  /** @param {KeyboardEvent} event */
  #swallow(event) {
    event.preventDefault();
    event.stopImmediatePropagation();
    this.#spaceDown = event.key === " ";
  }

  /**
   * Hold a Space or Enter for a moment, where it would press something.
   * @param {KeyboardEvent} event
   * @param {Element | null} focus
   */
  #hold(event, focus) {
    if (event.key !== " " && event.key !== "Enter") return false;
    const acts = pressed(event.key, focus);
    const late = event.key === "Enter" && this.#burst.key(event.key, event.timeStamp).swallow;
    if (late) {
      this.#swallow(event);
      return true;
    }
    if (!acts) return true;
    this.#swallow(event);
    this.#held = setTimeout(acts, FAST + 5);
    return true;
  }

  /** @param {import("./typed-burst.js").Told} told */
  #told(told) {
    const field = this.#field;
    if (told.give && field) {
      const at = field.selectionEnd ?? field.value.length;
      field.setRangeText(told.give, at, at, "end");
    }
    if (!told.whole) return;
    if (field) field.value = this.#stood; // the first sign was taken for a person's
    this.came(told.whole);
  }
}

/**
 * What a key presses, to be done a moment later; null where it presses nothing.
 * @param {string} key
 * @param {Element | null} focus
 * @returns {(() => unknown) | null}
 */
function pressed(key, focus) {
  if (focus instanceof HTMLButtonElement) return () => focus.click();
  if (focus instanceof HTMLInputElement && key === "Enter" && focus.form) {
    const form = focus.form;
    const again = () => new KeyboardEvent("keydown", { key, bubbles: true, cancelable: true });
    return () => focus.dispatchEvent(again()) && form.requestSubmit();
  }
  const nowhere = !focus || focus === document.body || focus.id === "content";
  return nowhere ? () => document.dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true })) : null;
}
