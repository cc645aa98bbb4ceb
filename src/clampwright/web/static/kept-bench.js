// What this device knows of a job, kept so that work that has begun goes on without the server.

import { note, noted } from "./database.js";

/** @typedef {import("./types.d.ts").Bench} Bench */

/** When this page was kept, where the device shows it without the server; else empty. */
export const keptAt = document.documentElement.dataset["kept"] ?? "";

/** @param {string} job */
const named = (job) => `bench ${job}`;

/**
 * Keep what is known; where the browser keeps nothing, the page still has it while it is open.
 * @param {Bench} bench
 */
export async function keepBench(bench) {
  try {
    await note(named(bench.job.id), bench);
  } catch {
    // Said already: the outbox finds the same.
  }
}

/**
 * Return what is known of a job: what the page came with, unless the page is an old one.
 * @param {Bench} bench what the page came with
 * @returns {Promise<Bench>}
 */
export async function latestBench(bench) {
  if (!keptAt) {
    await keepBench(bench);
    return bench;
  }
  try {
    /** @type {Bench | undefined} */
    const known = await noted(named(bench.job.id));
    return known && known.log === bench.log && known.size >= bench.size ? known : bench;
  } catch {
    return bench;
  }
}
