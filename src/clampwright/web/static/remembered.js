// What this browser remembers of forms, so that sleep or a reload loses nothing that was typed.

/**
 * Return what was remembered, or an empty object.
 * @param {string} name
 * @returns {Record<string, string>}
 */
export function remembered(name) {
  try {
    return JSON.parse(localStorage.getItem(name) ?? "{}");
  } catch {
    return {};
  }
}

/**
 * Remember, where the browser lets it.
 * @param {string} name
 * @param {Record<string, string>} facts
 */
export function remember(name, facts) {
  try {
    localStorage.setItem(name, JSON.stringify(facts));
  } catch {
    // A browser that keeps nothing starts with empty fields.
  }
}
