// Something happened: one touch says what, a few short questions, then what trade practice offers,
// with its source. Also: begin a fastener anew, go on in spite of a verdict, take another tool, take
// the last entry back. Nothing is ever deleted; what is noted is a new entry.

import { dataOf, fill, make } from "./dom.js";
import { askNext, offered } from "./happening-rules.js";
import { say } from "./words.js";

/** @typedef {import("./types.d.ts").Step} Step */
/** @typedef {import("./types.d.ts").Happenings} Happenings */
/** @typedef {import("./types.d.ts").HappeningQuestion} HappeningQuestion */

/**
 * @typedef {{ what: "restart", reason: string, renewed: boolean, fastener: number }
 *   | { what: "accept", reason: string }
 *   | { what: "tool", tool: string }
 *   | { what: "back", entry: string, reason: string }
 *   | { what: "happening", name: string, title: string, fastener: number, tool: string,
 *       answers: Record<string, string>, note: string, offer: string, stands: boolean }} Noted
 */

/**
 * What the sheet has to know of the place.
 * @typedef {object} Here
 * @property {number} fastener
 * @property {number[]} numbers of all fasteners of the joint
 * @property {boolean} verdict whether a verdict stands open
 * @property {{ entry: string, what: string } | null} back what can be taken back now
 */

const RESTART_REASONS = ["reason_too_far", "reason_slipped", "reason_wrong", "reason_interrupted"];
const ACCEPT_REASONS = ["reason_checked", "reason_responsible"];
const BACK_REASONS = ["reason_mistyped", "reason_not_so"];
/** What is told of a whole joint or of people: no one fastener is asked for. */
const OF_NO_ONE = new Set(["missed", "wrong_order", "wrong_wrench", "wrong_setting", "interruption", "shift_change", "wrench_in_doubt"]);
const MAKER = /^maker_/;

export class SomethingHappened extends HTMLElement {
  #dialog = make("dialog", { class: "sheet" });
  /** @type {Happenings} */
  #tables = dataOf("happenings");
  /** @type {Step | null} */
  #step = null;
  /** @type {Here} */
  #here = { fastener: 0, numbers: [], verdict: false, back: null };
  /** @type {Record<string, string>} */
  #answers = {};

  connectedCallback() {
    this.#dialog.setAttribute("aria-labelledby", "happened-title");
    fill(this, this.#dialog);
  }

  /**
   * Ask what happened.
   * @param {Step} step
   * @param {Here} here
   * @param {"restart" | "accept" | null} first go straight there
   */
  open(step, here, first = null) {
    this.#step = step;
    this.#here = here;
    if (first === "restart") this.#restart();
    else if (first === "accept") this.#accept();
    else this.#choose();
    if (!this.#dialog.open) this.#dialog.showModal();
  }

  // ---- what

  #choose() {
    const tiles = this.#tables.happenings.map((one) =>
      tile(one.title, () => this.#begin(one.name), one.say),
    );
    const { fastener, verdict, back } = this.#here;
    this.#show(
      say("happened_what"),
      make("div", { class: "tiles" }, ...tiles),
      make(
        "div",
        { class: "tiles others" },
        fastener > 0 && tile(say("restart"), () => this.#restart()),
        verdict && tile(say("accept"), () => this.#accept()),
        (this.#step?.tools.length ?? 0) > 0 && tile(say("other_tool"), () => this.#tool()),
        back && tile(say("take_back"), () => this.#takeBack()),
      ),
    );
  }

  /** @param {string} what */
  #begin(what) {
    this.#answers = {};
    if (OF_NO_ONE.has(what) || this.#here.fastener === 0) this.#next(what);
    else this.#where(what);
  }

  /**
   * Which fastener: the one at hand, unless another is meant.
   * @param {string} what
   */
  #where(what) {
    const { fastener, numbers } = this.#here;
    const go = (/** @type {number} */ number) => () => {
      this.#here = { ...this.#here, fastener: number };
      this.#next(what);
    };
    const others = numbers.filter((one) => one !== fastener);
    this.#show(
      this.#title(what),
      make("button", { type: "button", class: "button main wide", onclick: go(fastener) }, say("at_fastener", { number: fastener })),
      others.length > 0 && make("p", {}, say("at_another")),
      make("div", { class: "numbers" }, ...others.map((one) => tile(String(one), go(one)))),
    );
  }

  /** @param {string} what */
  #title(what) {
    return this.#tables.happenings.find((one) => one.name === what)?.title ?? "";
  }

  // ---- the questions

  /** @param {string} what */
  #next(what) {
    const step = this.#step;
    if (!step) return;
    const told = { what, sort: step.sort, stage: step.stage, answers: this.#answers };
    const question = askNext(this.#tables, told);
    if (question) {
      this.#question(what, question);
      return;
    }
    const rule = offered(this.#tables, told);
    if (rule) this.#offer(what, rule);
  }

  /**
   * @param {string} what
   * @param {HappeningQuestion} question
   */
  #question(what, question) {
    const answer = (/** @type {string} */ text) => {
      this.#answers = { ...this.#answers, [question.name]: text };
      this.#next(what);
    };
    const title = make("p", { class: "happened-of" }, this.#title(what));
    this.#show(question.question, title, ...this.#ways(question, answer));
  }

  /**
   * @param {HappeningQuestion} question
   * @param {(text: string) => void} answer
   * @returns {(HTMLElement | false)[]}
   */
  #ways(question, answer) {
    const numbers = this.#here.numbers;
    switch (question.kind) {
      case "choice":
        return question.answers.map((one) => way(one.say, () => answer(one.name)));
      case "fastener":
        return [make("div", { class: "numbers" }, ...numbers.map((one) => tile(String(one), () => answer(String(one)))))];
      case "last_sure":
        return [
          way(say("none_sure"), () => answer("0")),
          make("div", { class: "numbers" }, ...numbers.map((one) => tile(String(one), () => answer(String(one))))),
        ];
      case "stage": {
        const stages = Array.from({ length: this.#step?.stage ?? 1 }, (_one, index) => index + 1).reverse();
        return stages.map((one) => way(say("stage_number", { number: one }), () => answer(String(one))));
      }
      case "fasteners":
        return [this.#several(numbers, answer)];
      default:
        return [who(answer)];
    }
  }

  /**
   * @param {number[]} numbers
   * @param {(text: string) => void} answer
   */
  #several(numbers, answer) {
    const wrong = make("p", { class: "wrong", role: "alert" });
    const chips = numbers.map((one) =>
      make(
        "label",
        { class: "chip" },
        make("input", { type: "checkbox", name: "number", value: String(one), checked: one === this.#here.fastener }),
        make("span", {}, String(one)),
      ),
    );
    const form = make(
      "form",
      {
        onsubmit: (event) => {
          event.preventDefault();
          const chosen = new FormData(form).getAll("number").map(String);
          if (chosen.length) answer(chosen.join(" "));
          else wrong.textContent = say("number_of_one");
        },
      },
      make("fieldset", { class: "chips" }, make("legend", { class: "unseen" }, say("fasteners")), ...chips),
      wrong,
      make("button", { type: "submit", class: "button main wide" }, say("these")),
    );
    return form;
  }

  // ---- what is offered

  /**
   * @param {string} what
   * @param {import("./types.d.ts").HappeningRule} rule
   */
  #offer(what, rule) {
    const note = make("input", { type: "text", id: "happened-note", maxlength: "400", autocomplete: "off" });
    const note_it = () =>
      this.#note({
        what: "happening",
        name: what,
        title: this.#title(what),
        fastener: this.#here.fastener,
        tool: this.#step?.tool?.id ?? "",
        answers: this.#answers,
        note: note.value.trim(),
        offer: rule.say,
        stands: rule.does.length > 0,
      });
    this.#show(
      this.#title(what),
      make("p", { class: "offer" }, rule.say),
      make("p", { class: "offer-source" }, say("source_is", { source: rule.source })),
      rule.does.some((one) => MAKER.test(one)) && make("p", { class: "harm" }, say("ask_maker")),
      make("button", { type: "button", class: "button main wide", onclick: note_it }, say("note_it")),
      make(
        "details",
        {},
        make("summary", {}, say("note_more")),
        make("label", { for: "happened-note" }, say("note_words")),
        note,
      ),
    );
  }

  // ---- the other ways

  #restart() {
    const renewed = make("input", { type: "checkbox", name: "renewed" });
    const fastener = this.#here.fastener;
    this.#form(
      say("restart"),
      say("restart_about", { number: fastener }),
      RESTART_REASONS,
      make("label", { class: "chip" }, renewed, make("span", {}, say("renewed"))),
      (reason) => this.#note({ what: "restart", reason, renewed: renewed.checked, fastener }),
    );
  }

