// What one pull is: which fastener and where, which way, how much, with what.

import { fill, make } from "./dom.js";
import { JointMap } from "./joint-map.js";
import { keptHere } from "./progress.js";
import { fastenerWithMark } from "./mark-dial.js";
import { startOf } from "./mark-start.js";
import { markWords } from "./mark-words.js";
import { fastener } from "./shapes.js";
import { TargetFigure } from "./target-figure.js";
import { say } from "./words.js";

/** @typedef {import("./types.d.ts").Bench} Bench */
/** @typedef {import("./types.d.ts").Key} Key */
/** @typedef {import("./types.d.ts").Step} Step */

export class PullView extends HTMLElement {
  #where = make("div", { class: "where" });
  #who = make("div", { class: "who" });
  #map = new JointMap();
  #target = new TargetFigure();
  #tool = make("div", { class: "tool" });
  #drawn = "";
  /** What a tool wants before its first pull here is told at that pull only: tool to pull. */
  #cared = new Map();

  connectedCallback() {
    fill(this, this.#where, this.#who, this.#map, this.#target, this.#tool);
  }

  /**
   * Show a pull.
   * @param {Bench} bench
   * @param {Key} now
   * @param {Step} step
   * @param {Key[]} open the pulls still to be done, as far as this device knows
   * @returns {boolean} false when nothing has changed: what a finger is on its way to stays there
   */
  show(bench, now, step, open) {
    const drawn = JSON.stringify([now, startOf(now), step, open, bench.view, bench.map, bench.aside]);
    if (drawn === this.#drawn) return false;
    this.#drawn = drawn;
    const number = now[2];
    fill(
      this.#where,
      make("p", { class: "joint-title" }, step.joint_title),
      make(
        "p",
        { class: "stage-line" },
        make("strong", {}, say("stage_of", { stage: step.stage, stages: step.stages })),
        ` · ${step.text}`,
      ),
      step.condition && make("p", { class: "while" }, say("while", { condition: step.condition })),
      ...this.#care(now, step).map((line) => make("p", { class: "while" }, line)),
    );
    this.#showWho(now, bench.places[now[0]]?.[String(number)] ?? "", step);
    this.#map.show(bench.map, bench.view);
    const still = open.filter((key) => key[0] === now[0] && key[1] === now[1]);
    this.#map.mark(number, keptHere(bench, open, now), new Set(still.map((key) => key[2])));
    const asked = step.turn && markWords(startOf(now), step.turn.angle, step.arrow);
    this.#target.show(asked ? { ...step, asked } : step);
    this.#showTool(step, bench.aside);
    return true;
  }

  /**
   * @param {Key} now
   * @param {Step} step
   * @returns {string[]}
   */
  #care(now, step) {
    const tool = step.tool?.name ?? "";
    const pull = now.join("/");
    if (!this.#cared.has(tool)) this.#cared.set(tool, pull);
    return this.#cared.get(tool) === pull ? step.care : [];
  }

  /**
   * @param {Key} key
   * @param {string} place
   * @param {Step} step
   */
  #showWho(key, place, step) {
    const number = key[2];
    const mark = step.turn && { start: startOf(key), angle: step.turn.angle, turning: step.arrow, now: null };
    const way = say(step.arrow === "cw" ? "turn_cw" : "turn_ccw");
    const name = number > 0 ? say("fastener", { number }) : say("whole_joint");
    fill(
      this.#who,
      number > 0 && (mark ? fastenerWithMark(String(number), mark) : fastener(String(number), step.arrow)),
      make(
        "p",
        { class: "who-words" },
        make("strong", { class: "who-number" }, name),
        number > 0 && make("span", { class: "who-place" }, place),
        number > 0 && make("span", { class: "who-way" }, way),
        step.left_hand && make("span", { class: "who-way" }, say("left_hand")),
      ),
    );
  }

  /**
   * @param {Step} step
   * @param {string[]} aside names of tools that are in doubt
   */
  #showTool(step, aside) {
    const tool = step.tool;
    const waits = step.kind === "wait";
    const take = tool ? say("take_tool", { tool: tool.name }) : say("take_hand");
    fill(
      this.#tool,
      !waits && make("p", { class: "take" }, take),
      tool?.setting && make("p", { class: "set" }, say("set_to", { setting: tool.setting.text })),
      waits && make("p", { class: "due" }, say("due_about")),
      aside.length > 0 && make("p", { class: "while" }, say("aside_tool", { tools: aside.join(", ") })),
    );
  }
}

customElements.define("pull-view", PullView);
