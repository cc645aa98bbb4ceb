// Keeping a question after a figure, and entering the figure when it was found.

import { uuid7 } from "./ids.js";
import { ask } from "./server.js";
import { say } from "./words.js";

const notice = document.getElementById("notice");

/**
 * @param {string} path
 * @param {Record<string, unknown>} body
 */
async function put(path, body) {
  const answer = await ask(`${path}/${uuid7()}`, { method: "PUT", body });
  if (answer.status && !answer.error) {
    location.reload();
    return;
  }
  if (!notice) return;
  notice.textContent = answer.error || say("offline");
  notice.hidden = false;
  notice.scrollIntoView({ block: "center" });
}

const form = document.getElementById("ask-figure");
form?.addEventListener("submit", (event) => {
  event.preventDefault();
  if (!(form instanceof HTMLFormElement)) return;
  const filled = new FormData(form);
  /** @type {Record<string, string>} */
  const looked = {};
  for (const [name, value] of filled) {
    const said = String(value).trim();
    if (name.startsWith("looked-") && said) looked[name.slice("looked-".length)] = said;
  }
  const field = (/** @type {string} */ name) => String(filled.get(name) ?? "");
  void put("/api/figures", {
    what: field("what"),
    machine: field("machine"),
    thread: field("thread"),
    strength: field("strength"),
    looked,
    general_shown: form.dataset["general"] !== undefined,
  });
});

for (const one of document.querySelectorAll("form[data-asked]")) {
  one.addEventListener("submit", (event) => {
    event.preventDefault();
    if (!(one instanceof HTMLFormElement)) return;
    const filled = new FormData(one);
    void put("/api/figure-answers", {
      asked: one.dataset["asked"] ?? "",
      figure: String(filled.get("figure") ?? ""),
      source: String(filled.get("source") ?? ""),
    });
  });
}
