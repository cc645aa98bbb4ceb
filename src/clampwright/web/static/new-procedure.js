// Pasting a procedure: it is read, shown back, settled by touch, and kept.

import { dataOf, fill, make } from "./dom.js";
import { thisDevice } from "./device.js";
import { fastenerOf, field, formOf, notice, setField, whileBusy } from "./form.js";
import { uuid7 } from "./ids.js";
import { showReading } from "./reading-view.js";
import { remember, remembered } from "./remembered.js";
import { ask } from "./server.js";
import { say } from "./words.js";

/** @typedef {import("./types.d.ts").KeptFile} KeptFile */

const paste = formOf("paste");
const keep = formOf("keep");
const place = document.getElementById("reading");
/** @type {{ text: number, file: number, files: number }} */
const limits = dataOf("limits");
/** @type {{ procedure: string, files: KeptFile[] } | null} */
const before = dataOf("before");
const DRAFT = before ? `procedure-draft-${before.procedure}` : "procedure-draft";
const MEGABYTE = 1_000_000;
const FILE_PATIENCE = 120_000;
const LONG_TEXT = 60_000;

/** What was read, and what is chosen of it. @type {{ text: string, locale: string, choice: number | null, ready: boolean, open: boolean } | null} */
let read = null;
/** @type {KeptFile[]} */
const files = before ? [...before.files] : [];
let entry = { id: uuid7(), content: "" };

function textOf() {
  const found = paste.elements.namedItem("text");
  return found instanceof HTMLTextAreaElement ? found.value : "";
}

function save() {
  const typed = { text: textOf(), locale: field(paste, "locale"), ...fastenerOf(paste) };
  const kept = ["title", "source", "page", "edition", "date"].map((name) => [name, field(keep, name)]);
  remember(DRAFT, { ...typed, ...Object.fromEntries(kept) });
  remember("person", { name: field(keep, "by") });
  remember("fastener", fastenerOf(paste));
}

function forgetReading() {
  read = null;
  keep.hidden = true;
  if (place instanceof HTMLElement) place.hidden = true;
}

paste.addEventListener("submit", (event) => {
  event.preventDefault();
  void whileBusy(paste, say("reading_it"), async () => {
    notice("");
    forgetReading();
    const text = textOf();
    const locale = field(paste, "locale");
    if ([...text].length > limits.text) {
      notice(say("too_long", { count: [...text].length, limit: limits.text }));
      return;
    }
    const body = { text, locale, fastener: fastenerOf(paste) };
    const answer = await ask("/api/procedures/reading", { method: "POST", body, patience: LONG_TEXT });
    if (answer.error || !answer.status) {
      notice(say("not_possible", { why: answer.error || say("offline") }));
      return;
    }
    notice(answer.data.fastener_problem);
    if (!(place instanceof HTMLElement)) return;
    place.hidden = false;
    showReading(
      place,
      answer.data,
      (choice, ready) => {
        read = { text, locale, choice, ready, open: false };
        keep.hidden = !ready;
      },
      () => {
        read = { text, locale, choice: null, ready: true, open: true };
        keep.hidden = false;
      },
    );
    place.focus();
    place.scrollIntoView({ block: "start" });
  });
});

paste.addEventListener("input", (event) => {
  save();
  const target = event.target;
  if (target instanceof HTMLElement && ["text", "locale"].includes(target.id)) forgetReading();
});
keep.addEventListener("input", save);

keep.addEventListener("change", (event) => {
  const input = event.target;
  if (!(input instanceof HTMLInputElement) || input.type !== "file") return;
  const chosen = [...(input.files ?? [])];
  input.value = "";
  void whileBusy(keep, say("keeping"), () => keepFiles(chosen));
});

/** @param {File[]} chosen */
async function keepFiles(chosen) {
  notice("");
  for (const file of chosen) {
    if (files.length >= limits.files) {
      notice(say("too_many", { limit: limits.files }));
      return;
    }
    if (file.size > limits.file) {
      notice(say("too_large", { name: file.name, limit: limits.file / MEGABYTE }));
      return;
    }
    const path = `/api/procedures/files?name=${encodeURIComponent(file.name.slice(0, 100) || "page")}`;
    const answer = await ask(path, { method: "POST", file, patience: FILE_PATIENCE });
    if (answer.error || !answer.status) {
      notice(say("not_possible", { why: answer.error || say("offline") }));
      return;
    }
    if (!files.some((one) => one.sha256 === answer.data.sha256)) files.push(answer.data);
    showFiles();
  }
}

function showFiles() {
  const list = document.getElementById("files");
  if (list) fill(list, ...files.map((one) => make("li", {}, say("file_kept", { name: one.name }))));
}

keep.addEventListener("submit", (event) => {
  event.preventDefault();
  const known = read;
  if (!known?.ready) {
    notice(say(known ? "settle_first" : "read_first"));
    return;
  }
  void whileBusy(keep, say("keeping"), async () => {
    notice("");
    const source = Object.fromEntries(
      ["edition", "page", "date"].map((name) => [name, field(keep, name)]),
    );
    const content = {
      procedure: before?.procedure ?? null,
      title: field(keep, "title"),
      text: known.text,
      locale: known.locale,
      choice: known.choice,
      stays_open: known.open,
      source: { title: field(keep, "source"), ...source },
      files: files.map(({ sha256, name }) => ({ sha256, name })),
      by: field(keep, "by"),
    };
    // The same again is the same entry, so that a lost answer cannot make two of it.
    const told = JSON.stringify(content);
    if (entry.content !== told) entry = { id: uuid7(), content: told };
    const body = { ...content, device: await thisDevice() };
    const answer = await ask(`/api/procedures/versions/${entry.id}`, { method: "PUT", body, patience: LONG_TEXT });
    if (answer.error || !answer.status) {
      notice(say("not_possible", { why: answer.error || say("offline") }));
      return;
    }
    remember(DRAFT, {});
    location.assign(`/procedures/${encodeURIComponent(answer.data.procedure)}#use`);
  });
});

const draft = remembered(DRAFT);
for (const [name, value] of Object.entries(draft)) {
  if (!value) continue;
  setField(paste, name, value);
  setField(keep, name, value);
}
setField(keep, "by", remembered("person")["name"] ?? "");
showFiles();
