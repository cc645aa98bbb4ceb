// Why a text of a device that types is not taken, in words.

import { say } from "./words.js";

/** @type {Record<string, () => string>} */
const PROBLEMS = {
  none: () => say("typed_none"),
  two: () => say("typed_two"),
  mark: () => say("typed_mark"),
  unit: () => say("typed_unit"),
};

/** @param {string} problem */
export function typedProblem(problem) {
  return PROBLEMS[problem]?.() ?? "";
}
