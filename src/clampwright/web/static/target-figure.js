// The largest thing on the page: what the tool in hand must show.

import { fill, make } from "./dom.js";
import { told } from "./told.js";

/** @typedef {import("./types.d.ts").Step} Step */

/** Below this the figure would be squeezed too thin; then the unit goes to a line of its own. */
const NARROWEST = 0.82;

export class TargetFigure extends HTMLElement {
  #observer = new ResizeObserver(() => this.#fit());

  connectedCallback() {
    this.#observer.observe(this);
  }

  disconnectedCallback() {
    this.#observer.disconnect();
  }

  /** @param {Step} step */
  show(step) {
    this.classList.toggle("in-words", !step.figure);
    if (!step.figure) {
      fill(this, make("p", { class: "target-words" }, step.asked));
      return;
    }
    fill(
      this,
      make("p", { class: "target-caption" }, step.caption),
      make(
        "p",
        { class: "target-line" },
        make("span", { class: "target-digits" }, told(step.figure)),
        " ",
        step.unit && make("span", { class: "target-unit" }, step.unit),
      ),
      step.asked && make("p", { class: "target-asked" }, step.asked),
    );
    this.#fit();
  }

  /** Squeeze figure and unit sideways until they fit; their height stays. */
  #fit() {
    const line = this.querySelector(".target-line");
    if (!(line instanceof HTMLElement)) return;
    line.classList.remove("two");
    line.style.removeProperty("--squeeze");
    const room = this.clientWidth;
    line.style.setProperty("--squeeze", "1");
    const wanted = width(line);
    if (wanted * NARROWEST > room) line.classList.add("two");
    const now = width(line);
    if (now > room) line.style.setProperty("--squeeze", String(Math.max(0.4, room / now)));
  }
}

/** @param {HTMLElement} line */
function width(line) {
  let widest = 0;
  let sum = 0;
  for (const part of line.children) {
    const own = part instanceof HTMLElement ? part.offsetWidth : 0;
    widest = Math.max(widest, own);
    sum += own;
  }
  const gap = parseFloat(getComputedStyle(line).columnGap) || 0;
  return line.classList.contains("two") ? widest : sum + gap;
}

customElements.define("target-figure", TargetFigure);
