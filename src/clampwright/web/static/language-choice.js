// Choosing the language of the pages on this device, or the one its browser asks for. A cookie
// keeps it, so that the server knows it without an account.

import { dataOf, make } from "./dom.js";

const COOKIE = "clampwright-language";
const YEAR = 31_536_000;

/** @type {{ language?: string, asked?: string, languages?: Record<string, string> }} */
const named = dataOf("page-words") ?? {};

/** @returns {string} */
function chosen() {
  const found = document.cookie.split("; ").find((one) => one.startsWith(`${COOKIE}=`));
  return found?.slice(COOKIE.length + 1) ?? "";
}

/** @param {string} language */
function choose(language) {
  const age = language ? YEAR : 0;
  const secure = location.protocol === "https:" ? "; secure" : "";
  document.cookie = `${COOKIE}=${language}; path=/; max-age=${age}; samesite=strict${secure}`;
  location.reload();
}

class LanguageChoice extends HTMLElement {
  connectedCallback() {
    const languages = Object.entries(named.languages ?? {});
    if (languages.length < 2) return;
    const id = "language-choice";
    const select = make("select", { id, name: "language", autocomplete: "off" });
    for (const [tag, name] of [["", named.asked ?? ""], ...languages]) {
      const option = make("option", tag ? { value: tag, lang: tag } : { value: "" }, name);
      option.selected = tag === chosen();
      select.append(option);
    }
    select.addEventListener("change", () => choose(select.value));
    this.replaceChildren(make("label", { for: id }, named.language ?? ""), select);
  }
}

customElements.define("language-choice", LanguageChoice);
