// The page that asks who it is: tags on an enrolled device, name and password elsewhere.

import { dataOf, fill } from "./dom.js";
import { PersonPad } from "./person-pad.js";
import { askPlainly } from "./server.js";
import { learn } from "./who.js";
import { say } from "./words.js";

/** @type {import("./who.js").Session} */
const session = dataOf("session");
learn(session);

/**
 * Go on within this server: browsers pass over tabs and line ends in addresses, so it is looked
 * where an address leads, not how it begins.
 * @param {string} to
 */
function goOn(to) {
  const there = URL.canParse(to, location.origin) ? new URL(to, location.origin) : null;
  location.assign(there?.origin === location.origin ? there : "/");
}

const tiles = document.querySelector("person-tiles");
if (tiles instanceof HTMLElement) {
  const pad = new PersonPad(session, {
    title: say("who_are_you"),
    give: async (person, pin) => {
      const answer = await askPlainly("/api/session/pin", { method: "POST", body: { person, pin } });
      if (answer.status === 201) learn(answer.data);
      return answer.error || (answer.status ? "" : say("offline"));
    },
  });
  fill(tiles, pad.element);
  pad.element.addEventListener("keydown", (event) => pad.keyed(event));
  void pad.ask().then(() => goOn(tiles.dataset["to"] ?? "/"));
}

const form = document.getElementById("by-password");
if (form instanceof HTMLFormElement) {
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    void byPassword(form);
  });
}

/** @param {HTMLFormElement} form */
async function byPassword(form) {
  const fields = new FormData(form);
  const text = (/** @type {string} */ name) => String(fields.get(name) ?? "").trim();
  const [name, password, called] = [text("name"), String(fields.get("password") ?? ""), text("called")];
  const path = called ? "/api/devices" : "/api/session/password";
  const body = called ? { name, password, called } : { name, password };
  const button = form.querySelector("button");
  if (button) button.disabled = true;
  const answer = await askPlainly(path, { method: "POST", body });
  if (button) button.disabled = false;
  if (answer.status === 201) {
    learn(answer.data);
    goOn(form.dataset["to"] ?? "/");
    return;
  }
  const notice = form.querySelector(".notice");
  if (notice instanceof HTMLElement) {
    notice.hidden = false;
    notice.textContent = answer.error || say("offline");
  }
}
