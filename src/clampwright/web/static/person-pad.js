// Names on tags, then the PIN: by touch in two seconds, by keyboard too.

import { fill, make } from "./dom.js";
import { say } from "./words.js";

/** @typedef {import("./who.js").Tile} Tile */
/** @typedef {import("./who.js").Session} Session */

/** @type {Record<string, () => string>} */
const ROLES = {
  apprentice: () => say("role_apprentice"),
  mechanic: () => say("role_mechanic"),
  responsible: () => say("role_responsible"),
  administrator: () => say("role_administrator"),
};
const DIGITS = ["1", "2", "3", "4", "5", "6", "7", "8", "9", "0"];
const FEWEST = 4;
const MOST = 8;

/**
 * @typedef {object} Asked
 * @property {string} title
 * @property {string} [about]
 * @property {string[]} [roles] whose PIN is good for this; everybody's if not given
 * @property {boolean} [may_leave] whether it can be put off
 * @property {(person: string, secret: string) => Promise<string>} give returns why it was not taken
 */

export class PersonPad {
  #box = make("div", { class: "who-box" });
  #session;
  #asked;
  /** @type {(done: boolean) => void} */
  #end = () => {};
  /** @type {((sign: string) => void) | null} */
  #typed = null;

  /** @param {Session} session @param {Asked} asked */
  constructor(session, asked) {
    this.#session = session;
    this.#asked = asked;
  }

  /** @returns {HTMLElement} */
  get element() {
    return this.#box;
  }

