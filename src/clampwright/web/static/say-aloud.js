// Sentences spoken by the device's own voice; where it has none, nothing is shown.

import { fill, make } from "./dom.js";

export class SayAloud extends HTMLElement {
  connectedCallback() {
    if (!("speechSynthesis" in window) || !("SpeechSynthesisUtterance" in window)) return;
    const speak = () => {
      const words = new SpeechSynthesisUtterance(this.dataset["said"] ?? "");
      words.lang = document.documentElement.lang;
      words.rate = 0.9;
      speechSynthesis.cancel();
      speechSynthesis.speak(words);
    };
    fill(
      this,
      make("button", { type: "button", class: "button", onclick: speak }, this.dataset["label"]),
    );
  }

  disconnectedCallback() {
    if ("speechSynthesis" in window) speechSynthesis.cancel();
  }
}

customElements.define("say-aloud", SayAloud);
