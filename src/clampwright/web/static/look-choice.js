// Choosing the day look, the night look, the one of strongest contrast, or what the device has.

import { dataOf, make } from "./dom.js";

/** @type {Record<string, string>} */
const named = dataOf("page-words") ?? {};

/** @returns {string} */
function chosen() {
  return document.documentElement.dataset["look"] ?? "system";
}

/** @param {string} look */
function choose(look) {
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
