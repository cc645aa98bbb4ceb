// Keeping pages for work without network, where the browser gives a worker: over https and on this
// computer itself. Over plain http there is none, and the page says so.

const WORKER = "/service-worker.js";
const SCOPE = "/jobs/";
const PATIENCE = 20_000;

/** @typedef {"ready" | "none" | "failed"} Standing */

/**
 * Have the worker keep pages of a job, with all files they need.
 * @param {string[]} paths
 * @returns {Promise<Standing>}
 */
export async function keepOffline(paths) {
  if (!("serviceWorker" in navigator)) return "none";
  try {
    const about = await navigator.serviceWorker.register(WORKER, { scope: SCOPE, updateViaCache: "none" });
    // This page has just been opened, so a newer worker may take over: no code changes under it.
    await about.update();
    await takenOver(about);
    if (!about.active) return "failed";
    await asked(about.active, { keep: paths });
    void navigator.storage?.persist?.();
    return "ready";
  } catch {
    return "failed";
  }
}

/**
 * Wait until the newest worker is the active one.
 * @param {ServiceWorkerRegistration} about
 * @returns {Promise<void>}
 */
function takenOver(about) {
  const worker = about.installing ?? about.waiting;
  if (!worker) return Promise.resolve();
  return new Promise((resolve, reject) => {
    const look = () => {
      if (worker.state === "installed") worker.postMessage({ takeOver: true });
      if (worker.state === "activated") resolve();
      if (worker.state === "redundant") reject(new Error("the worker was not taken"));
    };
    worker.addEventListener("statechange", look);
    look();
  });
}

/**
 * @param {ServiceWorker} worker
 * @param {{ keep: string[] }} message
 * @returns {Promise<void>}
 */
function asked(worker, message) {
  return new Promise((resolve, reject) => {
    const channel = new MessageChannel();
    const timer = setTimeout(() => reject(new Error("no answer from the worker")), PATIENCE);
    channel.port1.onmessage = (event) => {
      clearTimeout(timer);
      if (event.data?.kept) resolve();
      else reject(new Error("not kept"));
    };
    worker.postMessage(message, [channel.port2]);
  });
}
