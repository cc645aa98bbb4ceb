// What comes before a pull: an open preparation list where life or limb depends on the joint.

import { fill, make } from "./dom.js";
import { say } from "./words.js";

/** @typedef {import("./types.d.ts").Preparation} Preparation */

/** @typedef {import("./types.d.ts").Hold} Hold */

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
      make("a", { class: "button main wide", href: preparationOf(job) }, say("prepare_list")),
      make("ul", {}, ...named, rest > 0 && make("li", {}, say("prepare_more", { count: rest }))),
    );
  }

  /**
   * Ask a hold point.
   * @param {Hold} hold
   */
  showHold(hold) {
    fill(this, ...heading(hold), this.#way(hold), hold.last ? this.#inSpite(hold) : null);
  }

  /** @param {string} answer @param {string} reason */
  #held(answer, reason = "") {
    this.dispatchEvent(new CustomEvent("held", { detail: { answer, reason }, bubbles: true }));
  }

  /** @param {Hold} hold */
  #way(hold) {
    if (hold.answer === "yes") {
      return make(
        "div",
        { class: "pair" },
        make("button", { type: "button", class: "button main", onclick: () => this.#held("yes") }, say("yes")),
        make("button", { type: "button", class: "button", onclick: () => this.#held("no") }, say("no")),
      );
    }
    const figure = hold.answer === "figure";
    const field = make("input", {
      type: "text",
      id: "hold-answer",
      autocomplete: "off",
      maxlength: figure ? "20" : "400",
      inputmode: figure ? "decimal" : "text",
      "aria-labelledby": "hold-ask",
    });
    const unit = figure ? make("span", { class: "figure-unit" }, hold.unit) : null;
    return make(
      "form",
      {
        class: "figure-form",
        onsubmit: (event) => {
          event.preventDefault();
          if (field.value.trim()) this.#held(field.value.trim());
        },
      },
      make("div", { class: "figure-row" }, field, unit),
      make("button", { type: "submit", class: "button main" }, say(figure ? "take_value" : "note_it")),
    );
  }

  /** @param {Hold} hold */
  #inSpite(hold) {
    const reason = make("input", { type: "text", id: "hold-reason", maxlength: "400", autocomplete: "off" });
    return make(
      "details",
      {},
      make("summary", {}, say("accept")),
      make("label", { for: "hold-reason" }, say("reason")),
      reason,
      make(
        "button",
        {
          type: "button",
          class: "button wide",
          onclick: () => {
            if (reason.value.trim()) this.#held(hold.last, reason.value.trim());
          },
        },
        say("note_it"),
      ),
    );
  }
}

/**
 * @param {Hold} hold
 */
function heading(hold) {
  return [
    make("h2", { class: "before-title" }, say("hold_title", { joint: hold.joint_title })),
    make("p", { class: "before-ask", id: "hold-ask" }, hold.ask),
    hold.limits && make("p", { class: "before-limits" }, say("hold_wanted", { limits: hold.limits })),
    hold.last && make("p", { class: "notice" }, say("hold_misfit", { answer: hold.last })),
  ];
}

customElements.define("before-pull", BeforePull);
