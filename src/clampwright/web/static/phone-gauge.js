// A phone strapped to the handle as angle gauge: its rotation sensor is recorded here, the angle is
// reckoned by the server (trace/phone.py), with its uncertainty.

import { fill, make } from "./dom.js";
import { rowOf, tidied } from "./phone-rows.js";
import { ask } from "./server.js";
import { say } from "./words.js";

/** Fewer rows than this are no recording. */
const LEAST = 20;

/** @typedef {{ angle: string, u: string, swings: number, tilt: number | null, remarks: string[] }} Found */

export class PhoneGauge extends HTMLElement {
  /** @type {number[][]} */
  #rows = [];
  #began = 0;
  #told = make("p", { class: "phone-told", role: "status" });
  #ways = make("div", { class: "chips column" });
  #heard = (/** @type {DeviceMotionEvent} */ event) => this.#take(event);

  connectedCallback() {
    fill(this, make("p", {}, say("phone_about")), this.#told, this.#ways);
    if (!window.isSecureContext) void this.#insecure();
    else if (!("DeviceMotionEvent" in window)) this.#told.textContent = say("phone_none");
    else this.#offer();
  }

  disconnectedCallback() {
    removeEventListener("devicemotion", this.#heard);
  }

  async #insecure() {
    this.#told.textContent = say("phone_insecure");
    const found = await fetch("/extras").catch(() => null);
    if (found?.ok) fill(this.#ways, make("a", { class: "button", href: "/extras" }, say("phone_extras")));
  }

  #offer() {
    fill(this.#ways, button(say("phone_start"), () => void this.#start()));
  }

  async #start() {
    const asks = /** @type {{ requestPermission?: () => Promise<string> }} */ (/** @type {unknown} */ (DeviceMotionEvent));
    if (asks.requestPermission && (await asks.requestPermission().catch(() => "denied")) !== "granted") {
      this.#told.textContent = say("phone_denied");
      return;
    }
    this.#rows = [];
    this.#began = performance.now();
    addEventListener("devicemotion", this.#heard);
    this.#told.textContent = say("phone_still");
    fill(this.#ways, button(say("phone_stop"), () => void this.#stop()));
  }

  /** @param {DeviceMotionEvent} event */
  #take(event) {
    const row = rowOf((performance.now() - this.#began) / 1000, event.rotationRate, event.accelerationIncludingGravity);
    if (row) this.#rows.push(row);
  }

  async #stop() {
    removeEventListener("devicemotion", this.#heard);
    this.#offer();
    const rows = tidied(this.#rows);
    if (rows.length < LEAST) {
      this.#told.textContent = say("phone_silent");
      return;
    }
    const answer = await ask("/api/phone-angle", { method: "POST", body: { rows } });
    if (answer.error || !answer.data) {
      this.#told.textContent = answer.error || say("offline");
      return;
    }
    this.#found(answer.data);
  }

  /** @param {Found} found */
  #found(found) {
    const spread = (2 * Number(found.u)).toFixed(0);
    const told = say("phone_found", { angle: found.angle, spread, swings: found.swings });
    fill(this.#told, make("strong", { class: "mark-words" }, told), " ", found.remarks.join(" "));
    const reading = { kind: "phone", value: found.angle, unit: "deg", u: found.u, swings: found.swings };
    const take = button(say("take_angle"), () => {
      this.dispatchEvent(new CustomEvent("reading", { detail: reading, bubbles: true }));
    });
    take.classList.add("main");
    fill(this.#ways, take, button(say("phone_start"), () => void this.#start()));
  }
}

/**
 * @param {string} text
 * @param {() => void} act
 */
function button(text, act) {
  return make("button", { type: "button", class: "button wide", onclick: act }, text);
}

customElements.define("phone-gauge", PhoneGauge);
