// Taking entries in that were carried by hand: each goes the way it would have gone by itself.

import { fill, make } from "./dom.js";
import { carriedIn, NotEntries } from "./exchange.js";
import { ask } from "./server.js";
import { say } from "./words.js";

/** @typedef {import("./types.d.ts").Carried} Carried */

const MOST = 100;
const PATIENCE = 60_000;

const form = document.getElementById("take-in");
const outcome = document.getElementById("outcome");

/** @param {...(string | Node)} lines */
function show(...lines) {
  if (!outcome) return;
  fill(outcome, ...lines);
  outcome.hidden = false;
}

/** @param {string} text */
async function take(text) {
  /** @type {Carried} */
  let carried;
  try {
    carried = carriedIn(text);
  } catch (error) {
    if (!(error instanceof NotEntries)) throw error;
    const { what, which } = error;
    if (what === "codes_missing") show(say("codes_missing", { which }));
    else if (what === "codes_mixed") show(say("codes_mixed"));
    else if (what === "altered") show(say("altered", { which }));
    else show(say("not_entries"));
    return;
  }
  const told = { taken: 0, known: 0, aside: 0 };
  /** @type {string[]} */
  const left = [];
  for (let at = 0; at < carried.entries.length; at += MOST) {
    const several = carried.entries.slice(at, at + MOST);
    const entries = several.map(({ job, way, id, content, counter, made, plan, person }) => ({
      job,
      way,
      id,
      content,
      device: {
        ...{ id: carried.device, counter, time: made },
        ...(plan ? { plan } : {}),
        ...(person ? { person, late: true } : {}),
      },
    }));
    const answer = await ask("/api/entries", { method: "POST", body: { entries, aside: true }, patience: PATIENCE });
    if (answer.error || !answer.data) {
      left.push(answer.error || say("offline"));
      break;
    }
    for (const one of answer.data.answers) {
      if (one.status === 201) told.taken += 1;
      else if (one.status === 200) told.known += 1;
      else if (one.aside) told.aside += 1;
      else left.push(`${one.id}: ${one.error}`);
    }
    // The server stops where what follows may rest on an entry that it did not take.
    const rest = carried.entries.length - at - answer.data.answers.length;
    if (answer.data.answers.length < several.length) {
      left.push(say("in_rest", { count: rest }));
      break;
    }
  }
  show(
    make("p", { class: "large" }, say("in_taken", told)),
    told.aside ? make("p", {}, say("in_aside", { count: told.aside })) : "",
    ...left.map((line) => make("p", { class: "notice" }, say("in_left", { why: line }))),
  );
}

form?.addEventListener("submit", async (event) => {
  event.preventDefault();
  if (!(form instanceof HTMLFormElement)) return;
  const facts = new FormData(form);
  const file = facts.get("file");
  const typed = String(facts.get("codes") ?? "");
  const text = file instanceof File && file.size ? await file.text() : typed;
  if (text.trim()) await take(text);
  else show(say("not_entries"));
});
