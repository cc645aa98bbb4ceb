// The tool's own scale at the wanted setting, as a drawing over the page.

import { drawing, fill, make } from "./dom.js";
import { say } from "./words.js";

export class SettingCard extends HTMLElement {
  #dialog = make("dialog", { class: "sheet card" });

  connectedCallback() {
    this.#dialog.setAttribute("aria-label", say("card"));
    fill(this, this.#dialog);
  }

  /** @param {string} svg */
  open(svg) {
    const close = make(
      "button",
      { type: "button", class: "button main wide", onclick: () => this.#dialog.close() },
      say("close"),
    );
    fill(this.#dialog, drawing(svg), close);
    this.#dialog.showModal();
  }
}

customElements.define("setting-card", SettingCard);
