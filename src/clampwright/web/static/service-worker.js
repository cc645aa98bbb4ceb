// The worker behind the pages of jobs: without network they are shown as they were last, marked as
// such, with all their files. What the API answers is never kept: an old answer could lie.
// KEPT, written before this text by the server, names the version of the files and all of them.

/** @typedef {{ version: string, files: string[] }} Kept */

const worker = /** @type {any} */ (self);
/** @type {Kept} */
const { version, files } = worker.KEPT;

const FILES = `clampwright-files-${version}`;
const PAGES = `clampwright-pages-${version}`;
/** Versions whose files stay: this one, and that of pages that may still be open. */
const VERSIONS = 2;
/** Pages that are worth having without the server. */
const WORK = /^\/jobs\/[^/]+(\/(pull|preparation|apart|care))?$/;
/** A server that is silent for so long is taken as away, ms. */
const PATIENCE = 4000;
const KEPT_AT = "x-kept-at";
/** The language a kept page is in: all of them are kept in the one that was asked for last. */
const KEPT_IN = "x-kept-in";

worker.addEventListener("install", (/** @type {any} */ event) => event.waitUntil(install()));
worker.addEventListener("activate", (/** @type {any} */ event) => event.waitUntil(activate()));

worker.addEventListener("message", (/** @type {any} */ event) => {
  if (event.data?.takeOver) worker.skipWaiting();
  if (event.data?.keep) {
    const done = keepAll(event.data.keep).then(
      () => event.ports[0]?.postMessage({ kept: true }),
      () => event.ports[0]?.postMessage({ kept: false }),
    );
    event.waitUntil(done);
  }
});

worker.addEventListener("fetch", (/** @type {any} */ event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== worker.location.origin) return;
  if (url.pathname.startsWith("/static/")) event.respondWith(file(request));
  else if (request.mode === "navigate" && WORK.test(url.pathname)) event.respondWith(page(request, event));
});

/** Take all files of this version, and again, by them, the pages an older worker has kept. */
async function install() {
  await (await caches.open(FILES)).addAll(files);
  const known = new Set();
  for (const name of await caches.keys()) {
    if (!name.startsWith("clampwright-pages-")) continue;
    for (const one of await (await caches.open(name)).keys()) known.add(new URL(one.url).pathname);
  }
  await Promise.allSettled([...known].map((path) => keepAll([path])));
}

async function activate() {
  const names = await caches.keys();
  for (const kind of ["clampwright-files-", "clampwright-pages-"]) {
    const mine = names.filter((name) => name.startsWith(kind) && name !== kind + version);
    for (const name of mine.slice(0, Math.max(0, mine.length - (VERSIONS - 1)))) await caches.delete(name);
  }
  await worker.clients.claim();
}

/** @param {string[]} paths */
async function keepAll(paths) {
  for (const path of paths) {
    const reply = await fetch(path, { cache: "no-store", credentials: "same-origin" });
    if (!isPage(reply)) throw new Error(`${path}: ${reply.status}`);
    if (!(await keep(path, reply, await reply.text()))) throw new Error(`${path}: of another version`);
  }
}

/** @param {Response} reply */
function isPage(reply) {
  return reply.ok && !reply.redirected && (reply.headers.get("content-type") ?? "").startsWith("text/html");
}

/**
 * Keep a page whose files are here; one of a newer version is kept by the newer worker.
 * @param {string} path
 * @param {Response} reply
 * @param {string} text
 * @returns {Promise<boolean>} whether it was kept
 */
async function keep(path, reply, text) {
  if (!text.includes(`/static/${version}/`)) return false;
  const headers = new Headers(reply.headers);
  headers.set(KEPT_AT, new Date().toISOString());
  headers.set(KEPT_IN, languageOf(text));
  headers.delete("content-encoding");
  headers.delete("content-length");
  const cache = await caches.open(PAGES);
  await cache.put(path, new Response(text, { headers }));
  return true;
}

/** @param {string} text */
function languageOf(text) {
  return /<html lang="([A-Za-z0-9-]+)"/.exec(text)?.[1] ?? "";
}

/**
 * Fetch anew the pages that are kept in another language: a job is not shown half in each.
 * @param {string} language
 */
async function renew(language) {
  const cache = await caches.open(PAGES);
  for (const one of await cache.keys()) {
    const kept = await cache.match(one);
    const before = kept?.headers.get(KEPT_IN);
    // One that cannot be had now stays: an old page in the other language is better than none.
    if (before && before !== language) await keepAll([new URL(one.url).pathname]).catch(() => {});
  }
}

/**
 * A file's address changes with its content: the one that is kept is right.
 * @param {Request} request
 */
async function file(request) {
  return (await caches.match(request)) ?? fetch(request);
}

/**
 * A page from the server; where it does not answer, as it was last, with the time it is from.
 * @param {Request} request
 * @param {any} event
 */
async function page(request, event) {
  const path = new URL(request.url).pathname;
  const known = await keptPage(path);
  const giveUp = new AbortController();
  const timer = known && setTimeout(() => giveUp.abort(), PATIENCE);
  try {
    const reply = await fetch(request, { signal: giveUp.signal });
    if (!isPage(reply)) return reply;
    // Half a page, cut off while it came, would be a dead one: only a whole one is shown.
    const text = await reply.clone().text();
    // No room to keep it is no reason not to show it.
    const done = await keep(path, reply, text).catch(() => false);
    if (done) event.waitUntil(renew(languageOf(text)));
    return reply;
  } catch (error) {
    if (known) return asKept(known);
    throw error;
  } finally {
    if (timer) clearTimeout(timer);
  }
}

/**
 * @param {string} path
 * @returns {Promise<Response | undefined>}
 */
async function keptPage(path) {
  const names = (await caches.keys()).filter((name) => name.startsWith("clampwright-pages-"));
  for (const name of [PAGES, ...names.reverse()]) {
    const found = await (await caches.open(name)).match(path);
    if (found) return found;
  }
  return undefined;
}

/**
 * Return a page that says of itself that it is an old one.
 * @param {Response} kept
 */
async function asKept(kept) {
  const text = await kept.text();
  const at = (kept.headers.get(KEPT_AT) ?? "").replace(/[^0-9TZ:.-]/g, "");
  return new Response(text.replace("<html ", `<html data-kept="${at}" `), { headers: kept.headers });
}