  /** Show the tags. @returns {Promise<boolean>} whether somebody was let in */
  ask() {
    const only = this.#session.tiles.length === 1 ? this.#session.tiles[0] : undefined;
    const first = this.#session.tiles.find((tile) => tile.id === this.#session.person);
    if (only && this.#good(only)) this.#secret(only);
    else if (this.#session.state === "locked" && first && this.#good(first)) this.#secret(first);
    else this.#tags();
    return new Promise((resolve) => {
      this.#end = resolve;
    });
  }

  /** @param {Tile} tile */
  #good(tile) {
    const may = !this.#asked.roles || this.#asked.roles.includes(tile.role);
    return may && (tile.pin || !this.#session.enrolled);
  }

  #tags() {
    this.#typed = null;
    const tags = this.#session.tiles.map((tile) => {
      const good = this.#good(tile);
      const why = tile.pin ? say("may_not_sign") : say("no_pin_yet");
      const about = good ? (ROLES[tile.role]?.() ?? "") : why;
      const name = make("span", { class: "tag-name" }, tile.name);
      const button = make(
        "button",
        { type: "button", class: "tag", disabled: !good, onclick: () => this.#secret(tile) },
        name,
        make("span", { class: "tag-about" }, about),
      );
      return make("li", {}, button);
    });
    fill(
      this.#box,
      make("h2", { tabindex: "-1" }, this.#asked.title),
      this.#asked.about && make("p", {}, this.#asked.about),
      make("ul", { class: "tags" }, ...tags),
      make("p", { class: "ways" }, this.#leave(), this.#byPassword()),
    );
    this.#focus("button:not([disabled])");
  }

  #leave() {
    if (!this.#asked.may_leave) return null;
    const leave = () => this.#end(false);
    return make("button", { type: "button", class: "button", onclick: leave }, say("pin_cancel"));
  }

  #byPassword() {
    if (this.#asked.may_leave || location.pathname === "/sign-in") return null;
    const here = encodeURIComponent(location.pathname + location.search);
    return make("a", { class: "button", href: `/sign-in?to=${here}` }, say("sign_in_page"));
  }

  /** @param {Tile} tile */
  #secret(tile) {
    if (this.#session.enrolled) this.#pin(tile);
    else this.#password(tile);
  }

  /** @param {Tile} tile */
  #pin(tile) {
    let pin = "";
    const shown = make("p", { class: "pin-shown", role: "status" });
    const wrong = make("p", { class: "notice", role: "alert", hidden: true });
    const show = () => {
      const marks = Array.from({ length: Math.max(FEWEST, pin.length) }, (_, at) =>
        make("i", { class: at < pin.length ? "is-set" : "", "aria-hidden": "true" }),
      );
      const count = make("span", { class: "unseen" }, say("pin_digits", { count: pin.length }));
      fill(shown, ...marks, count);
      done.disabled = pin.length < FEWEST;
    };
    const give = async () => {
      if (pin.length < FEWEST) return;
      const tried = pin;
      pin = "";
      show();
      await this.#give(tile, tried, wrong);
    };
    /** @param {string} sign */
    const typed = (sign) => {
      if (sign === "Enter") void give();
      else if (sign === "Backspace") pin = pin.slice(0, -1);
      else if (pin.length < MOST) pin += sign;
      if (sign !== "Enter") show();
    };
    const keys = DIGITS.map((sign) =>
      make("button", { type: "button", class: "button", onclick: () => typed(sign) }, sign),
    );
    const back = make(
      "button",
      { type: "button", class: "button", "aria-label": say("pin_delete"), onclick: () => typed("Backspace") },
      "⌫",
    );
    const done = make("button", { type: "button", class: "button main", onclick: () => void give() }, say("pin_done"));
    const others = this.#session.tiles.length > 1;
    fill(
      this.#box,
      make("h2", { tabindex: "-1" }, say("pin_of", { name: tile.name })),
      this.#asked.title !== say("who_are_you") && make("p", {}, this.#asked.title),
      shown,
      wrong,
      make("div", { class: "pin-rows" }, ...keys, back, done),
      make(
        "p",
        { class: "ways" },
        others && make("button", { type: "button", class: "button", onclick: () => this.#tags() }, say("pin_back")),
        this.#leave(),
      ),
    );
    show();
    this.#typed = typed;
    this.#focus("h2");
  }

  /** @param {Tile} tile */
  #password(tile) {
    this.#typed = null;
    const wrong = make("p", { class: "notice", role: "alert", hidden: true });
    const input = make("input", {
      type: "password",
      id: "pad-password",
      autocomplete: "current-password",
      maxlength: "200",
    });
    const form = make(
      "form",
      {
        onsubmit: (event) => {
          event.preventDefault();
          if (input.value) void this.#give(tile, input.value, wrong);
          input.value = "";
        },
      },
      make("h2", { tabindex: "-1" }, this.#asked.title),
      make("label", { for: "pad-password" }, say("password_of", { name: tile.name })),
      input,
      wrong,
      make("p", { class: "ways" }, make("button", { class: "button main" }, say("pin_done")), this.#leave()),
    );
    fill(this.#box, form);
    this.#focus("input");
  }

  /** @param {Tile} tile @param {string} secret @param {HTMLElement} wrong */
  async #give(tile, secret, wrong) {
    const why = await this.#asked.give(tile.id, secret);
    if (!why) {
      this.#end(true);
      return;
    }
    wrong.hidden = false;
    wrong.textContent = why;
  }

  /** @param {string} what */
  #focus(what) {
    const found = this.#box.querySelector(what);
    if (found instanceof HTMLElement) queueMicrotask(() => found.focus({ preventScroll: true }));
  }

  /**
   * Take a key, wherever the focus is: the page underneath has its own keys, and hears none.
   * @param {KeyboardEvent} event
   */
  keyed(event) {
    event.stopPropagation();
    if (!this.#typed) return;
    const onButton = event.target instanceof HTMLButtonElement;
    if (/^\d$/.test(event.key) || event.key === "Backspace" || (event.key === "Enter" && !onButton)) {
      event.preventDefault();
      this.#typed(event.key);
    }
  }
}

/**
 * Ask in a window over the page; what is on the page stays as it is.
 * @param {Session} session
 * @param {Asked} asked
 * @returns {Promise<boolean>}
 */
export async function askOver(session, asked) {
  const pad = new PersonPad(session, asked);
  const dialog = make("dialog", { class: "who", "aria-label": asked.title }, pad.element);
  if (!document.querySelector('link[href*="/people.css"]')) {
    const href = new URL("./people.css", import.meta.url).href;
    document.head.append(make("link", { rel: "stylesheet", href }));
  }
  document.body.append(dialog);
  const keyed = (/** @type {KeyboardEvent} */ event) => pad.keyed(event);
  document.addEventListener("keydown", keyed, { capture: true });
  const before = document.activeElement;
  dialog.addEventListener("cancel", (event) => event.preventDefault());
  const answer = pad.ask();
  dialog.showModal();
  const done = await answer;
  document.removeEventListener("keydown", keyed, { capture: true });
  dialog.close();
  dialog.remove();
  if (before instanceof HTMLElement) before.focus({ preventScroll: true });
  return done;
}
