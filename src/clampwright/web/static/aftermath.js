// What follows from something that happened, worked out on the device: which pulls count no more,
// what is to be loosened and from which stage it is done again, which tool is laid aside, what stays
// open. The same rules as the server's, whose word is final; a test holds the two against each other.

/** @typedef {import("./types.d.ts").Bench} Bench */
/** @typedef {import("./types.d.ts").DueHere} DueHere */
/** @typedef {import("./types.d.ts").Effects} Effects */
/** @typedef {import("./types.d.ts").Happenings} Happenings */
/** @typedef {import("./types.d.ts").JointAfter} JointAfter */
/** @typedef {import("./types.d.ts").Key} Key */
/** @typedef {import("./types.d.ts").PullHere} PullHere */

/**
 * How far a job has come, as far as happenings are concerned.
 * @typedef {object} Place
 * @property {PullHere[]} pulls that count, in the order in which they were made
 * @property {DueHere[]} dues
 * @property {string[]} suspects ids of tools
 * @property {[string, number][]} asked joints whose hold points are asked again from a stage on
 */

/**
 * @typedef {object} Telling
 * @property {string} joint
 * @property {number} stage
 * @property {number} fastener
 * @property {string} tool
 * @property {Record<string, string>} answers
 */

/** @param {Key} one */
const named = (one) => one.join("/");

/**
 * Return the last pull of each stage and fastener that counts.
 * @param {PullHere[]} pulls
 * @returns {PullHere[]}
 */
export function standing(pulls) {
  return [...new Map(pulls.map((pull) => [named(pull.key), pull])).values()];
}

// ---- what one happening does

/**
 * Return what a happening does.
 * @param {Happenings} tables
 * @param {Record<string, JointAfter>} joints
 * @param {Place} place
 * @param {Telling} told with every question answered
 * @param {string[]} does of the rule that fits
 * @returns {Effects}
 */
export function effectsOf(tables, joints, place, told, does) {
  const found = nothing(tables, does);
  const renew = does.includes("renew");
  if (does.includes("back")) {
    const stage = Number(told.answers["stage"] ?? told.stage);
    loosen(found, joints, place, told.joint, since(place, told.joint, stage), renew, stage);
  } else if (renew || does.includes("loosen")) {
    loosen(found, joints, place, told.joint, targets(place, told), renew, 1);
  } else if (does.includes("again")) {
    found.void = ofFasteners(place, told.joint, targets(place, told), told.stage);
  }
  if (does.includes("suspect")) {
    found.suspect = told.tool;
    found.doubt = standing(place.pulls).filter((pull) => pull.tool === told.tool).map((pull) => pull.id);
  }
  return found;
}

/**
 * Return what the answer to something that stood open does.
 * @param {Happenings} tables
 * @param {Record<string, JointAfter>} joints
 * @param {Place} place
 * @param {DueHere} due
 * @param {string[]} does of the answer
 * @returns {Effects}
 */
export function settledEffects(tables, joints, place, due, does) {
  const found = nothing(tables, does);
  if (does.includes("whole")) {
    loosen(found, joints, place, due.joint, since(place, due.joint, 1), false, 1);
  }
  if (does.includes("clear")) found.clear = [...due.pulls];
  if (does.includes("redo")) {
    // Only pulls that still stand: what was started again since does not rest on this tool.
    for (const joint of Object.keys(joints)) {
      const mine = standing(place.pulls).filter((pull) => pull.key[0] === joint && due.pulls.includes(pull.id));
      loosen(found, joints, place, joint, new Set(mine.map((pull) => pull.key[2])), false, 1);
    }
  }
  return found;
}

/** @param {Happenings} tables @param {string[]} does @returns {Effects} */
function nothing(tables, does) {
  const dues = tables.dues.map((one) => one.name).filter((one) => does.includes(one) && one !== "loosen");
  return { void: [], loosen: [], doubt: [], clear: [], suspect: "", dues };
}

/** The fasteners that are meant. @param {Place} place @param {Telling} told @returns {Set<number>} */
function targets(place, told) {
  const { which, pulled, sure } = told.answers;
  if (which !== undefined) return new Set([Number(which)]);
  if (pulled !== undefined) return new Set(pulled.split(/\s+/).map(Number));
  if (sure !== undefined) return afterMark(place, told, Number(sure));
  return new Set([told.fastener].filter(Boolean));
}

/** The fasteners of a stage that were pulled after the last sure mark. @param {Place} place @param {Telling} told @param {number} sure */
function afterMark(place, told, sure) {
  /** @type {number[]} */
  let taken = [];
  for (const { key } of place.pulls) {
    if (key[0] === told.joint && key[1] === told.stage) taken = [...taken.filter((one) => one !== key[2]), key[2]];
  }
  return new Set(taken.slice(taken.indexOf(sure) + 1).filter(Boolean));
}

