// The live channel of a job: opened again and again, however often it breaks.

/** @typedef {import("./types.d.ts").Told} Told */

const FIRST_WAIT = 500;
const LONGEST_WAIT = 8000;

/**
 * Listen to a job.
 * @param {string} job
 * @param {(told: Told) => void} heard
 * @param {() => void} opened called whenever the channel is there (again)
 */
export function listen(job, heard, opened) {
  let wait = FIRST_WAIT;
  const open = () => {
    const socket = new WebSocket(`ws://${location.host}/live/${encodeURIComponent(job)}`);
    socket.addEventListener("open", () => {
      wait = FIRST_WAIT;
      opened();
    });
    socket.addEventListener("message", (event) => heard(JSON.parse(String(event.data))));
    socket.addEventListener("close", () => {
      setTimeout(open, wait);
      wait = Math.min(wait * 2, LONGEST_WAIT);
    });
  };
  open();
}
