// The sheet of sounds, lights and words: each turned on and off by itself, on this device.

import { choose, CUES, isOn } from "./cue-choices.js";
import { cues, ownVoice } from "./cues.js";
import { fill, make } from "./dom.js";
import { say } from "./words.js";

/** @typedef {import("./cue-choices.js").Cue} Cue */

/** What stands on each switch. @type {Record<Cue, string>} */
const NAMED = {
  voice: "cue_voice",
  ticks: "cue_ticks",
  reached: "cue_reached",
  over: "cue_over",
  slip: "cue_slip",
  felt: "cue_felt",
  felt_ticks: "cue_felt_ticks",
  screen: "cue_screen",
  panel: "cue_panel",
};
/** What can be tried out. @type {Partial<Record<Cue, import("./rhythms.js").Signal>>} */
const HEARD = { reached: "reached", over: "over", slip: "slip" };

class CueSettings extends HTMLElement {
  #dialog = make("dialog", { class: "sheet", "aria-labelledby": "cues-title" });

  connectedCallback() {
    const open = make("button", { type: "button", class: "button", onclick: () => this.#open() }, say("cues"));
    fill(this, open, this.#dialog);
  }

  #open() {
    fill(
      this.#dialog,
      make("h2", { id: "cues-title", tabindex: "-1" }, say("cues")),
      ...CUES.map(([cue]) => this.#row(cue)),
      make("p", { class: "offer-source" }, say("cues_about")),
      make("button", { type: "button", class: "button main wide", onclick: () => this.#dialog.close() }, say("close")),
    );
    this.#dialog.showModal();
  }

  /** @param {Cue} cue */
  #row(cue) {
    const there = isThere(cue);
    const box = make("input", { type: "checkbox", name: cue, checked: there && isOn(cue), disabled: !there });
    box.addEventListener("change", () => choose(cue, box.checked));
    const heard = HEARD[cue];
    return make(
      "div",
      { class: "cue" },
      make("label", { class: "chip" }, box, make("span", {}, say(NAMED[cue]))),
      heard && make("button", { type: "button", class: "button", onclick: () => cues.sample(heard) }, say("try_it")),
      !there && make("p", { class: "offer-source" }, say("cue_not_here")),
    );
  }
}

/** @param {Cue} cue */
function isThere(cue) {
  if (cue === "voice") return ownVoice() !== null;
  if (cue === "felt" || cue === "felt_ticks") return "vibrate" in navigator;
  if (cue === "screen") return "wakeLock" in navigator;
  return cue === "panel" || "AudioContext" in window;
}

customElements.define("cue-settings", CueSettings);
