// Taking apart: what was loosened is kept here first, then sent; then the next fastener comes.

import { uuid7 } from "./ids.js";
import { outbox } from "./outbox.js";

/** @typedef {import("./types.d.ts").Item} Item */

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
  /** @type {Item} */
  const item = {
    id: uuid7(),
    job,
    way: "loosenings",
    body: { joint, round: Number(round), fastener: Number(fastener), breakaway, tool: "", note },
    made: new Date().toISOString(),
    key: null,
    what: `${fastener}: ${breakaway} ${note}`,
    inside: null,
    limits: "",
    state: "waiting",
    why: "",
  };
  const kept = await outbox.put(item);
  const fate = (await outbox.flush()).get(item.id);
  if (fate?.state === "taken") location.reload();
  else if (fate?.state === "refused") {
    await outbox.putAside({ ...kept, why: fate.why });
    tell(fate.why);
  } else tell(notice?.dataset["kept"] ?? "");
});
