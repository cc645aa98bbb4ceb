// An angle by marks: paint here, turn, say where the mark stands now.

import { angleOf, around, clockText, goalOf, nearestTurns, snapped, spreadOfMarks, STEP } from "./clock-marks.js";
import { fill, make } from "./dom.js";
import { MarkDial } from "./mark-dial.js";
import { keepStart, startOf } from "./mark-start.js";
import { markWords } from "./mark-words.js";
import { SayAloud } from "./say-aloud.js";
import { say } from "./words.js";

/** @typedef {import("./types.d.ts").Key} Key */
/** @typedef {import("./types.d.ts").Step} Step */

export class ByMarks extends HTMLElement {
  #dial = new MarkDial();
  #words = make("p", { class: "mark-words" });
  #start = make("output", { class: "stepper-value" });
  #now = make("output", { class: "stepper-value" });
  #turned = make("output", { class: "stepper-value" });
  #rounds = make("div", { class: "stepper" });
  #told = make("p", { class: "mark-told", role: "status" });
  #aloud = new SayAloud();
  #place = 0;
  #end = 0;
  #turns = 0;
  /** Whether anybody said where it stands: before, only the goal is shown. */
  #said = false;

  /**
   * @param {Step} step
   * @param {Key} key
   * @param {boolean} blind a second person looks: the goal is nobody's business
   */
  constructor(step, key, blind = false) {
    super();
    this.step = step;
    this.key = key;
    this.blind = blind;
    this.#place = startOf(key);
    this.#end = snapped(goalOf(this.#place, this.angle, this.turning).goal);
    this.#turns = goalOf(this.#place, this.angle, this.turning).turns;
  }

  get angle() {
    return this.step.turn?.angle ?? 0;
  }

  get turning() {
    return this.step.arrow;
  }

  connectedCallback() {
    if (this.childElementCount) return;
    Object.assign(this.#aloud.dataset, { label: say("aloud") });
    this.addEventListener("place", (event) => event instanceof CustomEvent && this.#stands(event.detail));
    this.#rounds.append(...steps(say("full_turns"), this.#turned, (by) => this.#round(by)));
    const take = make("button", { type: "button", class: "button main wide", onclick: () => this.#take() }, say("take_angle"));
    fill(
      this,
      make("div", { class: "mark-said" }, this.#words, this.blind ? null : this.#aloud),
      make("p", { class: "mark-flats" }, this.blind ? "" : this.step.turn?.flats),
      this.#dial,
      make("div", { class: "stepper" }, ...steps(say("paint_here"), this.#start, (by) => this.#begins(by))),
      make("div", { class: "stepper" }, ...steps(say("mark_now"), this.#now, (by) => this.#stands(around(this.#end + by * STEP)))),
      this.#rounds,
      this.#told,
      take,
    );
    this.#show();
  }

  /** @param {number} by */
  #begins(by) {
    this.#place = around(snapped(this.#place) + by * STEP);
    keepStart(this.key, this.#place);
    if (!this.#said) this.#end = snapped(goalOf(this.#place, this.angle, this.turning).goal);
    this.dispatchEvent(new CustomEvent("start", { bubbles: true }));
    this.#show();
  }

  /** @param {number} place */
  #stands(place) {
    this.#said = true;
    this.#end = place;
    this.#turns = nearestTurns(this.#place, place, this.turning, this.angle);
    this.#show();
  }

  /** @param {number} by */
  #round(by) {
    this.#said = true;
    this.#turns = Math.min(Math.max(0, this.#turns + by), 20);
    this.#show();
  }

  #show() {
    const words = markWords(this.#place, this.angle, this.turning);
    this.#words.textContent = this.blind ? "" : words;
    this.#dial.show({
      start: this.#place,
      angle: this.blind ? 0 : this.angle,
      turning: this.turning,
      now: this.#said ? this.#end : null,
    });
    this.#start.textContent = clockText(this.#place);
    this.#now.textContent = this.#said ? clockText(this.#end) : "–";
    this.#turned.textContent = String(this.#turns);
    this.#rounds.hidden = this.angle < 300 && this.#turns === 0;
    Object.assign(this.#aloud.dataset, { said: words });
    const angle = angleOf(this.#place, this.#end, this.#turns, this.turning);
    const spread = spreadOfMarks().toFixed(0);
    this.#told.textContent = this.#said ? say("mark_angle", { angle: angle.toFixed(1).replace(/\.0$/, ""), spread }) : say("mark_touch");
  }

  #take() {
    if (!this.#said) {
      this.#told.textContent = say("mark_touch_first");
      return;
    }
    const reading = {
      kind: "marks",
      start: clockText(this.#place),
      end: clockText(this.#end),
      turns: this.#turns,
      turning: this.turning,
      step: String(STEP),
    };
    this.dispatchEvent(new CustomEvent("reading", { detail: reading, bubbles: true }));
  }
}

/**
 * A value with a way down and a way up.
 * @param {string} label
 * @param {HTMLElement} value
 * @param {(by: number) => void} act
 */
function steps(label, value, act) {
  const way = (/** @type {string} */ sign, /** @type {number} */ by) =>
    make("button", { type: "button", class: "button", "aria-label": `${label} ${sign}`, onclick: () => act(by) }, sign);
  return [make("span", { class: "stepper-label" }, label), way("−", -1), value, way("+", 1)];
}

customElements.define("by-marks", ByMarks);
