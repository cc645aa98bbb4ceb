// What something that happened has left open: to be loosened, to be asked of the maker, to be found
// out, to be taken over. The work on that joint stands until it is settled.

import { fill, make } from "./dom.js";
import { say } from "./words.js";

/** @typedef {import("./types.d.ts").Due} Due */

/** What is asked in words. @type {Record<string, () => string>} */
const LABELS = { place: () => say("due_place"), found: () => say("due_found"), next: () => say("due_next") };
/** @type {Record<string, () => string>} */
const NEEDED = {
  place: () => say("due_place_needed"),
  found: () => say("due_found_needed"),
  next: () => say("due_next_needed"),
};
/** What stands on the button, where it is not the usual. @type {Record<string, () => string>} */
const WORDS = { handover: () => say("due_taken"), handover_given: () => say("due_given") };

export class WhatIsDue extends HTMLElement {
  #drawn = "";

  /**
   * Ask for what is open.
   * @param {Due} due
   * @returns {boolean} whether it is another than stood here
   */
  show(due) {
    const drawn = JSON.stringify(due);
    if (drawn === this.#drawn) return false; // what is typed stays
    this.#drawn = drawn;
    const told = due.told ? this.#words(due) : null;
    fill(
      this,
      make("p", { class: "due-of" }, due.joint_title),
      make("h2", { class: "before-ask", tabindex: "-1" }, due.ask),
      due.offered && make("p", { class: "due-offered" }, due.offered),
      due.lines.length > 0 && make("ul", {}, ...due.lines.map((line) => make("li", {}, line))),
      told && make("label", { for: "due-told" }, LABELS[due.told]?.() ?? ""),
      told,
      make("p", { class: "wrong", role: "alert" }),
      ...this.#ways(due, told),
      make("p", { class: "offer-source" }, `${due.say} ${say("source_is", { source: due.source })}`),
    );
    return true;
  }

  /** Say what is wrong with what was typed; it stays there. @param {string} text */
  wrong(text) {
    const wrong = this.querySelector(".wrong");
    if (wrong) wrong.textContent = text;
    this.querySelector("input")?.focus();
  }

  /** What was open is settled: the same again would be another. */
  done() {
    this.#drawn = "";
  }

  /** @param {Due} due */
  #words(due) {
    const inputmode = due.told === "next" ? { inputmode: "numeric" } : {};
    const name = { name: due.due, required: true, ...inputmode };
    return make("input", { type: "text", id: "due-told", maxlength: "400", autocomplete: "off", ...name });
  }

  /**
   * @param {Due} due
   * @param {HTMLInputElement | null} told
   */
  #ways(due, told) {
    const settle = (/** @type {string} */ answer) => () => {
      if (told && !told.value.trim()) {
        this.wrong(NEEDED[due.told]?.() ?? "");
        return;
      }
      const detail = { due, answer, told: told?.value.trim() ?? "" };
      this.dispatchEvent(new CustomEvent("settled", { detail, bubbles: true }));
    };
    if (!due.answers.length) {
      const word = WORDS[due.due]?.() ?? say(due.told ? "note_it" : "due_done");
      return [make("button", { type: "button", class: "button main wide", onclick: settle("") }, word)];
    }
    return due.answers.map((one) =>
      make("button", { type: "button", class: "button wide", onclick: settle(one.name) }, one.say),
    );
  }
}

customElements.define("what-is-due", WhatIsDue);
