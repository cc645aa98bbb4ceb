// Several readings of the same thing, one after the other, by gloved fingers.

import { fill, make } from "./dom.js";
import { parseNumber } from "./numbers.js";
import { say } from "./words.js";

let made = 0;

export class SeveralFigures extends HTMLElement {
  /** @type {string[]} */
  #values = [];
  #field = make("input", { type: "text", inputmode: "decimal", autocomplete: "off", maxlength: "12", spellcheck: "false" });
  #list = make("div", { class: "several-list" });
  #wrong = make("p", { class: "wrong", role: "alert" });

  /** @param {string} label */
  constructor(label) {
    super();
    this.#field.id = `several-${++made}`;
    this.dataset["label"] = label;
  }

  connectedCallback() {
    if (this.childElementCount) return;
    const add = make("button", { type: "button", class: "button", onclick: () => this.#add() }, say("add_reading"));
    this.#field.addEventListener("keydown", (event) => {
      if (event.key !== "Enter") return;
      event.preventDefault();
      this.#add();
    });
    fill(
      this,
      make("label", { for: this.#field.id, class: "figure-question" }, this.dataset["label"]),
      make("div", { class: "figure-row" }, this.#field, add),
      this.#list,
      this.#wrong,
    );
  }

  /** What was read, with what still stands in the field; null where that is no figure. */
  get values() {
    if (!this.#field.value.trim()) return this.#values;
    return this.#add() ? this.#values : null;
  }

  #add() {
    const text = this.#field.value.trim();
    const good = parseNumber(text) !== null;
    this.#wrong.textContent = good ? "" : say("number_needed");
    if (!good) {
      this.#field.focus();
      return false;
    }
    this.#values = [...this.#values, text];
    this.#field.value = "";
    this.#show();
    return true;
  }

  #show() {
    const chips = this.#values.map((value, index) => {
      const out = () => {
        this.#values = this.#values.filter((_one, other) => other !== index);
        this.#show();
      };
      return make("button", { type: "button", class: "button small", "aria-label": say("drop_reading", { value }), onclick: out }, `${value} ✕`);
    });
    fill(this.#list, ...chips);
  }
}

customElements.define("several-figures", SeveralFigures);
