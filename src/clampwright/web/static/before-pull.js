// What comes before a pull: an open preparation list where life or limb depends on the joint.

import { fill, make } from "./dom.js";
import { say } from "./words.js";

/** @typedef {import("./types.d.ts").Preparation} Preparation */

/** How many open points are named; the list itself shows all. */
const NAMED = 4;

/**
 * Return the address of a job's preparation list.
 * @param {string} job
 * @returns {string}
 */
export function preparationOf(job) {
  return `/jobs/${encodeURIComponent(job)}/preparation`;
}

export class BeforePull extends HTMLElement {
  /**
   * Say that the list is open, and lead to it.
   * @param {string} job
   * @param {Preparation} list
   */
  showList(job, list) {
    const named = list.points.slice(0, NAMED).map((point) => make("li", {}, point));
    const rest = list.points.length - named.length;
    fill(
      this,
      make("h2", { class: "before-title" }, say("prepare_first")),
      make("p", { class: "harm" }, say("prepare_about", { count: list.open })),
      make("ul", {}, ...named, rest > 0 && make("li", {}, say("prepare_more", { count: rest }))),
      make("a", { class: "button main wide", href: preparationOf(job) }, say("prepare_list")),
    );
  }
}

customElements.define("before-pull", BeforePull);
