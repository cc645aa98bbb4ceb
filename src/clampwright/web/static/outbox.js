// Entries are safe on the device first, then sent, in the order they were made, until the server's
// receipt is there. Sending one twice is harmless: its name was made here.

import { contentHash } from "./content-hash.js";
import * as database from "./database.js";
import { deviceName } from "./device.js";
import { ask, isAway } from "./server.js";
import { hand } from "./who.js";

/** @typedef {import("./types.d.ts").Item} Item */

/**
 * @typedef {object} Fate
 * @property {"taken" | "away" | "refused"} state
 * @property {string} why
 * @property {any} answer
 * @property {Item} item
 */

const RETRY = 2000;
/** Entries in one message, and about how many characters of them: others take their turn between. */
const MOST = 25;
const LARGEST = 400_000;
/** A message with many entries may be worked on for so long, ms. */
const PATIENCE = 60_000;

/** Entries of this visit, where the browser keeps nothing. @type {Item[]} */
const inMemory = [];
let memoryCounter = 0;

class Outbox extends EventTarget {
  /** Whether what is kept has been looked at: before that nothing is said of it. */
  known = false;
  /** Whether the browser keeps entries between visits. */
  keeps = true;
  /** Whether it does not because the device has no room. */
  full = false;
  /** Why the server does not take entries now; empty when it does. */
  why = "";
  away = false;
  /** What the server says of this device's clock; empty when it is right. */
  clock = "";
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
    item = "person" in item ? item : { ...item, ...hand() };
    /** @type {Item} */
    let kept;
    try {
      kept = await database.keep(item);
    } catch (error) {
      this.keeps = false;
      this.full ||= database.isFull(error);
      memoryCounter += 1;
      kept = { ...item, counter: item.counter ?? memoryCounter };
      const at = inMemory.findIndex((other) => other.id === item.id);
      if (at >= 0) inMemory[at] = kept;
      else inMemory.push(kept);
    }
    await this.look();
    return kept;
  }

  /**
   * Let go of entries whose receipts are there.
   * @param {Item[]} items
   */
  async drop(items) {
    const gone = new Set(items.map((item) => item.id));
    const counters = items
      .filter((item) => !inMemory.some((other) => other.id === item.id))
      .map((item) => item.counter)
      .filter((counter) => counter !== undefined);
    for (let at = inMemory.length - 1; at >= 0; at -= 1) {
      if (gone.has(inMemory[at]?.id ?? "")) inMemory.splice(at, 1);
    }
    if (counters.length) await database.drop(...counters);
  }

  /**
   * The network was away when these were made: nobody could sign them.
   * @param {Item[]} items
   */
  async #late(items) {
    for (const item of items) {
      if (item.person && !item.late) await this.put({ ...item, late: true });
    }
  }

  /** Read again what is kept, also by other pages of this browser. */
  async look() {
    try {
      const stored = await database.kept();
      const ids = new Set(inMemory.map((item) => item.id));
      this.items = [...stored.filter((item) => !ids.has(item.id)), ...inMemory];
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

  /** Entries that exist nowhere else. @returns {Item[]} */
  get onlyHere() {
    return this.items.filter((item) => !item.safe);
  }

  /**
   * Put an entry the server refused aside: the log keeps it beside its own entries; while it cannot
   * be handed over, it stays here.
   * @param {Item} item
   */
  async putAside(item) {
    // A job that was not closed is not closed: there is nothing to keep.
    if (item.safe || item.way === "closings") await this.drop([item]);
    else await this.put({ ...item, state: "aside" });
    await this.look();
    await this.flush();
  }

  /**
   * Send an entry again that was refused because the plan had been changed: by the changed one.
   * @param {Item} item
   */
  async sendAgain(item) {
    const { plan: _plan, ...rest } = item;
    await this.put({ ...rest, state: "waiting", why: "", changed: false });
    return this.flush();
  }

  /**
   * Send an entry that nobody signed: the log holds it open until somebody does.
   * @param {Item} item
   */
  async signLater(item) {
    await this.put({ ...item, state: "waiting", why: "", sign: "", late: true });
    return this.flush();
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
    const going = this.items.filter((item) => item.state === "waiting" || (item.state === "aside" && !item.told));
    for (const several of inMessages(going)) {
      const answers = await this.#sent(several);
      const settled = await this.#received(several, answers, fates);
      if (settled < several.length) break;
      await this.look();
    }
    await this.look();
    if (fates.size) this.dispatchEvent(new CustomEvent("sent", { detail: fates }));
    return fates;
  }

  /**
   * Send entries in one message: one alone by its own address, several together.
   * @param {Item[]} several
   * @returns {Promise<import("./server.js").Answer[]>} as many as were worked on
   */
  async #sent(several) {
    const id = await deviceName();
    const now = new Date().toISOString();
    const [first] = several;
    const devices = several.map((item) => {
      const left = this.onlyHere.filter((other) => other.job === item.job && other.id !== item.id);
      const after = left.filter((other) => (other.counter ?? 0) > (item.counter ?? 0) || other.state === "refused");
      const device = {
        ...{ id, counter: item.counter ?? 0, time: item.made, now, left: after.length },
        ...(item.person ? { person: item.person, session: item.session } : {}),
        ...(item.late ? { late: true } : {}),
      };
      return item.plan && item.state !== "aside" ? { ...device, plan: item.plan } : device;
    });
    if (first && several.length === 1) {
      const path = `/api/jobs/${encodeURIComponent(first.job)}/${first.way}/${first.id}`;
      const body = { ...first.body, device: devices[0] };
      const query = first.state === "aside" ? "?aside=true" : "";
      return [await ask(path + query, { method: "PUT", body })];
    }
    const entries = several.map((item, at) => ({
      job: item.job,
      way: item.way,
      id: item.id,
      content: item.body,
      device: devices[at],
    }));
    const aside = first?.state === "aside";
    const answer = await ask("/api/entries", { method: "POST", body: { entries, aside }, patience: PATIENCE });
    if (answer.error || !answer.data) return [answer];
    return answer.data.answers.map((/** @type {any} */ one) => ({
      status: one.status,
      data: one,
      error: one.error ?? "",
    }));
  }

  /**
   * Act on what the server said of entries.
   * @param {Item[]} several
   * @param {import("./server.js").Answer[]} answers
   * @param {Map<string, Fate>} fates
   * @returns {Promise<number>} of how many it is known what became of them
   */
  async #received(several, answers, fates) {
    let settled = 0;
    /** @type {Item[]} */
    const done = [];
    for (const [at, item] of several.entries()) {
      let answer = answers[at];
      // To be signed: sent alone, the page asks for it.
      if (answer?.data?.sign && several.length > 1) [answer] = await this.#sent([item]);
      if (!answer) break;
      if (isAway(answer)) {
        this.away = true;
        this.why = answer.error;
        if (!answer.status) await this.#late(several.slice(at));
        fates.set(item.id, { state: "away", why: answer.error, answer: null, item });
        break;
      }
      this.away = false;
      this.why = "";
      settled += 1;
      const data = answer.data ?? {};
      if (data.clock || data.sha256) this.clock = data.clock?.say ?? "";
      const hash = contentHash(item.job, item.way, item.body);
      const taken = data.awaits?.sha256 ?? data.sha256; // held open until it is signed: safe too
      if (!answer.error && data.entry === item.id && taken === hash) {
        done.push(item);
        fates.set(item.id, { state: "taken", why: "", answer: data, item });
        continue;
      }
      const safe = data.aside?.sha256 === hash;
      if (safe && item.state === "aside") {
        done.push(item);
        continue;
      }
      const why = answer.error || String(answer.status);
      const state = item.state === "aside" ? "aside" : "refused";
      const changed = data.plan_changed === true;
      const sign = item.person ? String(data.sign ?? "") : "";
      await this.put({ ...item, state, why, safe, changed, sign, told: state === "aside" });
      if (state === "refused") fates.set(item.id, { state, why, answer: data, item: { ...item, safe, changed, sign } });
    }
    await this.drop(done);
    return settled;
  }
}

/**
 * Return entries in messages, in their order: neither too many nor too long, asides by themselves.
 * @param {Item[]} items
 * @returns {Item[][]}
 */
function inMessages(items) {
  /** @type {Item[][]} */
  const messages = [];
  let length = Infinity;
  for (const item of items) {
    const own = JSON.stringify(item.body).length + 300;
    const last = messages.at(-1);
    const fits = last && last.length < MOST && length + own < LARGEST && last[0]?.state === item.state;
    if (fits) last.push(item);
    else messages.push([item]);
    length = fits ? length + own : own;
  }
  return messages;
}

export const outbox = new Outbox();

let sending = false;

/** Send on opening, when the network or the person comes back, and every few seconds. */
export function keepSending() {
  if (sending) return;
  sending = true;
  const flush = () => void outbox.flush();
  const whenWaiting = () => {
    if (outbox.waiting.length || outbox.items.some((item) => item.state === "aside" && !item.told)) flush();
  };
  addEventListener("online", flush);
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden) flush();
  });
  setInterval(() => void outbox.look().then(whenWaiting), RETRY);
  flush();
}
