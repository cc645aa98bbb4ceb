// What was understood of a text, and the questions it leaves, one after the other.

import { fill, make } from "./dom.js";
import { say } from "./words.js";

/** @typedef {import("./types.d.ts").Ask} Ask */
/** @typedef {import("./types.d.ts").AskAnswer} AskAnswer */
/** @typedef {import("./types.d.ts").TextReading} TextReading */

/**
 * Show a reading in a place of the page.
 * @param {Element} place
 * @param {TextReading} reading
 * @param {(choice: number | null, ready: boolean) => void} settled told after every touch: which
 *   reading was chosen, where there are several, and whether nothing is open any more
 * @param {() => void} [stayOpen] told when a text that no choice can settle is to be kept so; where
 *   it is not given, that is not offered
 */
export function showReading(place, reading, settled, stayOpen) {
  if (reading.error) {
    fill(place, make("p", { class: "notice", role: "alert" }, reading.error), ...textOf(reading));
    settled(null, false);
    return;
  }
  const questions = make("div", { class: "questions" });
  fill(place, ...textOf(reading), ...notesOf(reading), questions);
  if (reading.status === "ok") {
    fill(questions, ...work(say("understood"), reading.stages));
    settled(null, true);
    return;
  }
  if (!reading.ask) {
    fill(questions, ...why(reading), make("p", { class: "notice" }, say("cannot_choose")), ...certain(reading));
    settled(null, false);
    if (stayOpen) questions.append(openButton(stayOpen));
    return;
  }
  askOne(questions, reading, reading.ask, [], settled);
}

/** @param {() => void} stayOpen */
function openButton(stayOpen) {
  const button = make("button", { type: "button", class: "button answer" }, say("stay_open"));
  button.addEventListener("click", () => {
    button.replaceWith(make("p", { class: "chosen" }, say("stays_open")));
    stayOpen();
  });
  return button;
}

/**
 * @param {Element} place
 * @param {TextReading} reading
 * @param {Ask} ask
 * @param {{ ask: Ask, answer: AskAnswer }[]} before answers given so far
 * @param {(choice: number | null, ready: boolean) => void} settled
 */
function askOne(place, reading, ask, before, settled) {
  settled(null, false);
  const heading = make("h3", { tabindex: "-1" }, ask.number ? say("which", { number: ask.number }) : say("as_it_stands"));
  const answers = ask.answers.map((answer) =>
    make(
      "button",
      {
        type: "button",
        class: "button answer",
        onclick: () => {
          const given = [...before, { ask, answer }];
          if (answer.then) askOne(place, reading, answer.then, given, settled);
          else conclude(place, reading, given, settled);
        },
      },
      answer.text,
      ...answer.informs.map((line) => make("span", {}, line)),
    ),
  );
  fill(
    place,
    ...(before.length ? chosen(place, reading, before, settled) : why(reading)),
    make("div", { class: "question-box" }, heading, make("div", { class: "answers" }, ...answers)),
    ...(before.length ? [] : certain(reading)),
  );
  if (before.length) heading.focus();
}

/**
 * @param {Element} place
 * @param {TextReading} reading
 * @param {{ ask: Ask, answer: AskAnswer }[]} given
 * @param {(choice: number | null, ready: boolean) => void} settled
 */
function conclude(place, reading, given, settled) {
  const choice = given.at(-1)?.answer.numbers[0] ?? 1;
  const steps = work(say("the_work"), reading.readings[choice - 1] ?? []);
  fill(place, ...chosen(place, reading, given, settled), ...steps);
  settled(choice, true);
  const heading = steps[0];
  if (heading instanceof HTMLElement) heading.focus();
}

/**
 * @param {Element} place
 * @param {TextReading} reading
 * @param {{ ask: Ask, answer: AskAnswer }[]} given
 * @param {(choice: number | null, ready: boolean) => void} settled
 */
function chosen(place, reading, given, settled) {
  return given.map(({ ask, answer }, at) =>
    make(
      "p",
      { class: "chosen" },
      make("strong", {}, say("chosen", { answer: answer.text })),
      make(
        "button",
        {
          type: "button",
          class: "button",
          onclick: () => askOne(place, reading, ask, given.slice(0, at), settled),
        },
        say("choose_again"),
      ),
    ),
  );
}

/** @param {TextReading} reading */
function why(reading) {
  return [
    make("h2", {}, say("why_asked")),
    ...reading.why.map((line) => make("p", { class: "large" }, line)),
  ];
}

/** @param {TextReading} reading */
function certain(reading) {
  if (!reading.stages.length) return [make("p", { class: "quiet" }, say("understood_none"))];
  const lines = reading.stages.map((line) => make("li", {}, line));
  return [make("h2", {}, say("certain")), make("ul", { class: "steps" }, ...lines)];
}

/**
 * @param {string} heading
 * @param {string[]} stages
 */
function work(heading, stages) {
  return [
    make("h2", { tabindex: "-1" }, heading),
    make("ol", { class: "steps" }, ...stages.map((line) => make("li", {}, line))),
  ];
}

/** @param {TextReading} reading */
function notesOf(reading) {
  return reading.notes.map((line) => make("p", {}, line));
}

/** @param {TextReading} reading */
function textOf(reading) {
  const text = reading.pieces.map(({ text: part, mark, role }) =>
    mark === null
      ? part
      : make("span", { class: `piece is-${role}` }, make("span", { class: "tag" }, String(mark)), part),
  );
  const list = reading.marks.map((one) =>
    make(
      "li",
      {},
      make("span", { class: "tag" }, String(one.mark)),
      make("span", { class: `piece is-${one.role}` }, one.text),
      make("span", {}, `${one.meaning} `, make("span", { class: "quiet" }, `(${one.role_words})`)),
    ),
  );
  return [
    make("h2", { tabindex: "-1" }, say("marked")),
    make("div", { class: "marked", dir: "ltr", tabindex: "0", role: "group", "aria-label": say("marked") }, ...text),
    make("details", {}, make("summary", {}, say("marks")), make("ul", { class: "mark-list" }, ...list)),
  ];
}
