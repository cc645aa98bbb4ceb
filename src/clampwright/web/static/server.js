// Talking to the server: an answer, or the knowledge that there is none.

const PATIENCE = 8000;

/**
 * @typedef {object} Answer
 * @property {number} status 0 when there was no answer
 * @property {any} data
 * @property {string} error the server's sentence, if it refused
 */

/**
 * Send a request.
 * @param {string} path
 * @param {{ method?: string, body?: unknown, file?: Blob, patience?: number }} options `file` is
 *   sent as it is, instead of a body as JSON
 * @returns {Promise<Answer>}
 */
export async function ask(path, { method = "GET", body, file, patience = PATIENCE } = {}) {
  const giveUp = new AbortController();
  const timer = setTimeout(() => giveUp.abort(), patience);
  try {
    /** @type {RequestInit} */
    const request = { method, signal: giveUp.signal, cache: "no-store", credentials: "same-origin" };
    if (body !== undefined) {
      request.body = JSON.stringify(body);
      request.headers = { "content-type": "application/json" };
    }
    if (file) request.body = file;
    const reply = await fetch(path, request);
    const data = await reply.json();
    return { status: reply.status, data, error: reply.ok ? "" : String(data?.error ?? reply.status) };
  } catch {
    return { status: 0, data: null, error: "" };
  } finally {
    clearTimeout(timer);
  }
}

/**
 * Whether an answer means: later, with the same.
 * @param {Answer} answer
 * @returns {boolean}
 */
export function isAway(answer) {
  return answer.status === 0 || answer.status >= 500;
}
