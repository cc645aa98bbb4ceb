// The tool's own scale at the wanted setting, as a drawing over the page.

import { drawing, fill, make } from "./dom.js";
import { SayAloud } from "./say-aloud.js";
import { say } from "./words.js";

export class SettingCard extends HTMLElement {
  #dialog = make("dialog", { class: "sheet card" });

  connectedCallback() {
    this.#dialog.setAttribute("aria-label", say("card"));
    fill(this, this.#dialog);
  }

  /**
   * @param {string} svg
   * @param {string} spoken the same in sentences; empty where there is nothing to say
   */
  open(svg, spoken = "") {
    const close = make(
      "button",
      { type: "button", class: "button main wide", onclick: () => this.#dialog.close() },
      say("close"),
    );
    const aloud = spoken && new SayAloud();
    if (aloud) Object.assign(aloud.dataset, { said: spoken, label: say("aloud") });
    fill(this.#dialog, drawing(svg), aloud, close);
    this.#dialog.showModal();
  }
}

customElements.define("setting-card", SettingCard);
