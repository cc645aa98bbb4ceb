// The live channel of a job: opened again and again, however often it breaks. A connection that is
// only half open (the other side is gone and nobody was told) is known by its silence: the server
// says something every few seconds.

/** @typedef {import("./types.d.ts").Told} Told */

const FIRST_WAIT = 500;
const LONGEST_WAIT = 8000;
/** The server beats every 5 s; after twice that, and some, nobody is there. */
const SILENT = 12000;

/**
 * Listen to a job.
 * @param {string} job
 * @param {(told: Told) => void} heard
 * @param {() => void} opened called whenever the channel is there (again)
 * @returns {() => void} opens the channel anew, at once
 */
export function listen(job, heard, opened) {
  let wait = FIRST_WAIT;
  /** @type {WebSocket | null} */
  let now = null;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let watching;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let waiting;

  const open = () => {
    clearTimeout(waiting);
    const scheme = location.protocol === "https:" ? "wss" : "ws";
    const socket = new WebSocket(`${scheme}://${location.host}/live/${encodeURIComponent(job)}`);
    now = socket;
    const watch = () => {
      clearTimeout(watching);
      watching = setTimeout(anew, SILENT);
    };
    socket.addEventListener("open", () => {
      wait = FIRST_WAIT;
      watch();
      opened();
    });
    socket.addEventListener("message", (event) => {
      if (socket !== now) return;
      watch();
      const told = JSON.parse(String(event.data));
      if (!("beat" in told)) heard(told);
    });
    socket.addEventListener("close", () => {
      if (socket !== now) return;
      clearTimeout(watching);
      waiting = setTimeout(open, wait);
      wait = Math.min(wait * 2, LONGEST_WAIT);
    });
  };

  const anew = () => {
    const old = now;
    clearTimeout(watching);
    open(); // the old one may never say that it is closed
    old?.close();
  };

  open();
  // While the device is locked a new channel is refused; with the PIN it is there again at once.
  document.addEventListener("unlocked", anew);
  return anew;
}
