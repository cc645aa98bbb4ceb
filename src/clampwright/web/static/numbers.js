// Figures as people type them: decimal point and comma are both taken, thousands marks are not.

/**
 * Return the figure's value, or null when it is none.
 * @param {string} text
 * @returns {number | null}
 */
export function parseNumber(text) {
  const tidy = text.trim().replace(/\u2212/g, "-");
  if (!/^[+-]?(\d+([.,]\d*)?|[.,]\d+)$/.test(tidy)) return null;
  const value = Number(tidy.replace(",", "."));
  return Number.isFinite(value) ? value : null;
}
