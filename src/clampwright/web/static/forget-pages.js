// Signing out leaves no page of a job on the device; entries that wait to be sent stay.

const PAGES = "clampwright-pages-";

for (const form of document.querySelectorAll('form[data-send="/api/session/end"]')) {
  form.addEventListener("submit", () => void forget());
}

async function forget() {
  if (!("caches" in globalThis)) return;
  for (const name of await caches.keys()) if (name.startsWith(PAGES)) await caches.delete(name);
}
export {};
