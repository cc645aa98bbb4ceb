// How many entries are only on this device: always on the page.

import { fill, make } from "./dom.js";
import { whenIdle } from "./later.js";
import { outbox } from "./outbox.js";
import { say } from "./words.js";

class UnsentCount extends HTMLElement {
  /** The sheet that empties the queue by hand; fetched early, for when there is no network. */
  #here = /** @type {import("./entries-here.js").EntriesHere | null} */ (null);

  connectedCallback() {
    whenIdle(() => this.#sheet());
    this.setAttribute("role", "status");
    outbox.addEventListener("change", () => this.#show());
    this.#show();
  }

  async #sheet() {
    const { EntriesHere } = await import("./entries-here.js");
    this.#here ??= new EntriesHere();
    if (!this.#here.isConnected) document.body.append(this.#here);
    return this.#here;
  }

  #show() {
    if (!outbox.known) return;
    const count = outbox.onlyHere.length;
    const text = count ? say("unsent", { count }) : say("unsent_none");
    if (this.textContent?.startsWith(text) && this.classList.contains("some") === count > 0) return;
    this.classList.toggle("some", count > 0);
    fill(
      this,
      count > 0 ? small(text, () => void this.#sheet().then((here) => here.open())) : make("span", {}, text),
      count > 0 && small(say("send_now"), () => void outbox.flush()),
    );
  }
}

/** @param {string} text @param {() => void} act */
function small(text, act) {
  return make("button", { type: "button", class: "button small", onclick: act }, text);
}

customElements.define("unsent-count", UnsentCount);

/** Entries the server refused and the person has read: kept, and to be looked at. */
class AsideList extends HTMLElement {
  connectedCallback() {
    outbox.addEventListener("change", () => this.#show());
    this.#show();
  }

  #show() {
    const aside = outbox.items.filter((item) => item.state === "aside");
    if (this.childElementCount && Number(this.dataset["count"]) === aside.length) return;
    this.dataset["count"] = String(aside.length);
    this.hidden = aside.length === 0;
    fill(
      this,
      make(
        "details",
        {},
        make("summary", {}, say("aside", { count: aside.length })),
        make("ul", {}, ...aside.map((item) => make("li", {}, say("aside_line", { what: item.what, why: item.why })))),
      ),
    );
  }
}

customElements.define("aside-list", AsideList);