  #accept() {
    this.#form(say("accept"), say("accept_about"), ACCEPT_REASONS, null, (reason) =>
      this.#note({ what: "accept", reason }),
    );
  }

  #takeBack() {
    const back = this.#here.back;
    if (!back) return;
    this.#form(say("take_back"), say("take_back_about", { what: back.what }), BACK_REASONS, null, (reason) =>
      this.#note({ what: "back", entry: back.entry, reason }),
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
          onclick: () => this.#note({ what: "tool", tool: tool.id }),
        },
        tool.name,
      ),
    );
    this.#show(say("other_tool"), make("p", {}, say("other_tool_about")), ...ways);
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
    this.#show(title, make("p", {}, about), form);
  }

  /**
   * @param {string} title
   * @param {...import("./dom.js").Child} parts
   */
  #show(title, ...parts) {
    const close = () => this.#dialog.close();
    fill(
      this.#dialog,
      make("h2", { id: "happened-title", tabindex: "-1" }, title),
      ...parts,
      make("button", { type: "button", class: "button wide", onclick: close }, say("close")),
    );
    this.#dialog.scrollTop = 0;
    this.#dialog.querySelector("h2")?.focus({ preventScroll: true });
  }

  /** @param {Noted} noted */
  #note(noted) {
    this.#dialog.close();
    this.dispatchEvent(new CustomEvent("noted", { detail: noted, bubbles: true }));
  }
}

/**
 * A person by name.
 * @param {(text: string) => void} answer
 */
function who(answer) {
  const field = make("input", { type: "text", id: "happened-who", maxlength: "100", autocomplete: "off", "aria-labelledby": "happened-title" });
  return make(
    "form",
    {
      onsubmit: (event) => {
        event.preventDefault();
        if (field.value.trim()) answer(field.value.trim());
        else field.focus();
      },
    },
    field,
    make("button", { type: "submit", class: "button main wide" }, say("this_one")),
  );
}

/**
 * @param {string} text
 * @param {() => void} act
 * @param {string} more
 */
function tile(text, act, more = "") {
  return make("button", { type: "button", class: "button tile", onclick: act, title: more || undefined }, text);
}

/**
 * @param {string} text
 * @param {() => void} act
 */
function way(text, act) {
  return make("button", { type: "button", class: "button wide", onclick: act }, text);
}

customElements.define("something-happened", SomethingHappened);
