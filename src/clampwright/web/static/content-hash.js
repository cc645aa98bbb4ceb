// What an entry says, as one number: by it device and log agree that they mean the same.

import { toHex } from "./bytes.js";
import { sha256 } from "./sha256.js";
import { canonical } from "./strict-json.js";

/** @typedef {import("./types.d.ts").Value} Value */

/**
 * Return a plain content as one to be hashed: maps, and texts in Unicode form NFC.
 * @param {unknown} content
 * @returns {Value}
 */
function strict(content) {
  if (typeof content === "string") return content.normalize("NFC");
  if (Array.isArray(content)) return content.map(strict);
  if (typeof content === "object" && content !== null) {
    const members = Object.entries(content).filter(([, value]) => value !== undefined);
    return new Map(members.map(([name, value]) => [name.normalize("NFC"), strict(value)]));
  }
  if (typeof content === "number" || typeof content === "boolean") return content;
  return null;
}

/**
 * Return the hash of what an entry says, hexadecimal.
 * @param {string} job
 * @param {string} way
 * @param {Record<string, unknown>} content without the device
 * @returns {string}
 */
export function contentHash(job, way, content) {
  return toHex(sha256(canonical(strict({ job, way, content }))));
}
