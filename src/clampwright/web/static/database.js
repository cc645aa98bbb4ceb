// What the device keeps: entries on their way, its own name. IndexedDB works over plain http too.

const NAME = "clampwright";
const ITEMS = "items";
const FACTS = "facts";

/** @typedef {import("./types.d.ts").Item} Item */

/**
 * @template T
 * @param {IDBRequest<T>} request
 * @returns {Promise<T>}
 */
function answered(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

/**
 * Wait until a transaction is on the device's disk.
 * @param {IDBTransaction} transaction
 * @returns {Promise<void>}
 */
function finished(transaction) {
  return new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve();
    transaction.onerror = () => reject(transaction.error);
    transaction.onabort = () => reject(transaction.error);
  });
}

/** @type {Promise<IDBDatabase> | null} */
let opened = null;

/** @returns {Promise<IDBDatabase>} */
function database() {
  opened ??= new Promise((resolve, reject) => {
    const request = indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => {
      request.result.createObjectStore(ITEMS, { keyPath: "counter", autoIncrement: true });
      request.result.createObjectStore(FACTS);
    };
    request.onsuccess = () => {
      // A newer page of this browser that wants another form of it must not wait for this one.
      request.result.onversionchange = () => forget(request.result);
      request.result.onclose = () => forget(request.result);
      resolve(request.result);
    };
    request.onerror = () => reject(request.error);
    request.onblocked = () => reject(new Error("blocked"));
  });
  opened.catch(() => {
    opened = null;
  });
  return opened;
}

/** @param {IDBDatabase} known */
function forget(known) {
  known.close();
  opened = null;
}

/**
 * Whether the device had no room.
 * @param {unknown} error
 * @returns {boolean}
 */
export function isFull(error) {
  return error instanceof DOMException && error.name === "QuotaExceededError";
}

/**
 * Keep an entry; when this returns it is on the device's disk and has its counter.
 * @param {Item} item
 * @returns {Promise<Item>}
 */
export async function keep(item) {
  const transaction = (await database()).transaction(ITEMS, "readwrite", { durability: "strict" });
  const done = finished(transaction);
  const counter = await answered(transaction.objectStore(ITEMS).put(item));
  await done;
  return { ...item, counter: Number(counter) };
}

/**
 * Let go of entries.
 * @param {...number} counters
 */
export async function drop(...counters) {
  const transaction = (await database()).transaction(ITEMS, "readwrite", { durability: "strict" });
  for (const counter of counters) transaction.objectStore(ITEMS).delete(counter);
  await finished(transaction);
}

/**
 * Return all entries in the order in which they were made.
 * @returns {Promise<Item[]>}
 */
export async function kept() {
  const transaction = (await database()).transaction(ITEMS, "readonly");
  return answered(transaction.objectStore(ITEMS).getAll());
}

/**
 * Return a fact, made now if it is not there.
 * @param {string} name
 * @param {() => string} make
 * @returns {Promise<string>}
 */
export async function fact(name, make) {
  const transaction = (await database()).transaction(FACTS, "readwrite");
  const store = transaction.objectStore(FACTS);
  const found = await answered(store.get(name));
  if (typeof found === "string") return found;
  const value = make();
  store.put(value, name);
  await finished(transaction);
  return value;
}

/**
 * Keep something the device may need without network; the latest under a name holds.
 * @param {string} name
 * @param {unknown} value
 */
export async function note(name, value) {
  const transaction = (await database()).transaction(FACTS, "readwrite");
  transaction.objectStore(FACTS).put(value, name);
  await finished(transaction);
}

/**
 * Return what was kept under a name.
 * @param {string} name
 * @returns {Promise<any>}
 */
export async function noted(name) {
  const transaction = (await database()).transaction(FACTS, "readonly");
  return answered(transaction.objectStore(FACTS).get(name));
}
