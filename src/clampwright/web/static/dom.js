// Making elements, without any markup in strings.

/**
 * @typedef {string | Node | null | undefined | false} Child
 */

/**
 * Return a new element.
 * @template {keyof HTMLElementTagNameMap} K
 * @param {K} tag
 * @param {Record<string, string | boolean | EventListener | undefined>} facts attributes; `onclick`
 *   and its like are listeners, true sets an attribute, false and undefined leave it out
 * @param {...Child} children
 * @returns {HTMLElementTagNameMap[K]}
 */
export function make(tag, facts = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(facts)) {
    if (typeof value === "function") {
      element.addEventListener(name.slice(2), value);
    } else if (value === true) {
      element.setAttribute(name, "");
    } else if (typeof value === "string") {
      element.setAttribute(name, value);
    }
  }
  fill(element, ...children);
  return element;
}

/**
 * Replace what an element holds.
 * @param {Element} element
 * @param {...Child} children
 */
export function fill(element, ...children) {
  /** @type {(string | Node)[]} */
  const kept = [];
  for (const child of children) {
    if (child) kept.push(child);
  }
  element.replaceChildren(...kept);
}

/**
 * Return a drawing from SVG text that this program's server made.
 * @param {string} text
 * @returns {SVGSVGElement | null}
 */
export function drawing(text) {
  if (!text) return null;
  const parsed = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
  const svg = document.importNode(parsed, true);
  return svg instanceof SVGSVGElement ? svg : null;
}

/**
 * Return what the server put into the page as data.
 * @param {string} id
 * @returns {any}
 */
export function dataOf(id) {
  return JSON.parse(document.getElementById(id)?.textContent ?? "null");
}
