// The page of extras: tries each at once, and those that need a touch after one.

import { fill, make } from "./dom.js";
import { EXTRAS } from "./extras.js";
import { say } from "./words.js";

/** @typedef {import("./extras.js").Outcome} Outcome */

const STATES = { works: "extras_works", touch: "extras_touch_first", not: "extras_not" };
const list = document.getElementById("extras");
const button = document.getElementById("touch");

/**
 * @param {string} key
 * @param {Outcome} outcome
 */
function row(key, outcome) {
  return make(
    "li",
    { class: `extra is-${outcome.state}` },
    make("strong", {}, say(key)),
    make("span", { class: "extra-state" }, say(STATES[outcome.state])),
    outcome.why !== undefined && make("p", {}, say(outcome.why)),
  );
}

/** @param {boolean} touched */
async function look(touched) {
  const outcomes = await Promise.all(EXTRAS.map((extra) => extra.attempt(touched)));
  if (list) fill(list, ...EXTRAS.map((extra, at) => row(extra.key, outcomes[at] ?? { state: "not" })));
  if (button) button.hidden = touched || !outcomes.some((outcome) => outcome.state === "touch");
}

button?.addEventListener("click", () => void look(true));
void look(false);
