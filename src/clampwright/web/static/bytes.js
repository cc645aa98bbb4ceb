// Bytes as text and back.

/**
 * Return the bytes that base64 says, or null: standard alphabet, padded, in its one canonical way.
 * @param {unknown} text
 * @param {number} length how many bytes there must be
 * @returns {Uint8Array | null}
 */
export function fromBase64(text, length) {
  if (typeof text !== "string" || text.length !== 4 * Math.ceil(length / 3)) return null;
  if (!/^[A-Za-z0-9+/]*={0,2}$/.test(text)) return null;
  const read = Uint8Array.from(atob(text), (sign) => sign.charCodeAt(0));
  return read.length === length && toBase64(read) === text ? read : null;
}

/**
 * @param {Uint8Array} bytes
 * @returns {string}
 */
export function toBase64(bytes) {
  return btoa(String.fromCharCode(...bytes));
}

/**
 * @param {Uint8Array} bytes
 * @returns {string} small hexadecimal digits
 */
export function toHex(bytes) {
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/**
 * @param {Uint8Array} one
 * @param {Uint8Array} other
 * @returns {boolean}
 */
export function equal(one, other) {
  return one.length === other.length && one.every((byte, place) => byte === other[place]);
}

/**
 * @param {string} text
 * @returns {Uint8Array}
 */
export function utf8(text) {
  return new TextEncoder().encode(text);
}

/**
 * Return bytes that follow each other as one row.
 * @param {...Uint8Array} parts
 * @returns {Uint8Array}
 */
export function joined(...parts) {
  const whole = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}
