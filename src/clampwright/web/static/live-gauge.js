// A live value while a wrench pulls: what the hand should do, how far it is, in words and as a bar,
// what just happened, and how old the value is.

import { isOn } from "./cue-choices.js";
import { fill, make } from "./dom.js";
import { say } from "./words.js";

/** @typedef {import("./types.d.ts").Live} Live */

/** A value older than this is not to be trusted, ms. */
const STALE = 2000;
/** What happened is shown for so long, ms. */
const TOLD = 4000;

export class LiveGauge extends HTMLElement {
  #say = make("p", { class: "live-say", role: "status" });
  #value = make("p", { class: "live-value" });
  #part = make("p", { class: "live-part" });
  #rest = make("p", { class: "live-rest" });
  #bar = make("div", { class: "live-bar", role: "progressbar", "aria-valuemin": "0", "aria-valuemax": "100" }, make("div", { class: "live-fill" }), make("div", { class: "live-goal" }));
  #happened = make("p", { class: "live-happened", role: "status" });
  #age = make("p", { class: "live-age" });
  /** Breaks off a pull that waits for a device; only where this page let it begin. */
  #off = make("button", { type: "button", class: "button wide", hidden: true }, say("break_off"));
  #at = 0;
  #happenedAt = 0;
  /** A wrench that has not begun is waited for; one that has, and is silent, is not. */
  #samples = 0;
  #ended = "";
  /** @type {ReturnType<typeof setInterval> | undefined} */
  #timer;

  connectedCallback() {
    this.#bar.setAttribute("aria-label", say("live_from"));
    const under = make("div", { class: "live-under" }, this.#part, this.#age);
    fill(this, this.#say, this.#value, this.#rest, this.#bar, under, this.#happened, this.#off);
    this.#timer = setInterval(() => this.#aged(), 100);
  }

  disconnectedCallback() {
    clearInterval(this.#timer);
  }

  /** @param {Live} live */
  show(live) {
    this.#at = performance.now();
    this.#ended = "";
    this.#samples = live.samples;
    const angle = live.quantity === "angle";
    this.#value.textContent = angle
      ? say("live_angle", { angle: live.angle })
      : say("live_torque", { torque: live.torque, unit: live.unit });
    this.#hand(live);
    const percent = Math.round(live.part * 100);
    const part = say("live_part", { percent });
    this.#part.textContent = live.strokes > 0 ? `${part} · ${strokes(live.strokes)}` : part;
    this.#rest.textContent = live.rest;
    this.#bar.style.setProperty("--part", String(Math.min(live.part, 1.2)));
    this.#bar.setAttribute("aria-valuenow", String(Math.min(percent, 100)));
    this.#aged();
  }

  /**
   * What the hand should do, and what happened; a text that stays is not written again, so that a
   * screen reader speaks each once.
   * @param {Live} live
   */
  #hand(live) {
    if (this.#say.textContent !== live.told) this.#say.textContent = live.told;
    this.dataset["say"] = live.say;
    this.dataset["panel"] = isOn("panel") ? "reverse" : "plain";
    if (!live.happened.length) return;
    this.#happened.textContent = live.happened.join(" · ");
    this.#happenedAt = this.#at;
  }

  /**
   * Offer to break off what goes on.
   * @param {() => void} act
   */
  offer(act) {
    this.#off.onclick = act;
    this.#off.hidden = false;
  }

  /**
   * No more values come: say why.
   * @param {string} text
   */
  end(text) {
    this.#ended = text;
    this.#off.hidden = true;
    this.#aged();
  }

  #aged() {
    if (this.#ended) {
      this.#age.textContent = this.#ended;
      this.#say.textContent = "";
      this.dataset["say"] = "";
      this.classList.remove("stale");
      return;
    }
    const age = performance.now() - this.#at;
    const stale = age > STALE;
    if (stale && this.#samples > 0 && !this.classList.contains("stale")) {
      this.#rest.textContent = "";
      this.dispatchEvent(new CustomEvent("stale", { bubbles: true }));
    }
    this.classList.toggle("stale", stale);
    if (performance.now() - this.#happenedAt > TOLD) this.#happened.textContent = "";
    this.#age.textContent = say(stale ? "live_stale" : "live_age", { age: (age / 1000).toFixed(1) });
  }
}

/** @param {number} number */
function strokes(number) {
  return number === 1 ? say("live_stroke") : say("live_strokes", { number });
}

customElements.define("live-gauge", LiveGauge);
