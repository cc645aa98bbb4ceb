// A live torque on the page of a try by hand: shown with its age, taken only while it is fresh.

import { fill, make } from "./dom.js";
import { say } from "./words.js";

const EVERY = 250;
const FRESH = 2;

/**
 * @typedef {object} Source
 * @property {string} name
 * @property {string} now text with unit
 * @property {string} highest text with unit
 * @property {number} age seconds since its last sample, when the server answered
 */

class LivePeak extends HTMLElement {
  /** @type {Source | null} */
  #source = null;
  #seen = 0;
  #timer = 0;
  #button = make("button", { type: "button", class: "button", onclick: () => this.#take() }, say("live_take"));
  #value = make("p", { class: "live-value" });
  #about = make("p", { class: "quiet" });

  connectedCallback() {
    this.hidden = true;
    fill(this, this.#value, this.#about, this.#button);
    this.#timer = window.setInterval(() => void this.#ask(), EVERY);
    void this.#ask();
  }

  disconnectedCallback() {
    window.clearInterval(this.#timer);
  }

  get #age() {
    return this.#source ? this.#source.age + (performance.now() - this.#seen) / 1000 : Infinity;
  }

  async #ask() {
    if (document.hidden) return;
    try {
      const reply = await fetch("/api/practice/live", { credentials: "same-origin" });
      const data = await reply.json();
      /** @type {Source[]} */
      const sources = reply.ok ? data.sources : [];
      const [first] = sources;
      if (first) {
        this.#source = first;
        this.#seen = performance.now();
      }
    } catch {
      // Without an answer the value that is shown grows old, and says so.
    }
    this.#show();
  }

  #show() {
    if (!this.#source) return;
    const old = this.#age > FRESH;
    this.hidden = false;
    this.classList.toggle("is-old", old);
    this.#button.disabled = old;
    this.#value.textContent = this.#source.now;
    const age = say("peak_age", { age: this.#age.toFixed(1) });
    const highest = say("live_highest", { value: this.#source.highest });
    this.#about.textContent = `${this.#source.name}: ${highest}, ${age}${old ? `, ${say("peak_stale")}` : ""}`;
  }

  #take() {
    const field = document.getElementById("in-reached");
    if (!(field instanceof HTMLInputElement) || !this.#source || this.#age > FRESH) return;
    field.value = this.#source.highest;
    field.focus();
  }
}

customElements.define("live-peak", LivePeak);
