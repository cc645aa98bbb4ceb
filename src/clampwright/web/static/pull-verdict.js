// What became of a pull, in words, huge; one touch goes on.

import { fill, make } from "./dom.js";
import { shape } from "./shapes.js";
import { session } from "./who.js";
import { say } from "./words.js";

/** @typedef {import("./types.d.ts").Verdict} Verdict */
/** @typedef {import("./types.d.ts").Item} Item */

/** Verdicts after which the fastener has to be loosened, as trade practice has it. */
const LOOSEN = new Set(["over", "void"]);

/** What is signed in the moment it is done, by the part of its address. */
const SIGNED = new Set(["acceptances", "closings", "overrules", "passings", "read-backs", "second-looks", "second-readings"]);

/**
 * Who has to sign an entry; empty where nobody has to, or nobody signs in.
 * @param {Item} item
 */
function toBeSigned(item) {
  if (!item.person || !SIGNED.has(item.way)) return "";
  const here = session();
  return here?.tiles.find((one) => one.id === item.person)?.name ?? here?.name ?? item.person;
}

export class PullVerdict extends HTMLElement {
  connectedCallback() {
    this.setAttribute("role", "status");
  }

  /**
   * Show a verdict.
   * @param {Verdict} verdict
   * @param {string} chart address of its curve, if it was recorded
   * @param {HTMLElement | null} waits the way to what of it waits to be signed
   */
  show(verdict, chart, waits = null) {
    const [first, ...more] = verdict.reasons;
    const loosen = LOOSEN.has(verdict.verdict);
    const main = verdict.settled ? say("go_on") : loosen ? say("restart") : say("enter_again");
    fill(
      this,
      this.#head(verdict.verdict, verdict.word, verdict.fastener, !verdict.settled),
      first && make("p", { class: "verdict-first" }, sentence(first)),
      verdict.next && make("p", { class: "verdict-next" }, make("strong", {}, say("what_now")), " ", verdict.next),
      more.length > 0 &&
        make("details", {}, make("summary", {}, say("why")), ...more.map((one) => make("p", {}, sentence(one)))),
      chart && this.#chart(chart),
      waits,
      verdict.again && this.#second(verdict),
      this.#main(main, loosen ? "restart" : "on"),
      !verdict.settled && this.#others(loosen),
    );
    this.#focus();
  }

  /**
   * Say that an entry is kept here, not judged yet.
   * @param {Item} item
   * @param {string} why the server's own sentence; empty when there was no answer
   */
  showKept(item, why) {
    let here = say("here_not");
    if (item.inside === true) here = say("here_inside", { limits: item.limits });
    if (item.inside === false) here = say("here_outside", { limits: item.limits });
    fill(
      this,
      this.#head("kept", say("kept"), item.key?.[2] ?? 0, true),
      make("p", { class: "verdict-first" }, why ? say("kept_busy", { why }) : say("kept_why")),
      item.way === "pulls" && make("p", { class: "verdict-next" }, `${here} ${say("not_judged")}`),
      item.expects && make("p", { class: "verdict-next" }, say("happened_here")),
      toBeSigned(item) && make("p", { class: "verdict-next" }, say("kept_unsigned", { name: toBeSigned(item) })),
      ...this.#afterKept(item),
    );
    this.#focus();
  }

