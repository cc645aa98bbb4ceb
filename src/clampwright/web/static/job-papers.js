// A photograph or PDF for a job: the file goes to the server first, then the entry that names it.

import { sendNow } from "./send-now.js";
import { ask } from "./server.js";
import { say } from "./words.js";

const FILE_PATIENCE = 60_000;
const job = decodeURIComponent(location.pathname.split("/")[2] ?? "");
const notice = document.getElementById("notice");
const form = document.getElementById("paper");

/** @param {string} text */
function tell(text) {
  if (!notice) return;
  notice.textContent = text;
  notice.hidden = !text;
  if (text) notice.scrollIntoView({ block: "center" });
}

form?.addEventListener("submit", async (event) => {
  event.preventDefault();
  const input = document.getElementById("file");
  if (!(form instanceof HTMLFormElement) || !(input instanceof HTMLInputElement)) return;
  const file = input.files?.[0];
  if (!file) return;
  if (file.size > Number(form.dataset["largest"])) {
    tell(notice?.dataset["large"] ?? "");
    return;
  }
  const filled = new FormData(form);
  const field = (/** @type {string} */ name) => String(filled.get(name) ?? "").trim();
  const name = encodeURIComponent(file.name.slice(-200) || "photograph");
  const kept = await ask(`/api/papers?name=${name}`, { method: "POST", file, patience: FILE_PATIENCE });
  if (kept.error || !kept.status) {
    tell(kept.error || say("offline"));
    return;
  }
  const body = {
    joint: field("joint"),
    fastener: Number(field("fastener") || 0),
    sha256: kept.data.sha256,
    name: kept.data.name,
    note: field("note"),
  };
  const { taken, why } = await sendNow(job, "papers", body, kept.data.name);
  if (taken) location.reload();
  else tell(why || (notice?.dataset["kept"] ?? ""));
});
