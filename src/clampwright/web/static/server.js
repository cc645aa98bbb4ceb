// Talking to the server: an answer, or the knowledge that there is none.

const PATIENCE = 8000;
/** Whose turn it is to be waited for: nobody is signed in, or too much was tried. */
const LATER = new Set([401, 429]);

/**
 * @typedef {object} Answer
 * @property {number} status 0 when there was no answer
 * @property {any} data
 * @property {string} error the server's sentence, if it refused
 */

/**
 * @typedef {{ method?: string, body?: unknown, file?: Blob, patience?: number, signature?: string }}
 *   Options `file` is sent as it is, instead of a body as JSON
 */

/**
 * Send a request; where a signature is asked for, it is given by touch and the same is sent again,
 * and where the device is locked, its PIN is asked for.
 * @param {string} path
 * @param {Options} options
 * @returns {Promise<Answer>}
 */
export async function ask(path, options = {}) {
  const answer = await askPlainly(path, options);
  if (answer.status === 401 && answer.data?.sign_in) {
    void import("./signing.js").then(({ unlock }) => unlock());
  }
  if (answer.status !== 403 || !answer.data?.sign || options.signature) return answer;
  const { signatureFor } = await import("./signing.js");
  const signature = await signatureFor(answer.data.sign, path.split("?")[0]?.split("/").pop() ?? "");
  return signature ? askPlainly(path, { ...options, signature }) : answer;
}

/**
 * Send a request, and no more.
 * @param {string} path
 * @param {Options} options
 * @returns {Promise<Answer>}
 */
export async function askPlainly(path, { method = "GET", body, file, patience = PATIENCE, signature } = {}) {
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
    if (signature) request.headers = { ...request.headers, "x-signature": signature };
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
  return answer.status === 0 || answer.status >= 500 || LATER.has(answer.status);
}