  /** Outside the limits here, the same is offered as after a verdict of the workshop. @param {Item} item */
  #afterKept(item) {
    if (item.inside !== false) return [this.#main(say("go_on"), "on")];
    const loosen = item.side !== "short";
    return [this.#main(say(loosen ? "restart" : "enter_again"), loosen ? "restart" : "on"), this.#others(loosen)];
  }

  /**
   * Say that what happened waits for the server, which works out what follows.
   * @param {Item} item
   */
  showStanding(item) {
    fill(
      this,
      this.#head("kept", say("kept"), 0, true),
      make("p", { class: "verdict-first" }, item.what),
      make("p", { class: "verdict-next" }, say("happened_kept")),
      this.#main(say("send_now"), "send"),
    );
    this.#focus();
  }

  /**
   * Say that the server did not take an entry.
   * @param {Item} item
   */
  showRefused(item) {
    fill(
      this,
      this.#head("refused", say("refused"), item.key?.[2] ?? 0, true),
      make("p", { class: "verdict-first" }, sentence(item.why)),
      make("p", { class: "verdict-next" }, item.what),
      item.way !== "closings" && make("p", {}, say(item.safe ? "refused_safe" : "refused_kept")),
      this.#main(say(item.safe || item.way === "closings" ? "refused_read" : "put_aside"), "aside"),
      item.way === "closings" && this.#closeInSpite(),
      item.sign &&
        make("button", { type: "button", class: "button wide", onclick: () => this.#act("sign-later") }, say("sign_later")),
      item.changed &&
        make(
          "button",
          { type: "button", class: "button wide", onclick: () => this.#act("by-changed-plan") },
          say("by_changed_plan"),
        ),
    );
    this.#focus();
  }

  /** Another device may be lost with what it keeps: then the job is closed with the reason. */
  #closeInSpite() {
    return make(
      "details",
      {},
      make("summary", {}, say("close_in_spite")),
      make(
        "div",
        { class: "field" },
        make("label", { for: "close-reason" }, say("reason_needed")),
        make("input", { type: "text", id: "close-reason", name: "close-reason", maxlength: "500", autocomplete: "off" }),
      ),
      make("button", { type: "button", class: "button wide", onclick: () => this.#act("close") }, say("close_job")),
    );
  }

  /**
   * Say that nothing is left to do.
   * @param {{ id: string, closed: boolean }} job
   * @param {number} here entries of it that are only on this device
   * @param {HTMLElement | null} waits the way to what waits to be signed
   */
  showEnd(job, here, waits = null) {
    delete this.dataset["verdict"];
    const record = `/jobs/${encodeURIComponent(job.id)}/record`;
    const word = job.closed ? say("closed") : say("all_done");
    const heading = make("h2", { tabindex: "-1" }, make("span", { class: "verdict-word long" }, word));
    fill(
      this,
      make("div", { class: "verdict-head" }, heading),
      make("p", { class: "verdict-first" }, say("all_done_about")),
      waits,
      job.closed
        ? make("a", { class: "button main", href: record }, say("to_record"))
        : here
          ? make("p", { class: "notice" }, say("close_later", { count: here }))
          : this.#main(say("close_job"), "close"),
      make(
        "div",
        { class: "pair" },
        make("a", { class: "button", href: record }, say("to_record")),
        make("a", { class: "button", href: "/" }, say("to_jobs")),
      ),
      make("a", { class: "button wide", href: record.replace(/record$/, "care") }, say("to_care")),
    );
    this.#focus();
  }

  /**
   * @param {string} verdict
   * @param {string} word
   * @param {number} number
   * @param {boolean} open something is left to do: the words get the room
   */
  #head(verdict, word, number, open) {
    this.dataset["verdict"] = verdict;
    return make(
      "div",
      { class: open ? "verdict-head open" : "verdict-head" },
      shape(verdict),
      make(
        "h2",
        { tabindex: "-1" },
        number > 0 && make("span", { class: "verdict-of" }, say("verdict_of", { number }), " "),
        make("span", { class: `verdict-word ${size(word)}` }, word),
      ),
    );
  }

  /**
   * @param {string} text
   * @param {string} act
   */
  #main(text, act) {
    return make("button", { type: "button", class: "button main", onclick: () => this.#act(act) }, text);
  }

  /** @param {Verdict} verdict */
  #second(verdict) {
    if (verdict.confirmed) return make("p", {}, say("second_agrees"));
    const ask = () => this.#act("second");
    return make("button", { type: "button", class: "button second-reads", onclick: ask }, say("second_reads"));
  }

  /** @param {boolean} loosen */
  #others(loosen) {
    const other = loosen ? "on" : "restart";
    const word = loosen ? say("again") : say("restart");
    return make(
      "div",
      { class: "pair" },
      make("button", { type: "button", class: "button", onclick: () => this.#act(other) }, word),
      make("button", { type: "button", class: "button", onclick: () => this.#act("accept") }, say("accept")),
    );
  }

  /** @param {string} address */
  #chart(address) {
    const details = make("details", {}, make("summary", {}, say("chart")));
    details.addEventListener("toggle", () => {
      if (details.open && details.childElementCount === 1) {
        details.append(
          make("img", { src: address, alt: say("chart"), class: "curve" }),
          make("img", { src: `${address}&over=time`, alt: say("chart_time"), class: "curve" }),
        );
      }
    });
    return details;
  }

  #focus() {
    const main = this.querySelector(".main");
    if (main instanceof HTMLElement) main.focus({ preventScroll: true });
  }

  /** @param {string} act */
  #act(act) {
    this.dispatchEvent(new CustomEvent("act", { detail: act, bubbles: true }));
  }
}

/** @param {string} word */
function size(word) {
  if (word.length > 12) return "long";
  return word.length > 6 ? "mid" : "";
}

/** @param {string} text */
function sentence(text) {
  const ended = /[.!?]$/.test(text) ? text : `${text}.`;
  return ended.charAt(0).toUpperCase() + ended.slice(1);
}

customElements.define("pull-verdict", PullVerdict);
