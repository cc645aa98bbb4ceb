// Forms whose content goes to the server as one message; the answer is a sentence in the form.
// An entry keeps its name until it was taken, so that sending it again is harmless.

import { uuid7 } from "./ids.js";
import { deviceName } from "./device.js";
import { ask, isAway } from "./server.js";
import { say } from "./words.js";

let counter = 0;

/**
 * Return what a form holds: ticks with a value are a list, flags are true or false.
 * @param {HTMLFormElement} form
 * @returns {Record<string, unknown>}
 */
export function contentOf(form) {
  /** @type {Record<string, unknown>} */
  const content = {};
  for (const field of form.elements) {
    if (field instanceof HTMLInputElement && field.type === "checkbox") {
      if ("flag" in field.dataset) {
        content[field.name] = field.checked;
      } else {
        const list = /** @type {string[]} */ (content[field.name] ?? []);
        content[field.name] = field.checked ? [...list, field.value] : list;
      }
    } else if (
      field instanceof HTMLInputElement ||
      field instanceof HTMLSelectElement ||
      field instanceof HTMLTextAreaElement
    ) {
      content[field.name] = "number" in field.dataset ? Number(field.value) : field.value;
    }
  }
  return content;
}

/**
 * Show what an answer tells, once, in place of the form.
 * @param {HTMLFormElement} form
 * @param {string} where
 * @param {Record<string, unknown>} told
 */
function show(form, where, told) {
  const place = document.getElementById(where);
  if (!place) return;
  for (const one of place.querySelectorAll("[data-told]")) {
    if (one instanceof HTMLElement) one.textContent = String(told[one.dataset["told"] ?? ""] ?? "");
  }
  form.hidden = true;
  place.hidden = false;
  place.focus();
}

/** @param {HTMLFormElement} form */
async function send(form) {
  const notice = form.querySelector(".notice");
  const button = form.querySelector("button");
  form.dataset["entry"] ??= uuid7();
  const path = (form.dataset["send"] ?? "").replace("{entry}", form.dataset["entry"]);
  const time = new Date().toISOString();
  const device = { id: await deviceName(), time, counter: counter++ };
  if (button) button.disabled = true;
  const answer = await ask(path, {
    method: form.dataset["method"] ?? "POST",
    body: { ...contentOf(form), device },
  });
  if (button) button.disabled = false;
  if (answer.status && !isAway(answer)) delete form.dataset["entry"];
  if (!answer.error && answer.status) {
    if (answer.data.to) return location.assign(answer.data.to);
    if (form.dataset["after"] === "reload") return location.reload();
    if (form.dataset["show"]) return show(form, form.dataset["show"], answer.data);
  }
  if (notice instanceof HTMLElement) {
    const why = answer.error || answer.data?.told || say("offline");
    notice.hidden = false;
    notice.textContent = answer.error ? say("not_possible", { why }) : why;
  }
}

for (const form of document.querySelectorAll("form[data-send]")) {
  if (!(form instanceof HTMLFormElement)) continue;
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    void send(form);
  });
}