/** The fasteners of a joint that were pulled in a stage or after it. @param {Place} place @param {string} joint @param {number} stage */
function since(place, joint, stage) {
  const mine = standing(place.pulls).filter(({ key }) => key[0] === joint && key[1] >= stage);
  return new Set(mine.map(({ key }) => key[2]));
}

/**
 * The pulls of some fasteners from a stage on.
 * @param {Place} place
 * @param {string} joint
 * @param {Set<number>} fasteners
 * @param {number} from
 * @param {number} until
 */
function ofFasteners(place, joint, fasteners, from, until = Infinity) {
  return place.pulls
    .filter(({ key }) => key[0] === joint && fasteners.has(key[2]) && from <= key[1] && key[1] < until)
    .map((pull) => pull.id);
}

/**
 * Let fasteners be loosened, and what they received from a stage on count no more.
 * @param {Effects} found
 * @param {Record<string, JointAfter>} joints
 * @param {Place} place
 * @param {string} joint
 * @param {Set<number>} fasteners
 * @param {boolean} renew
 * @param {number} from
 */
function loosen(found, joints, place, joint, fasteners, renew, from) {
  found.void.push(...ofFasteners(place, joint, fasteners, from));
  const numbers = (joints[joint]?.backwards ?? []).filter((one) => fasteners.has(one));
  if (!numbers.length) return;
  const fresh = renew || joints[joint]?.renews === true;
  // A new one has received nothing yet.
  found.loosen.push({ joint, fasteners: numbers, renew: fresh, from_stage: fresh ? 1 : from });
  if (fresh && from > 1) found.void.push(...ofFasteners(place, joint, new Set(numbers), 1, from));
}

// ---- the fold

/**
 * Return the place after a pull.
 * @param {Place} place
 * @param {PullHere} pull
 * @returns {Place}
 */
export function pulled(place, pull) {
  return { ...place, pulls: [...place.pulls, pull] };
}

/**
 * Return the place after a fastener was loosened fully and begins anew.
 * @param {Place} place
 * @param {string} joint
 * @param {number} fastener
 * @param {boolean} renewed
 * @returns {Place}
 */
export function restarted(place, joint, fastener, renewed) {
  const dues = place.dues.flatMap((due) => {
    const mine = due.due === "loosen" && due.joint === joint && due.fasteners.includes(fastener);
    if (!mine || due.from_stage !== 1 || (due.renew && !renewed)) return [due];
    const fasteners = due.fasteners.filter((one) => one !== fastener);
    return fasteners.length ? [{ ...due, fasteners }] : [];
  });
  const pulls = place.pulls.filter(({ key }) => key[0] !== joint || key[2] !== fastener);
  return { ...place, pulls, dues, asked: [...place.asked, [joint, 1]] };
}

/**
 * Return the place after something happened.
 * @param {Place} place
 * @param {string} entry
 * @param {string} joint
 * @param {Effects} effects
 * @returns {Place}
 */
export function happened(place, entry, joint, effects) {
  const first = new Map();
  for (const { id, key } of place.pulls) {
    if (effects.void.includes(id)) first.set(key[0], Math.min(key[1], first.get(key[0]) ?? Infinity));
  }
  const pulls = place.pulls
    .filter((pull) => !effects.void.includes(pull.id))
    .map((pull) => ({
      ...pull,
      doubted: effects.doubt.includes(pull.id) || (pull.doubted && !effects.clear.includes(pull.id)),
    }));
  const open = effects.loosen.map((one) => ({ ...one, happening: entry, due: "loosen", tool: "", pulls: [] }));
  const others = effects.dues.map((due) => ({
    ...{ happening: entry, joint, due, fasteners: [], renew: false, from_stage: 1 },
    ...{ tool: effects.suspect, pulls: [...effects.doubt] },
  }));
  const suspects = [...new Set([...place.suspects, ...(effects.suspect ? [effects.suspect] : [])])];
  return { pulls, dues: [...place.dues, ...open, ...others], suspects, asked: [...place.asked, ...first] };
}

/**
 * Return the place after something that stood open was settled.
 * @param {Place} place
 * @param {string} entry
 * @param {DueHere} due
 * @param {Effects} effects
 * @returns {Place}
 */
export function settled(place, entry, due, effects) {
  const dues = place.dues.filter((one) => one !== due);
  const tools = new Set(dues.map((one) => one.tool));
  const suspects = due.due === "suspect" ? place.suspects.filter((one) => tools.has(one)) : place.suspects;
  const asked = /** @type {Place["asked"]} */ (place.asked);
  return happened({ ...place, dues, suspects, asked }, entry, due.joint, effects);
}
