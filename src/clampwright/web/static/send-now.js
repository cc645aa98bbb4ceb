// Keep an entry and send it at once, for pages that wait for what becomes of it.

import { uuid7 } from "./ids.js";
import { outbox } from "./outbox.js";

/** @typedef {import("./types.d.ts").Item} Item */

/**
 * @param {string} job
 * @param {string} way
 * @param {Record<string, unknown>} body
 * @param {string} what in words
 * @returns {Promise<{ taken: boolean, why: string }>} `why` is empty while the server is away
 */
export async function sendNow(job, way, body, what) {
  /** @type {Item} */
  const item = {
    id: uuid7(),
    job,
    way,
    body,
    made: new Date().toISOString(),
    key: null,
    what,
    inside: null,
    side: null,
    limits: "",
    state: "waiting",
    why: "",
  };
  // Another page, or the regular look for what waits, may send it before our own turn comes.
  /** @type {import("./outbox.js").Fate | undefined} */
  let fate;
  const heard = (/** @type {Event} */ event) => {
    if (event instanceof CustomEvent) fate = event.detail.get(item.id) ?? fate;
  };
  outbox.addEventListener("sent", heard);
  const kept = await outbox.put(item);
  fate = (await outbox.flush()).get(item.id) ?? fate;
  outbox.removeEventListener("sent", heard);
  if (fate?.state === "refused" && fate.item.sign) {
    fate = (await outbox.signLater({ ...kept, ...fate.item })).get(item.id) ?? fate;
  }
  if (fate?.state === "refused") await outbox.putAside({ ...kept, why: fate.why });
  return { taken: fate?.state === "taken", why: fate?.state === "refused" ? fate.why : "" };
}
