// What is only on this device, and the ways to empty it: send, save as a file, show as codes.

import { codeDrawing } from "./code-drawing.js";
import { deviceName } from "./device.js";
import { fill, make } from "./dom.js";
import { asCodes, asFile } from "./exchange.js";
import { outbox } from "./outbox.js";
import { say } from "./words.js";

/** So many entries are listed; a file holds all. */
const LISTED = 40;
/** More than this, as codes, nobody reads one after the other. */
const MOST_IN_CODES = 30;

export class EntriesHere extends HTMLElement {
  #dialog = make("dialog", { class: "sheet", "aria-labelledby": "here-title" });
  /** @type {string[]} */
  #codes = [];
  #at = 0;

  connectedCallback() {
    fill(this, this.#dialog);
  }

  /** Show them. */
  async open() {
    const here = outbox.onlyHere;
    const file = asFile(await deviceName(), here);
    this.#codes = here.length <= MOST_IN_CODES ? asCodes(file) : [];
    const few = this.#codes.length > 0;
    fill(
      this.#dialog,
      make("h2", { id: "here-title", tabindex: "-1" }, say("here_title", { count: here.length })),
      make("p", {}, outbox.why ? say("kept_busy", { why: outbox.why }) : say("here_about")),
      button(say("send_now"), "main", () => {
        this.#dialog.close();
        void outbox.flush();
      }),
      button(say("here_file"), "", () => save(file)),
      few ? button(say("here_codes", { count: this.#codes.length }), "", () => this.#show(0)) : make("p", {}, say("here_many")),
      make("p", {}, say("here_stays")),
      make("ol", { class: "here-list" }, ...here.slice(0, LISTED).map(line)),
      here.length > LISTED && make("p", {}, say("prepare_more", { count: here.length - LISTED })),
      button(say("close"), "", () => this.#dialog.close()),
    );
    if (!this.#dialog.open) this.#dialog.showModal();
  }

  /** @param {number} at */
  #show(at) {
    this.#at = (at + this.#codes.length) % this.#codes.length;
    const [number, count] = [this.#at + 1, this.#codes.length];
    const label = say("here_code", { number, count });
    fill(
      this.#dialog,
      make("h2", { id: "here-title", tabindex: "-1" }, label),
      codeDrawing(this.#codes[this.#at] ?? "", label),
      count > 1 &&
        make(
          "div",
          { class: "pair" },
          button(say("here_before"), "", () => this.#show(this.#at - 1)),
          button(say("here_next"), "main", () => this.#show(this.#at + 1)),
        ),
      make("p", {}, say("here_code_about")),
      button(say("close"), "", () => this.#dialog.close()),
    );
  }
}

/** @param {import("./types.d.ts").Item} item */
function line(item) {
  const why = item.why ? ` · ${item.why}` : "";
  return make("li", {}, make("strong", {}, item.what), ` · ${item.job}${why}`);
}

/** @param {string} text @param {string} kind @param {() => void} act */
function button(text, kind, act) {
  return make("button", { type: "button", class: `button wide ${kind}`.trim(), onclick: act }, text);
}

/** @param {string} file */
export function save(file) {
  const address = URL.createObjectURL(new Blob([file], { type: "application/json" }));
  const stamp = new Date().toISOString().slice(0, 19).replaceAll(":", "");
  const link = make("a", { href: address, download: `entries-${stamp}.json` });
  link.click();
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
}

customElements.define("entries-here", EntriesHere);
