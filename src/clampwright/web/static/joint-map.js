// The map of the joint, and the two buttons that bring it to where the person stands.

import { drawing, fill, make } from "./dom.js";
import { say } from "./words.js";

const TURNS = [0, 90, 180, 270];
const KEPT = "map-view";
const MARGIN = 8;

/** @typedef {{ turn: number, mirror: boolean }} View */

/** @returns {View} */
export function viewOfDevice() {
  try {
    const kept = JSON.parse(localStorage.getItem(KEPT) ?? "null");
    if (TURNS.includes(kept?.turn)) return { turn: kept.turn, mirror: kept.mirror === true };
  } catch {
    // Nothing kept that can be read: straight on.
  }
  return { turn: 0, mirror: false };
}

/** @param {View} view */
export function keepView(view) {
  try {
    localStorage.setItem(KEPT, JSON.stringify(view));
  } catch {
    // It holds until the page is left.
  }
}

export class JointMap extends HTMLElement {
  #frame = make("button", { type: "button", class: "map-frame", onclick: () => this.#larger() });
  /** @type {View} */
  #view = { turn: 0, mirror: false };
  #text = "";

  connectedCallback() {
    this.#frame.setAttribute("aria-label", say("larger_map"));
    const turn = make(
      "button",
      { type: "button", class: "button small", "aria-label": say("turn_map_about"), onclick: () => this.#turned() },
      icon("M12 30A18 18 0 1 1 36 34M28 40L38 34L40 46"),
      say("turn_map"),
    );
    const mirror = make(
      "button",
      { type: "button", class: "button small", "aria-label": say("mirror_map_about"), onclick: () => this.#mirrored() },
      icon("M24 4V44M18 12L4 36H18ZM30 12L44 36H30Z"),
      say("mirror_map"),
    );
    fill(this, this.#frame, make("div", { class: "map-ways" }, turn, mirror));
  }

  /**
   * Show a drawing made by the server.
   * @param {string} svg
   * @param {View} view
   */
  show(svg, view) {
    this.#view = view;
    if (svg === this.#text) return;
    this.#text = svg;
    fill(this.#frame, drawing(svg));
    this.#crop();
  }

  /**
   * Show, without the server, how far the device has come.
   * @param {number} now
   * @param {Set<number>} here fasteners whose entries are kept on this device
   * @param {Set<number>} open fasteners that are still to be done in this stage
   */
  mark(now, here, open) {
    for (const one of this.#frame.querySelectorAll(".fastener")) {
      const number = Number(one.getAttribute("data-fastener"));
      const before = one.getAttribute("data-state");
      let state = before;
      if (number === now) state = "now";
      else if (here.has(number)) state = "done";
      else if (before === "now" || (before === "done" && open.has(number))) state = "todo";
      if (state === before || !state) continue;
      one.setAttribute("data-state", state);
      for (const shape of one.querySelectorAll(".shape")) {
        if (shape.classList.contains(state)) shape.removeAttribute("display");
        else shape.setAttribute("display", "none");
      }
      this.#say(number, state === "now" ? say("map_now").toUpperCase() : here.has(number) ? say("map_here") : "");
      this.#frame.querySelector(".hop")?.remove();
    }
  }

  /**
   * @param {number} number
   * @param {string} word
   */
  #say(number, word) {
    const label = this.#frame.querySelector(`[data-label="${number}"]`);
    if (!label) return;
    const place = /^\d+\./.exec(label.textContent ?? "")?.[0] ?? "";
    label.textContent = `${place} ${word}`.trim();
  }

  /** The bench says beside the map which way to turn: without those words the map is larger. */
  #crop() {
    const svg = this.#frame.firstElementChild;
    if (!(svg instanceof SVGSVGElement)) return;
    svg.querySelector(".turning")?.remove();
    const { x, y, width, height } = svg.getBBox();
    if (width && height) {
      svg.setAttribute("viewBox", `${x - MARGIN} ${y - MARGIN} ${width + 2 * MARGIN} ${height + 2 * MARGIN}`);
    }
  }

  #larger() {
    this.dispatchEvent(new CustomEvent("larger", { detail: this.#text, bubbles: true }));
  }

  #turned() {
    const next = TURNS[(TURNS.indexOf(this.#view.turn) + 1) % TURNS.length] ?? 0;
    this.#asked({ ...this.#view, turn: next });
  }

  #mirrored() {
    this.#asked({ ...this.#view, mirror: !this.#view.mirror });
  }

  /** @param {View} view */
  #asked(view) {
    this.dispatchEvent(new CustomEvent("view", { detail: view, bubbles: true }));
  }
}

/** @param {string} path */
function icon(path) {
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  svg.setAttribute("viewBox", "0 0 48 48");
  svg.setAttribute("aria-hidden", "true");
  const line = document.createElementNS("http://www.w3.org/2000/svg", "path");
  line.setAttribute("d", path);
  svg.append(line);
  return svg;
}

customElements.define("joint-map", JointMap);
