// The screen stays on while the bench is looked at, where the browser allows it (over plain http on
// another machine it does not: then nothing changes).

async function stayOn() {
  if (document.hidden || !("wakeLock" in navigator)) return;
  try {
    await navigator.wakeLock.request("screen");
  } catch {
    // The device saves its battery: its owner's choice counts.
  }
}

/** Keep the screen on from now; a lock is lost when the page is hidden and taken again after. */
export function keepAwake() {
  document.addEventListener("visibilitychange", () => void stayOn());
  void stayOn();
}
