// Locked after a while without a touch: the PIN is asked over the page, which stays as it is. A live
// trace goes on being recorded underneath. Without a network no PIN can be checked: then nothing is
// locked, and what is made is marked by the server as not signed at the time.

import { askPlainly } from "./server.js";
import { look, unlock } from "./signing.js";
import { session } from "./who.js";

/** The server is told that somebody is here at most so often, ms. */
const TELL_EVERY = 60_000;
const LOOK_EVERY = 1000;

let touched = Date.now();
let told = 0;

function touch() {
  touched = Date.now();
  const here = session();
  if (!here?.needed || here.state !== "open" || touched - told < TELL_EVERY) return;
  told = touched;
  void askPlainly("/api/session/presence", { method: "POST", body: {} });
}

async function lockWhenIdle() {
  const here = session();
  if (!here?.needed || here.state !== "open") return;
  if (Date.now() - touched <= here.idle_s * 1000) return;
  const now = await look(); // the server knows of touches in other windows of this device
  if (now?.state === "locked") await unlock();
  touched = Date.now();
}

void look().then((here) => {
  if (here?.needed && here.state === "locked") void unlock();
});
for (const name of ["pointerdown", "keydown"]) addEventListener(name, touch, { capture: true, passive: true });
document.addEventListener("unlocked", touch);
setInterval(() => void lockWhenIdle(), LOOK_EVERY);
