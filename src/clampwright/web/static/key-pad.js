// Keys for gloved fingers: a figure without the device's own small keyboard.

import { fill, make } from "./dom.js";
import { DECIMAL } from "./told.js";
import { say } from "./words.js";

const KEYS = ["7", "8", "9", "4", "5", "6", "1", "2", "3", DECIMAL, "0"];

export class KeyPad extends HTMLElement {
  #dialog = make("dialog", { class: "sheet keys" });
  #shown = make("output", { class: "keys-shown" });
  #text = "";
  /** @type {(text: string) => void} */
  #done = () => {};

  connectedCallback() {
    const keys = KEYS.map((sign) =>
      make(
        "button",
        {
          type: "button",
          class: "button key",
          "aria-label": sign === DECIMAL ? say("mark") : undefined,
          onclick: () => this.#type(sign),
        },
        sign,
      ),
    );
    const back = make(
      "button",
      { type: "button", class: "button key", "aria-label": say("delete_digit"), onclick: () => this.#cut() },
      "⌫",
    );
    const minus = make(
      "button",
      { type: "button", class: "button key", "aria-label": say("minus"), onclick: () => this.#turn() },
      "−",
    );
    const done = make(
      "button",
      { type: "button", class: "button main wide", onclick: () => this.#finish() },
      say("done"),
    );
    const heading = make("h2", { id: "keys-title" }, say("what_read"));
    this.#dialog.setAttribute("aria-labelledby", "keys-title");
    fill(this.#dialog, heading, this.#shown, make("div", { class: "key-rows" }, ...keys, minus, back), done);
    fill(this, this.#dialog);
  }

  /**
   * Let a figure be typed.
   * @param {string} text what stands in the field
   * @param {(text: string) => void} done
   */
  open(text, done) {
    this.#text = text;
    this.#done = done;
    this.#show();
    this.#dialog.showModal();
  }

  /** @param {string} sign */
  #type(sign) {
    if (sign === DECIMAL && /[.,]/.test(this.#text)) return;
    if (this.#text.length < 9) this.#text += sign;
    this.#show();
  }

  /** A sign is turned over wherever the figure stands: some phones' own keys have none. */
  #turn() {
    this.#text = /^[-−]/.test(this.#text) ? this.#text.slice(1) : `-${this.#text}`;
    this.#show();
  }

  #cut() {
    this.#text = this.#text.slice(0, -1);
    this.#show();
  }

  #show() {
    this.#shown.textContent = this.#text || "–";
  }

  #finish() {
    this.#dialog.close();
    this.#done(this.#text);
  }
}

customElements.define("key-pad", KeyPad);
