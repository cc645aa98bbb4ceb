// A photograph or certificate of a tool, sent as it is, or a picture made small enough first.

import { say } from "./words.js";

const LARGEST = 190_000;

/**
 * Return a picture of at most the largest size, smaller step by step.
 * @param {File} file
 * @returns {Promise<Blob>}
 */
async function small(file) {
  if (file.size <= LARGEST || !file.type.startsWith("image/")) return file;
  const picture = await createImageBitmap(file);
  for (let width = Math.min(picture.width, 1600); width >= 300; width *= 0.8) {
    const canvas = document.createElement("canvas");
    canvas.width = Math.round(width);
    canvas.height = Math.round((width * picture.height) / picture.width);
    canvas.getContext("2d")?.drawImage(picture, 0, 0, canvas.width, canvas.height);
    /** @type {Blob | null} */
    const made = await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.8));
    if (made && made.size <= LARGEST) return made;
  }
  return file;
}

/** @param {HTMLFormElement} form */
async function send(form) {
  const field = form.querySelector("input[type=file]");
  const kind = form.querySelector("select");
  const notice = form.querySelector(".notice");
  if (!(field instanceof HTMLInputElement) || !kind || !(notice instanceof HTMLElement)) return;
  let why = "";
  try {
    const file = field.files?.[0];
    const body = file ? await small(file) : new Blob([]);
    const headers = { "content-type": "application/octet-stream" };
    const path = `${form.dataset["paper"]}${kind.value}`;
    const reply = await fetch(path, { method: "PUT", body, headers, credentials: "same-origin" });
    const data = await reply.json();
    if (reply.ok) return location.assign(data.to);
    why = String(data?.error ?? reply.status);
  } catch {
    why = say("offline");
  }
  notice.hidden = false;
  notice.textContent = say("not_possible", { why });
}

for (const form of document.querySelectorAll("form[data-paper]")) {
  if (!(form instanceof HTMLFormElement)) continue;
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    void send(form);
  });
}
