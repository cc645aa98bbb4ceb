// How far the device has come by itself: the server's list of open pulls, less what is kept here.

/** @typedef {import("./types.d.ts").Bench} Bench */
/** @typedef {import("./types.d.ts").Item} Item */
/** @typedef {import("./types.d.ts").Key} Key */

/**
 * @param {Key} key
 * @returns {string}
 */
function name(key) {
  return key.join("/");
}

/**
 * Return the open pulls, without those that an entry kept here seems to settle.
 * @param {Bench} bench
 * @param {Item[]} items
 * @returns {Key[]}
 */
export function openHere(bench, items) {
  /** @type {Set<string>} */
  const here = new Set();
  for (const item of items) {
    if (item.job !== bench.job.id || item.state !== "waiting") continue;
    if (item.way === "pulls" && item.key && item.inside !== false) here.add(name(item.key));
    if (item.way === "acceptances" && item.key) here.add(name(item.key));
    if (item.way === "restarts" && item.key) {
      for (const known of [...here]) {
        const [joint, , fastener] = known.split("/");
        if (joint === item.key[0] && Number(fastener) === item.key[2]) here.delete(known);
      }
    }
  }
  return bench.ahead.filter((key) => !here.has(name(key)));
}

/**
 * Return the hold point at which the work stands, if one does: its joint has come past it.
 * @param {Bench} bench
 * @param {Item[]} items
 * @param {Key[]} open
 * @returns {import("./types.d.ts").Hold | null}
 */
export function holdHere(bench, items, open) {
  const now = open[0] ?? null;
  const kept = items.filter((item) => {
    return item.job === bench.job.id && item.way === "holds" && item.state === "waiting";
  });
  const answered = (/** @type {import("./types.d.ts").Hold} */ hold) =>
    kept.some((item) => item.body["joint"] === hold.joint && item.body["hold"] === hold.hold);
  const due = (/** @type {import("./types.d.ts").Hold} */ hold) => {
    const first = open.find((key) => key[0] === hold.joint);
    return !first || (now !== null && first.join() === now.join() && hold.after < first[1]);
  };
  return bench.holds.find((hold) => !answered(hold) && due(hold)) ?? null;
}

/**
 * Return what happened and waits here for the server to say what follows: until then its joint
 * stays as it is.
 * @param {Bench} bench
 * @param {Item[]} items
 * @returns {Item | null}
 */
export function standsHere(bench, items) {
  const mine = (/** @type {Item} */ item) => item.job === bench.job.id && item.state === "waiting";
  return items.find((item) => mine(item) && item.stands === true) ?? null;
}

/**
 * Return what something that happened has left open before the next pull, if anything.
 * @param {Bench} bench
 * @param {Key | null} now
 * @returns {import("./types.d.ts").Due | null}
 */
export function dueHere(bench, now) {
  if (now === null) return bench.dues[0] ?? null;
  return bench.dues.find((due) => due.joint === now[0] && due.holds_up) ?? null;
}

/**
 * Return the fasteners of a stage whose entries are kept here.
 * @param {Bench} bench
 * @param {Key[]} open
 * @param {Key} now
 * @returns {Set<number>}
 */
export function keptHere(bench, open, now) {
  const still = new Set(open.map(name));
  const same = bench.ahead.filter((key) => key[0] === now[0] && key[1] === now[1]);
  return new Set(same.filter((key) => !still.has(name(key))).map((key) => key[2]));
}
