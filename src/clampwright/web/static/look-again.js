// A second look at a joint: by another person, or after a pause with a photograph; signed, then sent.

import { keepSending } from "./outbox.js";
import { sendNow } from "./send-now.js";
import { ask } from "./server.js";
import { say } from "./words.js";
import "./idle-lock.js";
import "./unsent-count.js";

/**
 * Keep the photograph, and return the name it is kept under.
 * @param {File} file
 * @returns {Promise<{ sha256: string, why: string }>}
 */
async function keep(file) {
  const path = `/api/procedures/files?name=${encodeURIComponent(file.name || "photograph")}`;
  const answer = await ask(path, { method: "POST", file, patience: 60_000 });
  const why = answer.error || (answer.status ? "" : say("offline"));
  return { sha256: answer.data?.sha256 ?? "", why };
}

/** @param {HTMLFormElement} form @param {boolean} inOrder */
async function send(form, inOrder) {
  const fields = new FormData(form);
  const notice = form.querySelector(".notice[role=alert]");
  const photo = fields.get("photo");
  let photograph = "";
  let why = "";
  if (photo instanceof File && photo.size) ({ sha256: photograph, why } = await keep(photo));
  if (!why) {
    const body = {
      joint: form.dataset["joint"] ?? "",
      in_order: inOrder,
      note: String(fields.get("note") ?? "").trim(),
      photograph,
      alone: fields.has("alone"),
    };
    const fate = await sendNow(form.dataset["look"] ?? "", "second-looks", body, say("act_second_look"));
    if (fate.taken) return location.reload();
    why = fate.why || say("offline");
  }
  if (notice instanceof HTMLElement) {
    notice.hidden = false;
    notice.textContent = say("not_possible", { why });
  }
}

for (const form of document.querySelectorAll("form[data-look]")) {
  if (!(form instanceof HTMLFormElement)) continue;
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const button = event instanceof SubmitEvent ? event.submitter : null;
    void send(form, button instanceof HTMLButtonElement && button.value === "yes");
  });
}
keepSending();
