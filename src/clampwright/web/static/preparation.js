// The preparation list: what is settled goes the way of all entries, kept here first, then sent.

import { sendNow } from "./send-now.js";

const job = decodeURIComponent(location.pathname.split("/")[2] ?? "");
const notice = document.getElementById("notice");

/** @param {string} text */
function tell(text) {
  if (!notice) return;
  notice.textContent = text;
  notice.hidden = !text;
  if (text) notice.scrollIntoView({ block: "center" });
}

/**
 * Keep an entry and send it.
 * @param {string} way
 * @param {Record<string, unknown>} body
 * @param {string} what in words
 * @returns {Promise<boolean>} whether it is on the log
 */
async function send(way, body, what) {
  const { taken, why } = await sendNow(job, way, body, what);
  tell(taken ? "" : why || (notice?.dataset["kept"] ?? ""));
  return taken;
}

/**
 * Show on the page that a point is settled.
 * @param {HTMLFormElement} form
 * @param {string} how
 * @param {string} said
 */
function settled(form, how, said) {
  const point = form.closest(".point");
  if (!point) return;
  point.className = `point is-${how}`;
  const became = point.querySelector(".became");
  if (became) became.textContent = said;
  form.hidden = true;
  const open = document.querySelectorAll(".point.is-open").length;
  const left = document.getElementById("left");
  if (left) {
    left.textContent = open ? `${left.dataset["open"]} ${open}` : (left.dataset["none"] ?? "");
  }
  const passing = document.getElementById("passing");
  if (passing && !open) passing.hidden = true;
}

for (const form of document.querySelectorAll("form[data-point]")) {
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    if (!(form instanceof HTMLFormElement) || !(event instanceof SubmitEvent)) return;
    const pressed = event.submitter;
    const how = pressed instanceof HTMLButtonElement ? pressed.value : "";
    const filled = new FormData(form);
    const answer = how === "chosen" || how === "answered" ? String(filled.get("answer") ?? "") : "";
    const reason = how === "skipped" ? String(filled.get("reason") ?? "") : "";
    const { joint, point } = form.dataset;
    const said = how === "ticked" ? (form.dataset["ticked"] ?? "") : "";
    const shown = how === "skipped" ? `${form.dataset["skipped"]} ${reason}` : said || words(form, answer);
    if (await send("preparations", { joint, point, how, answer, reason }, `${point}: ${shown}`)) {
      settled(form, how, shown);
    }
  });
}

/**
 * The words of an option, or the answer as typed.
 * @param {HTMLFormElement} form
 * @param {string} answer
 */
function words(form, answer) {
  const chosen = form.querySelector("input[type=radio]:checked");
  return chosen?.closest("label")?.querySelector("strong")?.textContent ?? answer;
}

const passing = document.querySelector("form[data-pass]");
passing?.addEventListener("submit", async (event) => {
  event.preventDefault();
  if (!(passing instanceof HTMLFormElement)) return;
  const { joint, stage, fastener } = passing.dataset;
  const reason = String(new FormData(passing).get("reason") ?? "");
  const body = { joint, stage: Number(stage), fastener: Number(fastener), reason };
  if (await send("passings", body, reason)) location.assign(`/jobs/${encodeURIComponent(job)}/pull`);
});
