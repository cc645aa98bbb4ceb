// Figures as the page's language writes them (Intl of the browser). What is sent to the server, or
// kept, has a decimal point in every language.

const language = document.documentElement.lang || "en";
/** What stands between whole and parts. */
export const DECIMAL =
  new Intl.NumberFormat(language, { minimumFractionDigits: 1 }).formatToParts(0.5).find((part) => part.type === "decimal")?.value ?? ".";
/** Text that is wholly a figure with a decimal point, with or without its unit, or several. */
const FIGURES = /^(?:(?:[<>≤≥≈~±] ?)?[-+−±]?\d+(?:\.\d+)?(?: ?[^\s\d.,]{1,8})?(?: [–…] |, |$))+$/u;

/**
 * Return a value as it is shown.
 * @param {string | number} value a number, or text such as "31.5 N·m"; other text stays as it is
 * @returns {string}
 */
export function told(value) {
  const text = String(value);
  if (DECIMAL === "." || !text.includes(".") || !FIGURES.test(text)) return text;
  return text.replace(/(\d)\.(?=\d)/g, `$1${DECIMAL}`);
}
