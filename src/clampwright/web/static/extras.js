// What this device can do beyond what pulling needs. Each extra is tried, not guessed from a name.

/**
 * @typedef {object} Outcome
 * @property {"works" | "touch" | "not"} state
 * @property {string} [why] key of the sentence that says why not
 */

/**
 * @typedef {object} Extra
 * @property {string} key of its sentence
 * @property {(touched: boolean) => Promise<Outcome> | Outcome} attempt
 */

const WORKS = /** @type {Outcome} */ ({ state: "works" });
const SENSOR_PATIENCE = 1500;
const VOICE_PATIENCE = 1000;

/** @param {string} why @returns {Outcome} */
const not = (why) => ({ state: "not", why });

/** @returns {Outcome} */
const afterTouch = () => ({ state: "touch" });

/** @returns {Outcome} */
function secure() {
  return isSecureContext ? WORKS : not("extras_secure_why");
}

/** @returns {Outcome} */
function worker() {
  return isSecureContext && "serviceWorker" in navigator ? WORKS : not("extras_worker_why");
}

/**
 * Write and take away a small store of its own.
 * @returns {Promise<Outcome>}
 */
function keeps() {
  const name = "clampwright-trial";
  return new Promise((resolve) => {
    try {
      const request = indexedDB.open(name, 1);
      request.onsuccess = () => {
        request.result.close();
        indexedDB.deleteDatabase(name);
        resolve(WORKS);
      };
      request.onerror = () => resolve(not("extras_keeps_why"));
    } catch {
      resolve(not("extras_keeps_why"));
    }
  });
}

/** @returns {Promise<Outcome>} */
async function awake() {
  if (!("wakeLock" in navigator)) return not("extras_awake_why");
  try {
    const lock = await navigator.wakeLock.request("screen");
    await lock.release();
    return WORKS;
  } catch {
    return not("extras_awake_refused");
  }
}

/**
 * Ask for the rotation sensor, where a browser wants to be asked, and wait for a value.
 * @param {boolean} touched
 * @returns {Promise<Outcome>}
 */
async function turn(touched) {
  if (!isSecureContext || !("DeviceMotionEvent" in globalThis)) return not("extras_turn_why");
  const ask = /** @type {any} */ (DeviceMotionEvent).requestPermission;
  if (typeof ask === "function") {
    if (!touched) return afterTouch();
    try {
      if ((await ask.call(DeviceMotionEvent)) !== "granted") return not("extras_turn_none");
    } catch {
      return not("extras_turn_none");
    }
  }
  return (await turned()) ? WORKS : not("extras_turn_none");
}

/** @returns {Promise<boolean>} whether the sensor gives values */
function turned() {
  return new Promise((resolve) => {
    /** @param {DeviceMotionEvent} event */
    const heard = (event) => {
      if (event.rotationRate?.alpha === null || event.rotationRate?.alpha === undefined) return;
      done(true);
    };
    const late = setTimeout(() => done(false), SENSOR_PATIENCE);
    /** @param {boolean} found */
    const done = (found) => {
      clearTimeout(late);
      removeEventListener("devicemotion", heard);
      resolve(found);
    };
    addEventListener("devicemotion", heard);
  });
}

/**
 * @param {boolean} touched
 * @returns {Promise<Outcome>}
 */
async function camera(touched) {
  if (!isSecureContext || !navigator.mediaDevices) return not("extras_camera_why");
  if (!touched) return afterTouch();
  try {
    const stream = await navigator.mediaDevices.getUserMedia({ video: true });
    for (const track of stream.getTracks()) track.stop();
    return WORKS;
  } catch {
    return not("extras_camera_why");
  }
}

/** @returns {Promise<Outcome>} */
async function voice() {
  if (!("speechSynthesis" in globalThis)) return not("extras_voice_none");
  if (!speechSynthesis.getVoices().length) await voicesCame();
  return speechSynthesis.getVoices().some((one) => one.localService) ? WORKS : not("extras_voice_none");
}

/** @returns {Promise<void>} when the browser has its list of voices, or had time enough */
function voicesCame() {
  return new Promise((resolve) => {
    setTimeout(resolve, VOICE_PATIENCE);
    speechSynthesis.addEventListener("voiceschanged", () => resolve(), { once: true });
  });
}

/** @returns {Outcome} */
function sound() {
  return "AudioContext" in globalThis ? WORKS : not("extras_sound_why");
}

/** @returns {Outcome} */
function shake() {
  return typeof navigator.vibrate === "function" ? WORKS : not("extras_shake_why");
}

/** All extras, the one others hang on first. @type {readonly Extra[]} */
export const EXTRAS = [
  { key: "extras_secure", attempt: secure },
  { key: "extras_worker", attempt: worker },
  { key: "extras_keeps", attempt: keeps },
  { key: "extras_awake", attempt: awake },
  { key: "extras_turn", attempt: turn },
  { key: "extras_camera", attempt: camera },
  { key: "extras_voice", attempt: voice },
  { key: "extras_sound", attempt: sound },
  { key: "extras_shake", attempt: shake },
];
