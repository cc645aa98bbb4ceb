// A live value while a wrench pulls: how far, in words and as a bar, and how old the value is.

import { fill, make } from "./dom.js";
import { say } from "./words.js";

/** @typedef {import("./types.d.ts").Live} Live */

/** A value older than this is not to be trusted, ms. */
const STALE = 2000;

export class LiveGauge extends HTMLElement {
  #value = make("p", { class: "live-value" });
  #part = make("p", { class: "live-part" });
  #bar = make("div", { class: "live-bar", role: "progressbar", "aria-valuemin": "0", "aria-valuemax": "100" }, make("div", { class: "live-fill" }), make("div", { class: "live-goal" }));
  #age = make("p", { class: "live-age" });
  #at = 0;
  #ended = "";
  /** @type {ReturnType<typeof setInterval> | undefined} */
  #timer;

  connectedCallback() {
    this.#bar.setAttribute("aria-label", say("live_from"));
    fill(this, this.#value, this.#bar, make("div", { class: "live-under" }, this.#part, this.#age));
    this.#timer = setInterval(() => this.#aged(), 100);
  }

  disconnectedCallback() {
    clearInterval(this.#timer);
  }

  /** @param {Live} live */
  show(live) {
    this.#at = performance.now();
    this.#ended = "";
    const angle = live.quantity === "angle";
    this.#value.textContent = angle
      ? say("live_angle", { angle: live.angle })
      : say("live_torque", { torque: live.torque, unit: live.unit });
    const percent = Math.round(live.part * 100);
    this.#part.textContent = say("live_part", { percent });
    this.#bar.style.setProperty("--part", String(Math.min(live.part, 1.2)));
    this.#bar.setAttribute("aria-valuenow", String(Math.min(percent, 100)));
    this.#aged();
  }

  /**
   * No more values come: say why.
   * @param {string} text
   */
  end(text) {
    this.#ended = text;
    this.#aged();
  }

  #aged() {
    if (this.#ended) {
      this.#age.textContent = this.#ended;
      this.classList.remove("stale");
      return;
    }
    const age = performance.now() - this.#at;
    const stale = age > STALE;
    this.classList.toggle("stale", stale);
    this.#age.textContent = say(stale ? "live_stale" : "live_age", { age: (age / 1000).toFixed(1) });
  }
}

customElements.define("live-gauge", LiveGauge);
