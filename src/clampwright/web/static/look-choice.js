// Choosing the day look, the night look, the one of strongest contrast, or what the device has.

import { dataOf, make } from "./dom.js";

/** @type {Record<string, string>} */
const named = dataOf("page-words") ?? {};

/** @returns {string} */
function chosen() {
  return document.documentElement.dataset["look"] ?? "system";
}

const CONDITIONS = Object.entries({
  "(prefers-contrast: more)": "strong",
  "(prefers-color-scheme: dark)": "dark",
});

/**
 * Drawings come in the look of the device; where another was chosen, in that one.
 *
 * @param {string} look
 */
function redraw(look) {
  for (const source of document.querySelectorAll("picture source")) {
    if (!(source instanceof HTMLSourceElement)) continue;
    const asked = (source.dataset["media"] ??= source.media);
    const settled = CONDITIONS.reduce(
      (media, [condition, name]) => media.replace(condition, name === look ? "(min-width: 0)" : "(max-width: 0)"),
      asked,
    );
    source.media = look === "system" ? asked : settled;
  }
}

/** @param {string} look */
function choose(look) {
  redraw(look);
  if (look === "system") delete document.documentElement.dataset["look"];
  else document.documentElement.dataset["look"] = look;
  try {
    localStorage.setItem("look", look);
  } catch {
    // It holds until the page is left.
  }
}

class LookChoice extends HTMLElement {
  connectedCallback() {
    redraw(chosen());
    const id = `look-${Math.floor(performance.now())}`;
    const select = make("select", { id, name: "look" });
    for (const look of ["system", "light", "dark", "strong"]) {
      const option = make("option", { value: look }, named[look] ?? look);
      option.selected = look === chosen();
      select.append(option);
    }
    select.addEventListener("change", () => choose(select.value));
    this.replaceChildren(make("label", { for: id }, named["look"] ?? ""), select);
  }
}

customElements.define("look-choice", LookChoice);
