// A shelved procedure: a second reader confirms it, a job is begun with it.

import { thisDevice } from "./device.js";
import { fastenerOf, field, formOf, notice, setField, whileBusy } from "./form.js";
import { uuid7 } from "./ids.js";
import { remember, remembered } from "./remembered.js";
import { ask } from "./server.js";
import { say } from "./words.js";

const use = formOf("use-form");
const confirm = formOf("confirm-form");

/** @param {HTMLFormElement} form */
function address(form) {
  const { procedure = "", version = "" } = form.dataset;
  return `/api/procedures/${encodeURIComponent(procedure)}/${version}`;
}

const confirmation = uuid7();

confirm.addEventListener("submit", (event) => {
  event.preventDefault();
  void whileBusy(confirm, say("keeping"), async () => {
    notice("");
    const body = {
      sha256: confirm.dataset["sha256"] ?? "",
      by: field(confirm, "by"),
      device: await thisDevice(),
    };
    const path = `${address(confirm)}/confirmations/${confirmation}`;
    const answer = await ask(path, { method: "PUT", body });
    if (answer.error || !answer.status) {
      notice(say("not_possible", { why: answer.error || say("offline") }));
      return;
    }
    remember("person", { name: body.by });
    location.reload();
  });
});

/** Show the measures that the chosen pattern needs. */
function showMeasures() {
  const pattern = field(use, "pattern");
  for (const part of use.querySelectorAll("[data-patterns]")) {
    if (!(part instanceof HTMLElement)) continue;
    const needed = (part.dataset["patterns"] ?? "").split(" ").includes(pattern);
    part.hidden = !needed;
    for (const input of part.querySelectorAll("input")) input.required = needed;
  }
}

const COUNTS = ["count", "rows", "columns"];
const MEASURES = ["diameter_mm", "pitch_mm", "pitch_x_mm", "pitch_y_mm"];

function layout() {
  /** @type {Record<string, string | number>} */
  const found = { pattern: field(use, "pattern") };
  for (const name of [...COUNTS, ...MEASURES]) {
    const input = use.elements.namedItem(name);
    if (!(input instanceof HTMLInputElement) || !input.required) continue;
    found[name] = COUNTS.includes(name) ? Number(input.value) : input.value.trim();
  }
  return found;
}

use.addEventListener("change", showMeasures);

use.addEventListener("submit", (event) => {
  event.preventDefault();
  void whileBusy(use, say("beginning"), async () => {
    notice("");
    remember("fastener", fastenerOf(use));
    const body = {
      sha256: use.dataset["sha256"] ?? "",
      title: field(use, "title"),
      machine: field(use, "machine"),
      layout: layout(),
      fastener: fastenerOf(use),
      harm_level: Number(field(use, "harm_level")),
      torque_percent: field(use, "torque_percent"),
      angle_deg: field(use, "angle_deg"),
    };
    const made = await ask(`${address(use)}/jobs`, { method: "POST", body });
    if (made.error || !made.status) {
      notice(say("not_possible", { why: made.error || say("offline") }));
      return;
    }
    const job = encodeURIComponent(made.data.job);
    const opened = await ask(`/api/jobs/${job}/opening`, { method: "POST" });
    if (opened.error || !opened.status) {
      notice(say("not_possible", { why: opened.error || say("offline") }));
      return;
    }
    // What is to be settled first is shown first.
    location.assign(opened.data.to_settle > 0 ? `/jobs/${job}` : `/jobs/${job}/pull`);
  });
});

for (const [name, value] of Object.entries(remembered("fastener"))) setField(use, name, value);
showMeasures();
