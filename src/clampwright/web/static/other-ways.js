// Every other way a result comes in, on a sheet over the page: marks, a dial, the phone, lengths,
// several readings while turning. A second person's reading uses the same ways.

import { ByMarks } from "./by-marks.js";
import { fill, make } from "./dom.js";
import { parseNumber } from "./numbers.js";
import { PhoneGauge } from "./phone-gauge.js";
import { SeveralFigures } from "./several-figures.js";
import { TABS } from "./ways-words.js";
import { say } from "./words.js";

/** @typedef {import("./types.d.ts").Key} Key */
/** @typedef {import("./types.d.ts").Step} Step */
/** @typedef {import("./types.d.ts").Reading} Reading */
/** @typedef {import("./ways-words.js").WayIn} WayIn */

let made = 0;

export class OtherWays extends HTMLElement {
  #dialog = make("dialog", { class: "sheet ways-in" });
  #body = make("div", {});
  #tabs = make("div", { class: "pair" });
  /** @type {(reading: Reading) => void} */
  #taken = () => {};

  connectedCallback() {
    if (this.childElementCount) return;
    fill(this, this.#dialog);
    this.#dialog.addEventListener("reading", (event) => {
      if (!(event instanceof CustomEvent)) return;
      this.#dialog.close();
      this.#taken(event.detail);
    });
    this.#dialog.addEventListener("close", () => fill(this.#body));
  }

  /**
   * Open the sheet at the first of the ways.
   * @param {Step} step
   * @param {Key} key
   * @param {(reading: Reading) => void} taken
   * @param {{ ways?: WayIn[], title?: string, blind?: boolean }} more
   */
  open(step, key, taken, { ways = step.ways, title = say("ways_title"), blind = false } = {}) {
    const first = ways[0];
    if (!first) return;
    this.#taken = taken;
    const show = (/** @type {WayIn} */ way) => {
      this.dataset["way"] = way;
      fill(this.#body, element(way, step, key, blind));
      for (const tab of this.#tabs.children) tab.setAttribute("aria-pressed", String(tab.getAttribute("data-way") === way));
    };
    fill(this.#tabs, ...(ways.length > 1 ? ways.map((way) => tab(way, show)) : []));
    const close = make("button", { type: "button", class: "button wide", onclick: () => this.#dialog.close() }, say("close"));
    fill(this.#dialog, make("h2", { class: blind ? "" : "unseen" }, title), this.#tabs, this.#body, close);
    show(first);
    this.#dialog.showModal();
  }
}

/**
 * @param {WayIn} way
 * @param {(way: WayIn) => void} show
 */
function tab(way, show) {
  return make("button", { type: "button", class: "button", "data-way": way, onclick: () => show(way) }, TABS[way]());
}

/**
 * @param {WayIn} way
 * @param {Step} step
 * @param {Key} key
 * @param {boolean} blind
 * @returns {HTMLElement}
 */
function element(way, step, key, blind) {
  if (way === "marks") return new ByMarks(step, key, blind);
  if (way === "phone") return new PhoneGauge();
  if (way === "gauge") return gaugeForm();
  if (way === "stretch") return stretchForm(step);
  return way === "figure" ? figureForm(step) : turningForm(step);
}

/**
 * A form that tells a reading when it is whole.
 * @param {(form: HTMLFormElement) => Reading | null} read
 * @param {string} button
 * @param {...(Node | null)} fields
 */
function readingForm(read, button, ...fields) {
  const wrong = make("p", { class: "wrong", role: "alert" });
  const form = make(
    "form",
    {
      autocomplete: "off",
      onsubmit: (event) => {
        event.preventDefault();
        const reading = read(form);
        wrong.textContent = reading ? "" : say("number_needed");
        if (reading) form.dispatchEvent(new CustomEvent("reading", { detail: reading, bubbles: true }));
      },
    },
    ...fields,
    wrong,
    make("button", { class: "button main wide", type: "submit" }, button),
  );
  return form;
}

/**
 * @param {string} name
 * @param {string} label
 * @param {string} value
 */
function figure(name, label, value = "") {
  const id = `way-${name}-${++made}`;
  const input = make("input", { type: "text", inputmode: "decimal", id, name, autocomplete: "off", maxlength: "12", spellcheck: "false", value });
  return make("div", { class: "field" }, make("label", { for: id }, label), input);
}

/**
 * @param {string} name
 * @param {[string, string][]} choices value and words
 * @param {string} legend
 */
function chips(name, choices, legend) {
  return make(
    "fieldset",
    { class: "chips" },
    make("legend", {}, legend),
    ...choices.map(([value, text], index) => {
      const input = make("input", { type: "radio", name, value });
      input.defaultChecked = index === 0;
      return make("label", { class: "chip" }, input, make("span", {}, text));
    }),
  );
}

/**
 * @param {HTMLFormElement} form
 * @param {string} name
 */
function typed(form, name) {
  return String(new FormData(form).get(name) ?? "").trim();
}

/** @param {string} text */
function good(text) {
  return parseNumber(text) !== null;
}

function gaugeForm() {
  const held = /** @type {[string, string][]} */ ([["let_go", say("gauge_let_go")], ["loaded", say("gauge_loaded")]]);
  return readingForm(
    (form) => {
      const [value, zero, play] = [typed(form, "value"), typed(form, "zero") || "0", typed(form, "play")];
      if (!good(value) || !good(zero) || (play && !good(play))) return null;
      const how = typed(form, "held") === "loaded" ? "loaded" : "let_go";
      return { kind: "gauge", value, unit: "deg", held: how, zero, play: play || null };
    },
    say("take_angle"),
    figure("value", say("gauge_shows")),
    chips("held", held, say("gauge_when")),
    make("p", { class: "quiet" }, say("gauge_about")),
    make("details", {}, make("summary", {}, say("gauge_more")), figure("zero", say("gauge_zero"), "0"), figure("play", say("gauge_play"))),
  );
}

/** @param {Step} step */
function stretchForm(step) {
  const [free, tight] = [new SeveralFigures(say("stretch_free")), new SeveralFigures(say("stretch_tight"))];
  const unit = step.units[0] ?? "mm";
  const gauges = /** @type {[string, string][]} */ (step.gauges.map((one) => [one.id, one.title]));
  return readingForm(
    (form) => {
      const [before, after] = [free.values, tight.values];
      const own = step.gauges.find((one) => one.id === typed(form, "gauge"));
      const division = own?.step ?? typed(form, "step");
      const warm = [typed(form, "cold"), typed(form, "warm")].filter(Boolean);
      if (!before?.length || !after?.length || !good(division)) return null;
      if (warm.length === 1 || !warm.every(good)) return null;
      return { kind: "stretch", free: before, tight: after, unit, step: division, gauge: own?.id ?? null, temperatures: warm.length ? warm : null };
    },
    say("take_stretch"),
    free,
    tight,
    gauges.length ? chips("gauge", gauges, say("stretch_gauge")) : figure("step", say("stretch_step"), "0.01"),
    make("details", {}, make("summary", {}, say("stretch_warm")), figure("cold", say("stretch_cold_at")), figure("warm", say("stretch_warm_at"))),
  );
}

/** @param {Step} step */
function turningForm(step) {
  const several = new SeveralFigures(say("turning_values", { unit: step.units[0] ?? "N·m" }));
  return readingForm(
    (form) => {
      const [values, peak] = [several.values, typed(form, "peak")];
      if (!values?.length || (peak && !good(peak))) return null;
      return { kind: "while_turning", values, unit: step.units[0] ?? "N·m", peak: peak || null };
    },
    say("take_value"),
    several,
    figure("peak", say("turning_peak")),
    make("p", { class: "quiet" }, say("turning_about")),
  );
}

/** @param {Step} step */
function figureForm(step) {
  const angle = step.ask === "angle";
  const unit = angle ? "deg" : (step.units[0] ?? "N·m");
  return readingForm(
    (form) => {
      const value = typed(form, "value");
      if (!good(value)) return null;
      return angle ? { kind: "angle", value, unit: "deg" } : { kind: "value", value, unit };
    },
    say("compare_reading"),
    figure("value", angle ? say("what_angle") : say("what_read_in", { unit })),
  );
}

customElements.define("other-ways", OtherWays);
