// The touch that wakes a dark screen, or ends a broken connection, does nothing else: a sheet of
// glass lies over the page until it is touched.

import { fill, make } from "./dom.js";
import { say } from "./words.js";

export class WakeTouch extends HTMLElement {
  #glass = make("button", { type: "button", class: "glass" });
  /** In the top layer, so that it lies over an open sheet too. */
  #layer = make("dialog", { class: "glass-layer" }, this.#glass);
  /** @type {() => void} */
  #then = () => {};

  connectedCallback() {
    fill(this, this.#layer);
    this.#glass.addEventListener("click", () => this.#woken());
    this.#layer.addEventListener("cancel", () => this.#woken());
    document.addEventListener("visibilitychange", () => {
      if (!document.hidden) this.lay(say("woken"));
    });
    // A pedal or a keyboard wakes it too, and does nothing else.
    document.addEventListener("keydown", (event) => this.#keyed(event), { capture: true });
  }

  /** @returns {boolean} */
  get lies() {
    return this.#layer.open;
  }

  /**
   * Lay the glass over the page.
   * @param {string} text
   * @param {() => void} then what the touch does here: it ends a broken connection
   */
  lay(text, then = () => {}) {
    this.#then = then;
    fill(this.#glass, make("span", {}, text));
    if (!this.lies) this.#layer.showModal();
  }

  /** It came back by itself. */
  lift() {
    this.#layer.close();
  }

  #woken() {
    const then = this.#then;
    this.#then = () => {};
    this.lift();
    then();
  }

  /** @param {KeyboardEvent} event */
  #keyed(event) {
    if (!this.lies || event.ctrlKey || event.altKey || event.metaKey) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    if (!event.repeat) this.#woken();
  }
}

customElements.define("wake-touch", WakeTouch);
