// Beginning a job from its file.

import { ask } from "./server.js";
import { say } from "./words.js";

for (const button of document.querySelectorAll("button[data-open]")) {
  button.addEventListener("click", async () => {
    if (!(button instanceof HTMLButtonElement)) return;
    const job = encodeURIComponent(button.dataset["open"] ?? "");
    const notice = document.getElementById("notice");
    const before = button.textContent;
    button.disabled = true;
    button.textContent = say("opening");
    const answer = await ask(`/api/jobs/${job}/opening`, { method: "POST" });
    if (!answer.error && answer.status) {
      // What is to be settled first is shown first, if it was not seen before the button.
      const unseen = answer.data.to_settle > 0 && location.pathname === "/";
      location.assign(unseen ? `/jobs/${job}` : `/jobs/${job}/pull`);
      return;
    }
    button.disabled = false;
    button.textContent = before;
    if (notice) {
      notice.hidden = false;
      notice.textContent = say("not_possible", { why: answer.error || say("offline") });
    }
  });
}
