// Where the mark starts on each fastener: what a person chose stays for the joint on this device.

const KEPT = "mark-start";

/** @typedef {import("./types.d.ts").Key} Key */

/** @type {Map<string, number>} */
const chosen = new Map();

/**
 * Where the mark of a fastener starts, degrees from 12.
 * @param {Key} key
 */
export function startOf(key) {
  const own = chosen.get(name(key));
  if (own !== undefined) return own;
  try {
    const kept = JSON.parse(localStorage.getItem(KEPT) ?? "{}");
    const place = Number(kept?.[key[0]] ?? 0);
    return place >= 0 && place < 360 ? place : 0;
  } catch {
    return 0;
  }
}

/**
 * Keep where the mark of a fastener starts; other fasteners of the joint begin there too.
 * @param {Key} key
 * @param {number} place
 */
export function keepStart(key, place) {
  chosen.set(name(key), place);
  try {
    const kept = JSON.parse(localStorage.getItem(KEPT) ?? "{}");
    localStorage.setItem(KEPT, JSON.stringify({ ...kept, [key[0]]: place }));
  } catch {
    // It holds until the page is left.
  }
}

/** @param {Key} key */
function name(key) {
  return key.join("/");
}
