// A signature in the moment something is done: tap the name, give the PIN; and the lock opened again.

import { askOver } from "./person-pad.js";
import { askPlainly } from "./server.js";
import { learn, session } from "./who.js";
import { say } from "./words.js";

/** What is signed, in words. @type {Record<string, () => string>} */
const ACTS = {
  accept_doubtful: () => say("act_accept_doubtful"),
  overrule_tool: () => say("act_overrule_tool"),
  second_look: () => say("act_second_look"),
  close_job: () => say("act_close_job"),
  confirm_procedure: () => say("act_confirm_procedure"),
};

/** Ask the server who is here. @returns {Promise<import("./who.js").Session | null>} */
export async function look() {
  const answer = await askPlainly("/api/session");
  if (answer.status === 200) learn(answer.data);
  return answer.status === 200 ? answer.data : session();
}

/** What is being asked; a second question waits for the first. @type {Promise<unknown>} */
let asking = Promise.resolve();

/**
 * Have one entry signed.
 * @param {string} act
 * @param {string} entry
 * @returns {Promise<string>} what goes with the entry; empty when nobody signed
 */
export function signatureFor(act, entry) {
  const turn = asking.then(() => signed(act, entry));
  asking = turn.catch(() => "");
  return turn;
}

/** @param {string} act @param {string} entry */
async function signed(act, entry) {
  const here = await look();
  if (!here) return "";
  let token = "";
  const roles = here.signs[act];
  await askOver(here, {
    title: say("sign_act", { act: ACTS[act]?.() ?? "" }),
    ...(roles ? { roles } : {}),
    may_leave: true,
    give: async (person, secret) => {
      const body = { person, secret, act, entry };
      const answer = await askPlainly("/api/signatures", { method: "POST", body });
      token = answer.data?.signature ?? "";
      return answer.error || (answer.status ? "" : say("offline"));
    },
  });
  return token;
}

/** Whether the page is locked now. */
let locked = false;

/** Ask for the PIN over the page, and go on where it was. */
export async function unlock() {
  if (locked) return;
  locked = true;
  try {
    const here = await look();
    if (!here?.needed || here.state === "open") return;
    if (!here.tiles.length || !here.enrolled) {
      location.assign(`/sign-in?to=${encodeURIComponent(location.pathname + location.search)}`);
      return;
    }
    await askOver(here, {
      title: say("locked_title"),
      about: say("locked_about"),
      give: async (person, pin) => {
        const answer = await askPlainly("/api/session/pin", { method: "POST", body: { person, pin } });
        if (answer.status === 201) learn(answer.data);
        return answer.error || (answer.status ? "" : say("offline"));
      },
    });
    document.dispatchEvent(new Event("unlocked"));
  } finally {
    locked = false;
  }
}
