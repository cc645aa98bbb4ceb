// Between workshops: look at a file, take it in, make one.

import { dataOf, fill, make } from "./dom.js";
import { ask } from "./server.js";
import { say } from "./words.js";

const PATIENCE = 60_000;
const said = dataOf("handed-words");

/**
 * @param {string} id
 * @returns {HTMLInputElement}
 */
function field(id) {
  const found = document.getElementById(id);
  if (!(found instanceof HTMLInputElement)) throw new Error(`no field ${id}`);
  return found;
}

/** @param {string} sentence */
function tell(sentence) {
  const notice = document.getElementById("notice");
  if (!notice) return;
  notice.textContent = sentence;
  notice.hidden = !sentence;
  if (sentence) notice.scrollIntoView({ block: "center" });
}

/**
 * @param {"looks" | "taken"} way
 * @returns {Promise<import("./server.js").Answer | null>}
 */
async function send(way) {
  const file = field("file").files?.[0];
  if (!file) return null;
  const asked = new URLSearchParams({
    name: field("as").value.trim(),
    key: field("key").value.trim(),
    by: field("by").value.trim(),
    file_only: String(field("file-only").checked),
  });
  const answer = await ask(`/api/handed/${way}?${asked}`, { method: "POST", file, patience: PATIENCE });
  tell(answer.status ? answer.error : say("offline"));
  return answer.error || !answer.status ? null : answer;
}

/** @param {any} given */
function show(given) {
  const facts = document.getElementById("facts");
  const notes = document.getElementById("notes");
  const looked = document.getElementById("looked");
  if (!facts || !notes || !looked) return;
  const rows = [
    [given.what, `${given.title} (${given.name})`],
    [said.from, `${given.workshop}, ${given.made.slice(0, 10)}`],
    [said.log, `${given.origin}: ${given.size}`],
    [said.signed, given.key],
  ];
  fill(facts, ...rows.flatMap(([name, value]) => [make("dt", {}, name), make("dd", {}, value)]));
  const lines = given.problem ? [given.problem, ...given.notes] : given.notes;
  fill(notes, ...lines.map((/** @type {string} */ one) => make("li", {}, one)));
  looked.hidden = false;
  facts.focus();
}

document.getElementById("take")?.addEventListener("submit", async (event) => {
  event.preventDefault();
  const pressed = event instanceof SubmitEvent ? event.submitter : null;
  if (pressed instanceof HTMLButtonElement && pressed.value === "take") {
    if (await send("taken")) location.reload();
    return;
  }
  const answer = await send("looks");
  if (answer) show(answer.data);
});

field("file").addEventListener("change", () => {
  const looked = document.getElementById("looked");
  if (looked) looked.hidden = true;
  tell("");
});

document.getElementById("give")?.addEventListener("submit", async (event) => {
  event.preventDefault();
  const thing = document.getElementById("thing");
  if (!(thing instanceof HTMLSelectElement)) return;
  const answer = await fetch(`/api/hand-overs/${thing.value}`, { method: "POST" }).catch(() => null);
  if (!answer?.ok) {
    const why = answer ? await answer.json().catch(() => null) : null;
    tell(why?.error ?? say("offline"));
    return;
  }
  const link = make("a", {
    href: URL.createObjectURL(await answer.blob()),
    download: `${thing.value.replace("/", "-")}.json`,
  });
  link.click();
  URL.revokeObjectURL(link.href);
  tell("");
});
