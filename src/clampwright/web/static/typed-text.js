// What a device typed, understood: a figure with its own decimal mark, and a unit if it sends one.

/** @typedef {{ on: boolean, mark: "either" | "point" | "comma" }} TypedSettings */
/** @typedef {{ value: string, unit: string, problem: "" | "none" | "two" | "mark" | "unit" }} Understood */

/** Units as devices spell them, without blanks, dots, dashes and capitals. */
const UNITS = new Map(
  Object.entries({
    nm: "N·m",
    newtonm: "N·m",
    ncm: "N·cm",
    ftlb: "ft·lbf",
    lbft: "ft·lbf",
    ftlbf: "ft·lbf",
    lbfft: "ft·lbf",
    ftlbs: "ft·lbf",
    inlb: "in·lbf",
    lbin: "in·lbf",
    inlbf: "in·lbf",
    lbfin: "in·lbf",
    inlbs: "in·lbf",
    kgm: "kgf·m",
    kgfm: "kgf·m",
    kgcm: "kgf·cm",
    kgfcm: "kgf·cm",
    deg: "deg",
    "°": "deg",
    mm: "mm",
  }),
);
const FIGURE = /[-+\u2212]?\d[\d.,]*/g;

/**
 * Understand a text.
 * @param {string} text
 * @param {TypedSettings["mark"]} mark the device's decimal mark
 * @returns {Understood}
 */
export function understand(text, mark = "either") {
  const figures = text.match(FIGURE) ?? [];
  if (!figures.length) return { value: "", unit: "", problem: "none" };
  if (figures.length > 1) return { value: "", unit: "", problem: "two" };
  const figure = figures[0] ?? "";
  const value = plain(figure.replace(/[.,]+$/, ""), mark);
  if (value === null) return { value: "", unit: "", problem: "mark" };
  const after = text.slice(text.indexOf(figure) + figure.length);
  const written = after.replace(/[\s.·*_-]/g, "").toLowerCase();
  if (!written) return { value, unit: "", problem: "" };
  const unit = UNITS.get(written);
  return unit ? { value, unit, problem: "" } : { value: "", unit: "", problem: "unit" };
}

/**
 * A figure without thousands marks, its decimal mark a point; null where it can be read in two ways.
 * @param {string} figure
 * @param {TypedSettings["mark"]} mark
 */
function plain(figure, mark) {
  const tidy = figure.replace(/\u2212/g, "-");
  if (mark === "either") {
    return /^[-+]?\d+([.,]\d+)?$/.test(tidy) ? tidy.replace(",", ".") : null;
  }
  const [decimal, thousands] = mark === "comma" ? [",", "."] : [".", ","];
  const parts = tidy.split(decimal);
  if (parts.length > 2) return null;
  const groups = (parts[0] ?? "").split(thousands);
  const grouped = groups.length === 1 || groups.slice(1).every((group) => group.length === 3);
  if (!grouped || (parts[1] ?? "").includes(thousands)) return null;
  return groups.join("") + (parts[1] ? `.${parts[1]}` : "");
}
