// Where an entry is made: this device by its own name.

import { fact } from "./database.js";
import { uuid7 } from "./ids.js";

/** @type {string | null} */
let name = null;

/** @returns {Promise<string>} */
export async function deviceName() {
  const fresh = () => `device-${uuid7().slice(-12)}`;
  try {
    name ??= await fact("device", fresh);
  } catch {
    name ??= fresh();
  }
  return name;
}

/**
 * Return where and when an entry is made now.
 * @returns {Promise<{ id: string, time: string }>}
 */
export async function thisDevice() {
  return { id: await deviceName(), time: new Date().toISOString() };
}
