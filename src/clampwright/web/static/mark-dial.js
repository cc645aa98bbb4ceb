// The clock face of a fastener: where the mark starts, its way, where it is to end, where it stands.

import { around, clockText, goalOf, snapped } from "./clock-marks.js";
import { svgPart } from "./shapes.js";
import { say } from "./words.js";

/** @typedef {import("./clock-marks.js").Turning} Turning */
/** @typedef {{ start: number, angle: number, turning: Turning, now: number | null }} Way */

const HEX = 44;
const WAY = 64;
const RIM = 84;

/**
 * The parts of the drawing, about (0, 0).
 * @param {Way} way
 * @returns {SVGElement[]}
 */
export function dialParts(way) {
  const { start, angle, turning, now } = way;
  const { goal, turns } = goalOf(start, angle, turning);
  const sign = turning === "cw" ? 1 : -1;
  const rest = angle - 360 * turns;
  const parts = [svgPart("circle", { class: "dial-rim", r: String(RIM) })];
  for (let hour = 0; hour < 12; hour++) parts.push(hourMark(hour));
  parts.push(svgPart("path", { class: "dial-head", d: hexagon(HEX, start) }));
  for (let ring = 0; ring < Math.min(turns, 3); ring++) {
    parts.push(svgPart("circle", { class: "dial-round", r: String(WAY - 9 + 5 * ring) }));
  }
  if (rest > 0.5) {
    parts.push(svgPart("path", { class: "dial-way", d: arc(WAY, start, start + sign * Math.max(rest - 9, 1), sign) }));
  }
  parts.push(
    svgPart("path", { class: "dial-start", d: line(start, HEX - 14, RIM) }),
    svgPart("path", { class: "dial-goal", d: wedge(goal) }),
  );
  if (now !== null) parts.push(svgPart("path", { class: "dial-now", d: line(now, 0, RIM + 4) }));
  return parts;
}

/**
 * The fastener whose turn it is, with the way of its mark round it.
 * @param {string} number
 * @param {Way} way
 * @returns {SVGElement}
 */
export function fastenerWithMark(number, way) {
  const svg = svgPart("svg", { viewBox: "-112 -112 224 224", class: "fastener-now mark-dial", "aria-hidden": "true" });
  const text = svgPart("text", { class: "fastener-number", x: "0", y: "20", "text-anchor": "middle" });
  text.textContent = number;
  if (number.length > 1) text.setAttribute("font-size", "40");
  svg.append(...dialParts(way), text);
  svg.classList.add("filled");
  return svg;
}

/** @param {number} hour */
function hourMark(hour) {
  const place = 30 * hour;
  if (hour % 3) return svgPart("path", { class: "dial-tick", d: line(place, RIM - 6, RIM + 6) });
  const [x, y] = point(RIM + 15, place);
  const text = svgPart("text", { class: "dial-hour", x: x.toFixed(1), y: (y + 8).toFixed(1), "text-anchor": "middle" });
  text.textContent = String(hour || 12);
  return text;
}

/**
 * @param {number} radius
 * @param {number} place
 * @returns {[number, number]}
 */
function point(radius, place) {
  const angle = (place * Math.PI) / 180;
  return [radius * Math.sin(angle), -radius * Math.cos(angle)];
}

/**
 * @param {number} place
 * @param {number} from
 * @param {number} to
 */
function line(place, from, to) {
  return `M${at(from, place)}L${at(to, place)}`;
}

/** @param {number} place */
function wedge(place) {
  return `M${at(HEX - 2, place)}L${at(RIM, place - 11)}L${at(RIM, place + 11)}Z`;
}

/**
 * @param {number} radius
 * @param {number} from
 * @param {number} to
 * @param {number} sign
 */
function arc(radius, from, to, sign) {
  const large = Math.abs(to - from) > 180 ? 1 : 0;
  return `M${at(radius, from)}A${radius} ${radius} 0 ${large} ${sign > 0 ? 1 : 0} ${at(radius, to)}`;
}

/**
 * @param {number} radius
 * @param {number} place
 */
function at(radius, place) {
  return point(radius, place).map((value) => value.toFixed(1)).join(" ");
}

/**
 * @param {number} radius
 * @param {number} first
 */
function hexagon(radius, first) {
  return `M${[0, 1, 2, 3, 4, 5].map((k) => at(radius, first + 60 * k)).join("L")}Z`;
}

/** The dial to look at and to touch: a touch says where the mark stands now. */
export class MarkDial extends HTMLElement {
  #svg = svgPart("svg", { viewBox: "-112 -112 224 224", class: "mark-dial", "aria-hidden": "true" });
  /** @type {Way} */
  #way = { start: 0, angle: 0, turning: "cw", now: null };

  connectedCallback() {
    this.replaceChildren(this.#svg);
    this.tabIndex = 0;
    this.setAttribute("role", "slider");
    this.setAttribute("aria-label", say("mark_now"));
    this.setAttribute("aria-valuemin", "0");
    this.setAttribute("aria-valuemax", "359");
    this.addEventListener("pointerdown", (event) => this.#touched(event));
    this.addEventListener("pointermove", (event) => event.buttons > 0 && this.#touched(event));
    this.addEventListener("keydown", (event) => this.#keyed(event));
  }

  /** @param {Way} way */
  show(way) {
    this.#way = way;
    const place = way.now ?? goalOf(way.start, way.angle, way.turning).goal;
    this.setAttribute("aria-valuenow", String(Math.round(place)));
    this.setAttribute("aria-valuetext", clockText(place));
    this.#svg.replaceChildren(...dialParts(way));
  }

  /** @param {PointerEvent} event */
  #touched(event) {
    const box = this.#svg.getBoundingClientRect();
    const x = event.clientX - box.x - box.width / 2;
    const y = event.clientY - box.y - box.height / 2;
    if (Math.hypot(x, y) < box.width / 12) return;
    event.preventDefault();
    this.#told(snapped((Math.atan2(x, -y) * 180) / Math.PI));
  }

  /** @param {KeyboardEvent} event */
  #keyed(event) {
    const by = { ArrowRight: 7.5, ArrowUp: 7.5, ArrowLeft: -7.5, ArrowDown: -7.5 }[event.key];
    if (by === undefined) return;
    event.preventDefault();
    const place = this.#way.now ?? goalOf(this.#way.start, this.#way.angle, this.#way.turning).goal;
    this.#told(around(snapped(place) + by));
  }

  /** @param {number} place */
  #told(place) {
    this.dispatchEvent(new CustomEvent("place", { detail: place, bubbles: true }));
  }
}

customElements.define("mark-dial", MarkDial);
