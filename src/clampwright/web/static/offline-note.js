// Whether this page can go on without network, and whether it is an old one: said on the page.

import { make, fill } from "./dom.js";
import { keepOffline } from "./keep-offline.js";
import { outbox } from "./outbox.js";
import { say } from "./words.js";

const kept = document.documentElement.dataset["kept"] ?? "";

/** What a device can do alone; quiet while the server answers. */
class OfflineNote extends HTMLElement {
  /** @type {import("./keep-offline.js").Standing | ""} */
  #standing = "";

  connectedCallback() {
    outbox.addEventListener("change", () => this.#show());
    void this.#keep();
  }

  async #keep() {
    const job = this.dataset["job"];
    if (!job) return;
    const path = `/jobs/${encodeURIComponent(job)}`;
    this.#standing = kept ? "ready" : await keepOffline([`${path}/pull`, path]);
    this.dataset["standing"] = this.#standing;
    this.#show();
  }

  #show() {
    const { clock, full, keeps } = outbox;
    const stands = { ready: say("off_ready"), none: say("off_none"), failed: say("off_failed"), "": "" };
    const lines = [stands[this.#standing], clock, full ? say("off_full") : keeps ? "" : say("not_kept")];
    const text = lines.filter(Boolean);
    if (text.join() === this.dataset["said"]) return;
    this.dataset["said"] = text.join();
    fill(this, ...text.map((line) => make("p", {}, line)));
  }
}

customElements.define("offline-note", OfflineNote);

/** The time a kept page is from, before all it shows. */
function sayKept() {
  if (!kept) return;
  const at = new Date(kept);
  const lang = document.documentElement.lang;
  const short = at.toLocaleTimeString(lang, { hour: "2-digit", minute: "2-digit" });
  const time = at.toDateString() === new Date().toDateString() ? short : at.toLocaleString(lang);
  const notice = make("p", { class: "notice kept-page", role: "status" }, say("kept_page", { time }));
  document.querySelector("main")?.before(notice);
}

sayKept();
