// A way out for a device that is stuck. It needs no other file, so that it works when those are old
// or broken: nothing here may import anything.
"use strict";

(() => {
  const [told, free, save, empty] = ["told", "free", "save", "empty"].map((id) => document.getElementById(id));
  const sentences = document.getElementById("sentences")?.dataset ?? {};

  /** @param {string} key @param {number} [count] */
  const tell = (key, count = 0) => {
    if (told) told.textContent = (sentences[key] ?? key).replace("{count}", String(count));
  };

  /** @returns {Promise<IDBDatabase | null>} null where there is none, or none that opens */
  function database() {
    return new Promise((resolve) => {
      const request = indexedDB.open("clampwright");
      request.onupgradeneeded = () => request.transaction?.abort();
      request.onsuccess = () => resolve(request.result);
      request.onerror = () => resolve(null);
      request.onblocked = () => resolve(null);
    });
  }

  /** @param {string} mode @returns {Promise<any[]>} */
  async function entries(mode = "read") {
    const found = await database();
    if (!found || !found.objectStoreNames.contains("items")) return [];
    const transaction = found.transaction("items", mode === "empty" ? "readwrite" : "readonly");
    const store = transaction.objectStore("items");
    const asked = mode === "empty" ? store.clear() : store.getAll();
    return new Promise((resolve, reject) => {
      transaction.oncomplete = () => {
        found.close();
        resolve(Array.isArray(asked.result) ? asked.result : []);
      };
      transaction.onerror = () => reject(transaction.error);
    });
  }

  async function look() {
    const count = (await entries()).length;
    tell(count ? "some" : "none", count);
    if (save) save.hidden = count === 0;
  }

  async function unstick() {
    const workers = (await navigator.serviceWorker?.getRegistrations()) ?? [];
    for (const one of workers) await one.unregister();
    if ("caches" in self) for (const name of await caches.keys()) await caches.delete(name);
    tell("freed", (await entries()).length);
  }

  /** Entries go into a file as they are; what takes it in knows their hashes need not be there. */
  async function saved() {
    const kept = await entries();
    const rows = kept.map(({ job, way, id, counter, made, plan, person, body }) => {
      const known = { ...(plan ? { plan } : {}), ...(person ? { person } : {}) };
      return { job, way, id, counter, made, ...known, content: body };
    });
    const file = { format: "clampwright-entries", version: 1, device: await device(), made: new Date().toISOString(), entries: rows };
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([JSON.stringify(file)], { type: "application/json" }));
    link.download = `entries-${file.made.slice(0, 19).replaceAll(":", "")}.json`;
    link.click();
    tell("saved", rows.length);
    if (empty) empty.hidden = false;
  }

  /** @returns {Promise<string>} */
  async function device() {
    const found = await database();
    if (!found) return "device";
    return new Promise((resolve) => {
      const asked = found.transaction("facts").objectStore("facts").get("device");
      asked.onsuccess = () => resolve(String(asked.result ?? "device"));
      asked.onerror = () => resolve("device");
    });
  }

  free?.addEventListener("click", () => void unstick().catch((error) => tell(String(error))));
  save?.addEventListener("click", () => void saved().catch((error) => tell(String(error))));
  empty?.addEventListener("click", () => void entries("empty").then(() => tell("emptied")).then(() => (empty.hidden = true)));
  void look();
})();
