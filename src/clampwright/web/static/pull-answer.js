// What the person tells of a pull: a click felt, a value read, degrees turned, or done.

import { fill, make } from "./dom.js";
import { parseNumber } from "./numbers.js";
import { say } from "./words.js";
import { KeyPad } from "./key-pad.js";

/** @typedef {import("./types.d.ts").Step} Step */
/** @typedef {import("./types.d.ts").Reading} Reading */

export class PullAnswer extends HTMLElement {
  /** @type {Step | null} */
  #step = null;
  #pad = new KeyPad();

  /**
   * Ask for what this stage and this tool give.
   * @param {Step} step
   */
  show(step) {
    this.#step = step;
    if (step.ask === "click") this.#click(step);
    else if (step.ask === "done") this.#onlyDone(step);
    else this.#figure(step);
  }

  /** Put the focus where the answer begins; not into a field where that would open a keyboard. */
  begin() {
    const field = this.querySelector("input[type=text]");
    const main = this.querySelector("button.main");
    const byKeys = matchMedia("(hover: hover) and (pointer: fine)").matches;
    const first = field && byKeys ? field : main;
    if (first instanceof HTMLElement) first.focus({ preventScroll: true });
  }

  /** @param {Step} step */
  #click(step) {
    const setting = step.tool?.setting ?? { value: "0", unit: "N·m" };
    /** @param {boolean} clicked @param {boolean} moved */
    const answer = (clicked, moved) => () =>
      this.#answer({
        kind: "click",
        clicked,
        moved,
        setting: { value: setting.value, unit: setting.unit },
      });
    fill(
      this,
      button("main", say("clicked_moved"), answer(true, true)),
      make(
        "div",
        { class: "pair two-one" },
        button("second", say("clicked_still"), answer(true, false)),
        button("third", say("clicked_not"), answer(false, false)),
      ),
    );
  }

  /** @param {Step} step */
  #onlyDone(step) {
    const word = step.kind === "wait" ? say("waited") : say("done");
    fill(this, button("main", word, () => this.#answer({ kind: "done", done: true })));
  }

  /** @param {Step} step */
  #figure(step) {
    const angle = step.ask === "angle";
    const plain = angle ? say("what_angle") : say("what_read");
    const question = step.records ? say("records", { question: plain }) : plain;
    const field = make("input", {
      type: "text",
      inputmode: "decimal",
      id: "figure",
      name: "figure",
      autocomplete: "off",
      autocapitalize: "off",
      spellcheck: "false",
      maxlength: "12",
      "aria-describedby": "figure-unit figure-wrong",
      enterkeyhint: "send",
    });
    const wrong = make("p", { class: "wrong", id: "figure-wrong", role: "alert" });
    const units = angle ? ["deg"] : step.units;
    const keys = button("keys-way", say("big_keys"), () =>
      this.#pad.open(field.value, (text) => {
        field.value = text;
        main.focus({ preventScroll: true });
      }),
    );
    const main = make("button", { class: "button main", type: "submit" }, say(angle ? "take_angle" : "take_value"));
    const form = make(
      "form",
      {
        class: "figure-form",
        autocomplete: "off",
        onsubmit: (event) => {
          event.preventDefault();
          const unit = chosenUnit(form, units);
          if (parseNumber(field.value) === null || !unit) {
            wrong.textContent = say("number_needed");
            field.setAttribute("aria-invalid", "true");
            field.focus();
            return;
          }
          const value = field.value.trim();
          this.#answer(angle ? { kind: "angle", value, unit: "deg" } : { kind: "value", value, unit });
        },
      },
      make("label", { for: "figure", class: "figure-question" }, question),
      make("div", { class: "figure-row" }, field, unitChoice(units, angle), keys),
      wrong,
      main,
    );
    field.addEventListener("input", () => {
      wrong.textContent = "";
      field.removeAttribute("aria-invalid");
    });
    fill(this, form, this.#pad);
  }

  /** @param {Reading} reading */
  #answer(reading) {
    if (!this.#step) return;
    this.dispatchEvent(new CustomEvent("answer", { detail: reading, bubbles: true }));
  }
}

/**
 * @param {string} name
 * @param {string} text
 * @param {() => void} act
 */
function button(name, text, act) {
  return make("button", { type: "button", class: `button ${name}`, onclick: act }, text);
}

/**
 * The unit, or a choice where the tool has several scales.
 * @param {string[]} units
 * @param {boolean} angle
 */
function unitChoice(units, angle) {
  if (units.length < 2) {
    return make("span", { class: "figure-unit", id: "figure-unit" }, angle ? "°" : (units[0] ?? ""));
  }
  const choices = units.map((unit, index) =>
    make(
      "label",
      { class: "chip" },
      withChecked(make("input", { type: "radio", name: "unit", value: unit }), index === 0),
      make("span", {}, unit),
    ),
  );
  return make(
    "fieldset",
    { class: "chips", id: "figure-unit" },
    make("legend", { class: "unseen" }, say("unit_of_scale")),
    ...choices,
  );
}

/**
 * @param {HTMLInputElement} input
 * @param {boolean} checked
 */
function withChecked(input, checked) {
  input.defaultChecked = checked;
  return input;
}

/**
 * @param {HTMLFormElement} form
 * @param {string[]} units
 * @returns {string}
 */
function chosenUnit(form, units) {
  if (units.length < 2) return units[0] ?? "";
  return String(new FormData(form).get("unit") ?? "");
}

customElements.define("pull-answer", PullAnswer);
