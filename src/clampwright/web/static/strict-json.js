// One JSON text, read strictly, and its one byte form after RFC 8785.
// The reader of the browser will not do: it forgets names that stand twice, and rounds numbers.

/** @typedef {import("./types.d.ts").Value} Value */
/** @typedef {import("./types.d.ts").Members} Members */
/** @typedef {"large" | "utf8" | "json" | "twice" | "number" | "nfc" | "half" | "deep"} Fault */

const LARGEST = 100_000_000;
const DEEPEST = 32;
const NUMBER = /-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?/y;
const TEXT = /"(?:[^"\\\u0000-\u001f]|\\(?:["\\/bfnrt]|u[0-9a-fA-F]{4}))*"/y;
const SPACE = /[ \t\n\r]*/y;
const HALF = /[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/;

/** A text that is refused; `code` names the rule, `at` the place, counted in UTF-16 units. */
export class NotStrict extends Error {
  /**
   * @param {Fault} code
   * @param {number} at
   */
  constructor(code, at) {
    super(code);
    this.code = code;
    this.at = at;
  }
}

class Reader {
  /** @param {string} text */
  constructor(text) {
    this.text = text;
    this.at = 0;
  }

  /**
   * @param {Fault} code
   * @returns {never}
   */
  refuse(code) {
    throw new NotStrict(code, this.at);
  }

  /**
   * Return what stands here, and go behind it.
   * @param {RegExp} pattern
   */
  found(pattern) {
    pattern.lastIndex = this.at;
    const match = pattern.exec(this.text);
    if (match === null) return null;
    this.at = pattern.lastIndex;
    return match[0];
  }

  /**
   * Go behind a sign if it stands here, after white space.
   * @param {string} sign
   */
  passed(sign) {
    this.found(SPACE);
    if (!this.text.startsWith(sign, this.at)) return false;
    this.at += sign.length;
    return true;
  }

  /**
   * @param {number} depth lists and objects around it
   * @returns {Value}
   */
  value(depth) {
    if (this.passed("{")) return this.members(depth + 1);
    if (this.passed("[")) return this.list(depth + 1);
    if (this.passed("true")) return true;
    if (this.passed("false")) return false;
    if (this.passed("null")) return null;
    return this.text[this.at] === '"' ? this.string() : this.integer();
  }

  /**
   * @param {number} depth
   * @returns {Members}
   */
  members(depth) {
    if (depth > DEEPEST) this.refuse("deep");
    /** @type {Members} */
    const found = new Map();
    if (this.passed("}")) return found;
    do {
      this.found(SPACE);
      const name = this.string();
      if (found.has(name)) this.refuse("twice");
      if (!this.passed(":")) this.refuse("json");
      found.set(name, this.value(depth));
    } while (this.passed(","));
    if (!this.passed("}")) this.refuse("json");
    return found;
  }

  /**
   * @param {number} depth
   * @returns {Value[]}
   */
  list(depth) {
    if (depth > DEEPEST) this.refuse("deep");
    /** @type {Value[]} */
    const found = [];
    if (this.passed("]")) return found;
    do found.push(this.value(depth));
    while (this.passed(","));
    if (!this.passed("]")) this.refuse("json");
    return found;
  }

  string() {
    const text = this.found(TEXT) ?? this.refuse("json");
    /** @type {string} */
    const read = JSON.parse(text);
    if (HALF.test(read)) this.refuse("half");
    if (read.normalize("NFC") !== read) this.refuse("nfc");
    return read;
  }

  integer() {
    const text = this.found(NUMBER) ?? this.refuse("json");
    const read = Number(text);
    if (!/^-?[0-9]+$/.test(text) || !Number.isSafeInteger(read)) this.refuse("number");
    return read === 0 ? 0 : read; // -0 is 0
  }
}

/**
 * Return the content of a file.
 * @param {Uint8Array} bytes
 * @returns {Value}
 */
export function read(bytes) {
  if (bytes.length > LARGEST) throw new NotStrict("large", LARGEST);
  let text = "";
  try {
    text = new TextDecoder("utf-8", { fatal: true, ignoreBOM: true }).decode(bytes);
  } catch {
    throw new NotStrict("utf8", 0);
  }
  const reader = new Reader(text);
  const value = reader.value(0);
  reader.found(SPACE);
  if (reader.at !== text.length) reader.refuse("json");
  return value;
}

/**
 * Return the canonical form of a content, as text.
 * @param {Value} value
 * @returns {string}
 */
function written(value) {
  if (Array.isArray(value)) return `[${value.map(written).join(",")}]`;
  if (!(value instanceof Map)) return JSON.stringify(value);
  // names are compared as rows of UTF-16 units, which is how JavaScript sorts anyway
  const names = [...value.keys()].sort();
  const members = names.map((name) => `${JSON.stringify(name)}:${written(value.get(name) ?? null)}`);
  return `{${members.join(",")}}`;
}

/**
 * Return the canonical form of a content (RFC 8785).
 * @param {Value} value
 * @returns {Uint8Array}
 */
export function canonical(value) {
  return new TextEncoder().encode(written(value));
}
