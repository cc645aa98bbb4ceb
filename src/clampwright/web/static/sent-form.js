// Sending a form with this page's own name: a plain form would send none, for pages tell nobody
// where they come from, and the server takes nothing without it.

import { say } from "./words.js";

/**
 * Put what came back in place of what is there.
 * @param {string} text
 */
function show(text) {
  const fresh = new DOMParser().parseFromString(text, "text/html").getElementById("content");
  const old = document.getElementById("content");
  if (!fresh || !old) throw new Error("no content came back");
  old.replaceWith(document.adoptNode(fresh));
  begin();
  scrollTo(0, 0);
  fresh.focus();
}

/** Listen to the form that stands on the page now. */
function begin() {
  const form = document.querySelector("form[data-sent]");
  form?.addEventListener("submit", async (event) => {
    event.preventDefault();
    if (!(form instanceof HTMLFormElement)) return;
    const button = form.querySelector("button.main");
    if (button instanceof HTMLButtonElement) button.disabled = true;
    try {
      const pairs = [...new FormData(form)].map(([key, value]) => [key, String(value)]);
      const reply = await fetch(form.action, { method: "POST", body: new URLSearchParams(pairs) });
      show(await reply.text());
    } catch {
      if (button instanceof HTMLButtonElement) button.disabled = false;
      const notice = document.getElementById("notice");
      if (notice) {
        notice.hidden = false;
        notice.textContent = say("not_possible", { why: say("offline") });
        notice.scrollIntoView();
      }
    }
  });
}

begin();
