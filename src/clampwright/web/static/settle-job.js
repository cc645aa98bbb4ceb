// The open questions of a job, settled by touch before it is begun.

import { dataOf } from "./dom.js";
import { field, formOf, notice, setField, whileBusy } from "./form.js";
import { showReading } from "./reading-view.js";
import { remember, remembered } from "./remembered.js";
import { ask } from "./server.js";
import { say } from "./words.js";

/** @typedef {import("./types.d.ts").TextReading} TextReading */

const form = formOf("settle");
/** @type {{ joint: string, reading: TextReading }[]} */
const readings = dataOf("readings");
/** What was chosen, by joint. @type {Map<string, number>} */
const choices = new Map();

for (const { joint, reading } of readings) {
  const place = document.querySelector(`[data-joint="${CSS.escape(joint)}"]`);
  if (!place) continue;
  showReading(place, reading, (choice, ready) => {
    if (ready && choice !== null) choices.set(joint, choice);
    else choices.delete(joint);
    form.hidden = choices.size < readings.length;
  });
}

form.addEventListener("submit", (event) => {
  event.preventDefault();
  void whileBusy(form, say("opening"), async () => {
    notice("");
    const by = field(form, "by");
    remember("person", { name: by });
    const job = encodeURIComponent(form.dataset["job"] ?? "");
    const body = { choices: Object.fromEntries(choices), by };
    const answer = await ask(`/api/jobs/${job}/opening`, { method: "POST", body });
    if (answer.error || !answer.status) {
      notice(say("not_possible", { why: answer.error || say("offline") }));
      return;
    }
    // What is to be settled first is shown first.
    location.assign(answer.data.to_settle > 0 ? `/jobs/${job}` : `/jobs/${job}/pull`);
  });
});

setField(form, "by", remembered("person")["name"] ?? "");
