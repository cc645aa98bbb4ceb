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
    // A newer worker waits until a page is opened anew: code is never changed under an open page.
    about.waiting?.postMessage({ takeOver: true });
    const worker = await active(about);
    await asked(worker, { keep: paths });
    void navigator.storage?.persist?.();
    return "ready";
  } catch {
    return "failed";
  }
}

/**
 * @param {ServiceWorkerRegistration} about
 * @returns {Promise<ServiceWorker>}
 */
async function active(about) {
  if (about.active) return about.active;
  const worker = about.installing ?? about.waiting;
  if (!worker) throw new Error("no worker");
  return new Promise((resolve, reject) => {
    worker.addEventListener("statechange", () => {
      if (worker.state === "activated") resolve(worker);
      if (worker.state === "redundant") reject(new Error("the worker was not taken"));
    });
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
