// Taking apart: what was loosened is kept here first, then sent; then the next fastener comes.

import { sendNow } from "./send-now.js";

const job = decodeURIComponent(location.pathname.split("/")[2] ?? "");
const notice = document.getElementById("notice");
const form = document.getElementById("loosened");

/** @param {string} text */
function tell(text) {
  if (!notice) return;
  notice.textContent = text;
  notice.hidden = !text;
}

form?.addEventListener("submit", async (event) => {
  event.preventDefault();
  if (!(form instanceof HTMLFormElement)) return;
  const filled = new FormData(form);
  const { joint, round, fastener } = form.dataset;
  const breakaway = String(filled.get("breakaway") ?? "").trim();
  const note = String(filled.get("note") ?? "").trim();
  const body = { joint, round: Number(round), fastener: Number(fastener), breakaway, tool: "", note };
  const what = `${fastener}: ${breakaway} ${note}`;
  const { taken, why } = await sendNow(job, "loosenings", body, what);
  if (taken) location.reload();
  else tell(why || (notice?.dataset["kept"] ?? ""));
});
