// Something happened: begin a fastener anew, go on in spite of a verdict, take another tool.
// Nothing is ever taken back; what is noted is a new entry.

import { fill, make } from "./dom.js";
import { say } from "./words.js";

/** @typedef {import("./types.d.ts").Step} Step */

/**
 * @typedef {object} Noted
 * @property {"restart" | "accept" | "tool"} what
 * @property {string} reason
 * @property {boolean} renewed
 * @property {string} tool
 */

const RESTART_REASONS = ["reason_too_far", "reason_slipped", "reason_wrong", "reason_interrupted"];
const ACCEPT_REASONS = ["reason_checked", "reason_responsible"];

export class SomethingHappened extends HTMLElement {
  #dialog = make("dialog", { class: "sheet" });
  /** @type {Step | null} */
  #step = null;
  #fastener = 0;
  #open = false;

  connectedCallback() {
    this.#dialog.setAttribute("aria-labelledby", "happened-title");
    fill(this, this.#dialog);
  }

  /**
   * Ask what happened.
   * @param {Step} step
   * @param {number} fastener
   * @param {boolean} hasVerdict whether a verdict stands open
   * @param {"restart" | "accept" | "tool" | null} first go straight there
   */
  open(step, fastener, hasVerdict, first = null) {
    this.#step = step;
    this.#fastener = fastener;
    this.#open = hasVerdict;
    if (first === "restart") this.#restart();
    else if (first === "accept") this.#accept();
    else if (first === "tool") this.#tool();
    else this.#choose();
    if (!this.#dialog.open) this.#dialog.showModal();
  }

  #choose() {
    fill(
      this.#dialog,
      heading(say("happened_what")),
      this.#fastener > 0 && way(say("restart"), () => this.#restart()),
      this.#open && way(say("accept"), () => this.#accept()),
      (this.#step?.tools.length ?? 0) > 0 && way(say("other_tool"), () => this.#tool()),
      this.#back(),
    );
  }

  #restart() {
    const renewed = make("input", { type: "checkbox", name: "renewed" });
    this.#form(
      say("restart"),
      say("restart_about", { number: this.#fastener }),
      RESTART_REASONS,
      make("label", { class: "chip" }, renewed, make("span", {}, say("renewed"))),
      (reason) => this.#note({ what: "restart", reason, renewed: renewed.checked, tool: "" }),
    );
  }

  #accept() {
    this.#form(say("accept"), say("accept_about"), ACCEPT_REASONS, null, (reason) =>
      this.#note({ what: "accept", reason, renewed: false, tool: "" }),
    );
  }

  #tool() {
    const now = this.#step?.tool?.id;
    const ways = (this.#step?.tools ?? []).map((tool) =>
      make(
        "button",
        {
          type: "button",
          class: tool.id === now ? "button wide chosen" : "button wide",
          "aria-pressed": tool.id === now ? "true" : "false",
          onclick: () => this.#note({ what: "tool", reason: "", renewed: false, tool: tool.id }),
        },
        tool.name,
      ),
    );
    fill(this.#dialog, heading(say("other_tool")), make("p", {}, say("other_tool_about")), ...ways, this.#back());
  }

  /**
   * @param {string} title
   * @param {string} about
   * @param {string[]} reasons
   * @param {HTMLElement | null} extra
   * @param {(reason: string) => void} done
   */
  #form(title, about, reasons, extra, done) {
    const other = make("input", { type: "text", id: "other-reason", name: "other", maxlength: "400", autocomplete: "off" });
    const wrong = make("p", { class: "wrong", role: "alert" });
    const chips = reasons.map((key) =>
      make(
        "label",
        { class: "chip" },
        make("input", { type: "radio", name: "reason", value: say(key) }),
        make("span", {}, say(key)),
      ),
    );
    const form = make(
      "form",
      {
        onsubmit: (event) => {
          event.preventDefault();
          const chosen = String(new FormData(form).get("reason") ?? "");
          const reason = [chosen, other.value.trim()].filter(Boolean).join("; ");
          if (!reason) {
            wrong.textContent = say("reason_needed");
            other.focus();
            return;
          }
          done(reason);
        },
      },
      make("fieldset", { class: "chips column" }, make("legend", {}, say("reason")), ...chips),
      make("label", { for: "other-reason" }, say("reason_other")),
      other,
      extra,
      wrong,
      make("button", { type: "submit", class: "button main wide" }, say("note_it")),
    );
    fill(this.#dialog, heading(title), make("p", {}, about), form, this.#back());
  }

  #back() {
    return make("button", { type: "button", class: "button wide", onclick: () => this.#dialog.close() }, say("close"));
  }

  /** @param {Noted} noted */
  #note(noted) {
    this.#dialog.close();
    this.dispatchEvent(new CustomEvent("noted", { detail: noted, bubbles: true }));
  }
}

/** @param {string} text */
function heading(text) {
  return make("h2", { id: "happened-title" }, text);
}

/**
 * @param {string} text
 * @param {() => void} act
 */
function way(text, act) {
  return make("button", { type: "button", class: "button wide", onclick: act }, text);
}

customElements.define("something-happened", SomethingHappened);
