// Entries are safe on the device first, then sent, in the order they were made, until the server's
// receipt is there. Sending one twice is harmless: its name was made here.

import * as database from "./database.js";
import { deviceName } from "./device.js";
import { ask, isAway } from "./server.js";

/** @typedef {import("./types.d.ts").Item} Item */

/**
 * @typedef {object} Fate
 * @property {"taken" | "away" | "refused"} state
 * @property {string} why
 * @property {any} answer
 */

const RETRY = 2000;

/** Entries of this visit, where the browser keeps nothing. @type {Item[]} */
const inMemory = [];
let memoryCounter = 0;

class Outbox extends EventTarget {
  /** Whether what is kept has been looked at: before that nothing is said of it. */
  known = false;
  /** Whether the browser keeps entries between visits. */
  keeps = true;
  /** Why the server does not take entries now; empty when it does. */
  why = "";
  away = false;
  /** @type {Promise<Map<string, Fate>> | null} */
  #sending = null;
  /** @type {Item[]} */
  items = [];

  /**
   * Keep an entry and return it with its counter.
   * @param {Item} item
   * @returns {Promise<Item>}
   */
  async put(item) {
    /** @type {Item} */
    let kept;
    try {
      kept = await database.keep(item);
    } catch {
      this.keeps = false;
      memoryCounter += 1;
      kept = { ...item, counter: item.counter ?? memoryCounter };
      const at = inMemory.findIndex((other) => other.id === item.id);
      if (at >= 0) inMemory[at] = kept;
      else inMemory.push(kept);
    }
    await this.look();
    return kept;
  }

  /** @param {Item} item */
  async #drop(item) {
    const at = inMemory.findIndex((other) => other.id === item.id);
    if (at >= 0) inMemory.splice(at, 1);
    else if (item.counter !== undefined) await database.drop(item.counter);
  }

  /** Read again what is kept, also by other pages of this browser. */
  async look() {
    try {
      this.items = [...(await database.kept()), ...inMemory];
    } catch {
      this.keeps = false;
      this.items = [...inMemory];
    }
    this.known = true;
    this.dispatchEvent(new Event("change"));
  }

  /** @returns {Item[]} */
  get waiting() {
    return this.items.filter((item) => item.state === "waiting");
  }

  /**
   * Put an entry the server refused aside; it stays on the device.
   * @param {Item} item
   */
  async putAside(item) {
    await this.put({ ...item, state: "aside" });
  }

  /**
   * Send what waits, one after the other; stops when the server is away.
   * @returns {Promise<Map<string, Fate>>} what became of each entry
   */
  async flush() {
    while (this.#sending) await this.#sending;
    this.#sending = this.#send();
    try {
      return await this.#sending;
    } finally {
      this.#sending = null;
    }
  }

  async #send() {
    /** @type {Map<string, Fate>} */
    const fates = new Map();
    await this.look();
    const waiting = this.waiting;
    for (const item of waiting) {
      const path = `/api/jobs/${encodeURIComponent(item.job)}/${item.way}/${item.id}`;
      const device = { id: await deviceName(), counter: item.counter ?? 0, time: item.made };
      const body = { ...item.body, device };
      const answer = await ask(path, { method: "PUT", body });
      if (isAway(answer)) {
        this.away = true;
        this.why = answer.error;
        fates.set(item.id, { state: "away", why: answer.error, answer: null });
        break;
      }
      this.away = false;
      this.why = "";
      if (answer.error) {
        await this.put({ ...item, state: "refused", why: answer.error });
        fates.set(item.id, { state: "refused", why: answer.error, answer: null });
      } else {
        await this.#drop(item);
        fates.set(item.id, { state: "taken", why: "", answer: answer.data });
      }
    }
    await this.look();
    if (fates.size) this.dispatchEvent(new CustomEvent("sent", { detail: fates }));
    return fates;
  }
}

export const outbox = new Outbox();

/** Send on opening, when the network or the person comes back, and every few seconds. */
export function keepSending() {
  const flush = () => void outbox.flush();
  const whenWaiting = () => {
    if (outbox.waiting.length) flush();
  };
  addEventListener("online", flush);
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden) flush();
  });
  setInterval(() => void outbox.look().then(whenWaiting), RETRY);
  flush();
}
