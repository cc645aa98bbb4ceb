// A tightened fastener that was tried: kept here first, then sent; then the page says what it tells.

import { sendNow } from "./send-now.js";

const job = decodeURIComponent(location.pathname.split("/")[2] ?? "");
const notice = document.getElementById("notice");
const form = document.getElementById("audit");

/** @param {string} text */
function tell(text) {
  if (!notice) return;
  notice.textContent = text;
  notice.hidden = !text;
  if (text) notice.scrollIntoView({ block: "center" });
}

form?.addEventListener("submit", async (event) => {
  event.preventDefault();
  if (!(form instanceof HTMLFormElement)) return;
  const filled = new FormData(form);
  const field = (/** @type {string} */ name) => String(filled.get(name) ?? "").trim();
  const body = {
    joint: field("joint"),
    fastener: Number(field("fastener")),
    way: field("way"),
    reading: field("reading"),
    read_as: field("read_as"),
    tool: field("tool"),
    note: field("note"),
  };
  const what = `${body.fastener}: ${body.reading}`;
  const { taken, why } = await sendNow(job, "audits", body, what);
  if (taken) location.reload();
  else tell(why || (notice?.dataset["kept"] ?? ""));
});
