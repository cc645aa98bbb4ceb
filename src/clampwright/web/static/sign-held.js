// Signing what is held open: the same entry again, word for word, now with a PIN or a password.

import { ask } from "./server.js";
import { say } from "./words.js";

/** @param {HTMLButtonElement} button */
async function sign(button) {
  const { content, device } = JSON.parse(button.dataset["body"] ?? "{}");
  const notice = button.parentElement?.querySelector(".notice");
  button.disabled = true;
  const answer = await ask(button.dataset["sign"] ?? "", { method: "PUT", body: { ...content, device } });
  button.disabled = false;
  if (!answer.error && answer.status) return location.reload();
  if (notice instanceof HTMLElement && !answer.data?.sign) {
    notice.hidden = false;
    notice.textContent = say("not_possible", { why: answer.error || say("offline") });
  }
}

for (const button of document.querySelectorAll("button[data-sign]")) {
  if (button instanceof HTMLButtonElement) button.addEventListener("click", () => void sign(button));
}
