// Keys that come faster than fingers: a device that types. Pure: told of keys and times, it says
// what to do with each key and which whole texts came.

/** Keys closer together than this, ms, are no person's (ours: quick typists leave 60 and more). */
export const FAST = 35;
/** So many signs make a text; fewer are given back to the person. */
const LEAST = 3;
/** After so long without a key, ms, a text without Enter is whole. */
export const SILENT = 120;
/** An Enter that comes late, ms after the last sign, still belongs to the text. */
const LATE = 400;
/** The same text again within so long, ms, is a double. */
const DOUBLE = 800;
const LONGEST = 60;

/**
 * @typedef {object} Told
 * @property {boolean} swallow the key has no effect of its own
 * @property {{ text: string, enter: boolean, double: boolean } | null} whole a text that came
 * @property {string} give signs that were swallowed and belong to the person after all
 */

export class Burst {
  #text = "";
  #last = -Infinity;
  #ended = -Infinity;
  #before = { text: "", at: -Infinity };

  /**
   * Take a key that went down.
   * @param {string} key as the browser names it
   * @param {number} at ms
   * @returns {Told}
   */
  key(key, at) {
    const near = at - this.#last <= FAST;
    const end = key === "Enter" || key === "Tab";
    if (end) return this.#end(at);
    if ([...key].length !== 1) return this.#other(at);
    const given = near ? "" : this.#left(at);
    if (near && this.#text.length < LONGEST) {
      this.#text += key;
      this.#last = at;
      return { swallow: true, whole: null, give: "" };
    }
    const whole = near ? null : this.#whole(at, false);
    this.#text = key;
    this.#last = at;
    return { swallow: false, whole, give: given };
  }

  /**
   * Nothing came for a while.
   * @param {number} at ms
   * @returns {Told}
   */
  idle(at) {
    if (at - this.#last < SILENT) return NOTHING;
    const give = this.#left(at);
    const whole = this.#whole(at, false);
    this.#text = "";
    return { swallow: false, whole, give };
  }

  /** Whether a text may be coming just now. */
  get open() {
    return this.#text.length > 0;
  }

  /** @param {number} at @returns {Told} */
  #end(at) {
    const late = at - this.#ended <= LATE;
    if (this.#text.length >= LEAST && at - this.#last <= LATE) {
      const whole = this.#whole(at, true);
      this.#text = "";
      return { swallow: true, whole, give: "" };
    }
    const give = this.#left(at);
    this.#text = "";
    return { swallow: late, whole: null, give };
  }

  /** @param {number} at @returns {Told} */
  #other(at) {
    const give = this.#left(at);
    const whole = this.#whole(at, false);
    this.#text = "";
    return { swallow: false, whole, give };
  }

  /**
   * A few signs that a person typed quickly: the first had its effect, the others are given back.
   * @param {number} _at
   */
  #left(_at) {
    return this.#text.length > 1 && this.#text.length < LEAST ? this.#text.slice(1) : "";
  }

  /**
   * @param {number} at
   * @param {boolean} enter
   */
  #whole(at, enter) {
    const text = this.#text;
    if (text.length < LEAST) return null;
    const double = text === this.#before.text && at - this.#before.at <= DOUBLE;
    this.#before = { text, at };
    this.#ended = at;
    return { text, enter, double };
  }
}

/** @type {Told} */
const NOTHING = { swallow: false, whole: null, give: "" };

/**
 * Play keys with their times, and a silence after each that is followed by one.
 * @param {[string, number][]} keys
 */
export function replay(keys) {
  const burst = new Burst();
  const texts = [];
  let passed = "";
  for (const [index, [key, at]] of keys.entries()) {
    const told = burst.key(key, at);
    if (told.whole) texts.push(told.whole);
    passed += told.give + (told.swallow ? "" : key);
    const next = keys[index + 1]?.[1] ?? Infinity;
    if (next - at < SILENT) continue;
    const idle = burst.idle(at + SILENT);
    if (idle.whole) texts.push(idle.whole);
    passed += idle.give;
  }
  return { texts, passed };
}
