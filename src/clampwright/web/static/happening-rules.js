// What can happen, what is asked then and what is offered: looked up in the server's tables, so that
// it can be told without a network. What follows from it, the server works out.

/** @typedef {import("./types.d.ts").Happenings} Happenings */
/** @typedef {import("./types.d.ts").HappeningQuestion} HappeningQuestion */
/** @typedef {import("./types.d.ts").HappeningRule} HappeningRule */
/** @typedef {Record<string, string>} Answers */

/**
 * What is told so far.
 * @typedef {object} Telling
 * @property {string} what
 * @property {string} sort of the stage
 * @property {number} stage
 * @property {Answers} answers
 */

/**
 * @param {Record<string, string[]>} when
 * @param {Answers} answers
 */
function fits(when, answers) {
  return Object.entries(when).every(([name, wanted]) => wanted.includes(answers[name] ?? ""));
}

/**
 * Return the next question, or null when all are answered.
 * @param {Happenings} tables
 * @param {Telling} told
 * @returns {HappeningQuestion | null}
 */
export function askNext(tables, told) {
  const mine = tables.questions.filter(
    (one) =>
      one.happening === told.what &&
      one.stages.includes(told.sort) &&
      fits(one.when, told.answers) &&
      (one.kind !== "stage" || told.stage > 1),
  );
  return mine.find((one) => !(one.name in told.answers)) ?? null;
}

/**
 * Return what trade practice offers.
 * @param {Happenings} tables
 * @param {Telling} told
 * @returns {HappeningRule | null}
 */
export function offered(tables, told) {
  const found = tables.rules.find(
    (one) =>
      one.happening === told.what && one.stages.includes(told.sort) && fits(one.when, told.answers),
  );
  return found ?? null;
}
