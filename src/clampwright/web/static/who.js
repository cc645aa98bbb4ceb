// Who is signed in at this device, as the server said last; remembered for pages opened without it.

/**
 * @typedef {object} Tile
 * @property {string} id
 * @property {string} name
 * @property {string} role
 * @property {boolean} pin
 */

/**
 * @typedef {object} Session
 * @property {boolean} needed whether everybody signs in
 * @property {"open" | "locked" | "none"} state
 * @property {boolean} enrolled
 * @property {string | null} person
 * @property {string | null} name
 * @property {string | null} session
 * @property {number} idle_s
 * @property {Tile[]} tiles
 * @property {Record<string, string[]>} signs which roles may sign what
 */

const KEPT = "who";

/** @type {Session | null} */
let known = null;

/** @returns {Session | null} */
export function session() {
  if (known) return known;
  try {
    known = JSON.parse(localStorage.getItem(KEPT) ?? "null");
  } catch {
    known = null;
  }
  return known;
}

// Somebody else took over in another window of this device: what is made here is theirs from now on.
globalThis.addEventListener?.("storage", (event) => {
  if (event.key === KEPT || event.key === null) known = null;
});

/** @param {Session} told */
export function learn(told) {
  known = told;
  try {
    localStorage.setItem(KEPT, JSON.stringify(told));
  } catch {
    // A browser that keeps nothing knows it for this page only.
  }
}

/**
 * Who makes an entry now, for the entry; nothing where nobody signs in.
 * @returns {{ person?: string, session?: string }}
 */
export function hand() {
  const told = session();
  if (!told?.needed || !told.person || !told.session) return {};
  return { person: told.person, session: told.session };
}
