// The next two pulls, and how many are left.

import { fill, make } from "./dom.js";
import { say } from "./words.js";

/** @typedef {import("./types.d.ts").Bench} Bench */
/** @typedef {import("./types.d.ts").Key} Key */

export class PullsAhead extends HTMLElement {
  #drawn = "";

  /**
   * Show what comes after a pull.
   * @param {Bench} bench
   * @param {Key} now
   * @param {Key[]} open
   */
  show(bench, now, open) {
    const here = open.filter((key) => key[0] === now[0] && key[1] === now[1]).length;
    const later = open.filter((key) => key.join() !== now.join()).slice(0, 2);
    const list = later.map((key) => named(bench, now, key)).join(", ");
    const next = later.length ? say("next_is", { list }) : say("next_last");
    const left = say("left", { here, all: open.length });
    if (this.#drawn === next + left) return;
    this.#drawn = next + left;
    fill(this, make("p", { class: "next" }, next), make("p", { class: "left" }, left));
  }
}

/**
 * @param {Bench} bench
 * @param {Key} now
 * @param {Key} key
 */
function named(bench, now, key) {
  const place = bench.places[key[0]]?.[String(key[2])] ?? "";
  const one = say("next_one", { number: key[2], place });
  if (key[0] === now[0] && key[1] === now[1]) return one;
  const step = bench.steps[`${key[0]}/${key[1]}`];
  const stage = say("stage_of", { stage: key[1], stages: step?.stages ?? "" });
  return key[2] > 0 ? `${one}, ${stage}` : `${stage}: ${step?.text ?? ""}`;
}

customElements.define("pulls-ahead", PullsAhead);
