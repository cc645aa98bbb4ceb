// Rows of a recording of a phone's rotation sensor, in the phone's own axes.

/** Rows that are sent at most. */
const MOST = 6000;

/**
 * A row of a recording: s, rates about x, y, z in deg/s, gravity in m/s². The browser names the
 * rates alpha (about z), beta (about x) and gamma (about y).
 * @param {number} seconds
 * @param {{ alpha: number | null, beta: number | null, gamma: number | null } | null} rate
 * @param {{ x: number | null, y: number | null, z: number | null } | null} gravity
 * @returns {number[] | null}
 */
export function rowOf(seconds, rate, gravity) {
  if (!rate || rate.alpha === null || rate.beta === null || rate.gamma === null) return null;
  return [seconds, rate.beta, rate.gamma, rate.alpha, gravity?.x ?? 0, gravity?.y ?? 0, gravity?.z ?? 0];
}

/**
 * The same with time that rises, and no more rows than are taken.
 * @param {number[][]} rows
 */
export function tidied(rows) {
  const kept = [];
  let last = -Infinity;
  for (const row of rows) {
    if ((row[0] ?? 0) <= last) continue;
    last = row[0] ?? 0;
    kept.push(row);
  }
  return kept.slice(0, MOST);
}
