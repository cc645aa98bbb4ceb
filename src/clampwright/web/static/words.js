// The page's sentences: they come from the server's catalogue, so that every language is in one place.

import { dataOf } from "./dom.js";
import { told } from "./told.js";

/** @type {Record<string, string>} */
const sentences = dataOf("words") ?? {};

/**
 * Return a sentence, filled.
 * @param {string} key
 * @param {Record<string, string | number>} values
 * @returns {string}
 */
export function say(key, values = {}) {
  const template = sentences[key];
  if (template === undefined) throw new Error(`no sentence ${key}`);
  return template.replace(/\{(\w+)\}/g, (_whole, name) => told(values[name] ?? ""));
}
