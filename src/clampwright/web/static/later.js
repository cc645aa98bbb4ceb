// Parts of the bench that its first view does not need: fetched as soon as it stands, so that they
// are there when the network goes.

/** @typedef {typeof import("./reckoned.js")} Rules */

/** @type {Promise<Rules> | null} */
let fetched = null;

/**
 * Fetch what the first view does without; again, where it failed the last time.
 * @returns {Promise<Rules>} what works out consequences on the device
 */
export function theRest() {
  fetched ??= Promise.all([
    import("./reckoned.js"),
    import("./happened.js"),
    import("./other-ways.js"),
    import("./cue-settings.js"),
    import("./offline-note.js"),
    import("./idle-lock.js"),
  ])
    .then(([rules]) => rules)
    .catch((error) => {
      fetched = null;
      throw error;
    });
  return fetched;
}

/**
 * Do something when the page stands and has nothing else to do.
 * @param {() => Promise<unknown>} act
 */
export function whenIdle(act) {
  const go = () => void act().catch(() => {}); // it is tried again when it is needed
  const rest = () => {
    // On a slow line the document is loaded before the bench stands: nothing is fetched beside it.
    if (document.querySelector("bench-page:not([data-mode])")) setTimeout(rest, 100);
    else if ("requestIdleCallback" in window) requestIdleCallback(go, { timeout: 2000 });
    else setTimeout(go, 200);
  };
  if (document.readyState === "complete") rest();
  else addEventListener("load", rest, { once: true });
}
