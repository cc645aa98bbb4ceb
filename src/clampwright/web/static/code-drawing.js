// A code as a drawing: dark on light whatever the page looks like, with its quiet zone.

import { utf8 } from "./bytes.js";
import { qr } from "./qr.js";

const QUIET = 4;
const SVG = "http://www.w3.org/2000/svg";

/**
 * @param {string} text
 * @param {string} label
 * @returns {SVGSVGElement}
 */
export function codeDrawing(text, label) {
  const matrix = qr(utf8(text));
  const size = matrix.length + 2 * QUIET;
  const svg = document.createElementNS(SVG, "svg");
  svg.setAttribute("viewBox", `0 0 ${size} ${size}`);
  svg.setAttribute("role", "img");
  svg.setAttribute("aria-label", label);
  svg.setAttribute("class", "code");
  svg.setAttribute("shape-rendering", "crispEdges");
  const ground = document.createElementNS(SVG, "rect");
  ground.setAttribute("width", String(size));
  ground.setAttribute("height", String(size));
  ground.setAttribute("fill", "#fff");
  const dark = document.createElementNS(SVG, "path");
  dark.setAttribute("fill", "#000");
  dark.setAttribute("d", matrix.map(rowPath).join(""));
  svg.append(ground, dark);
  return svg;
}

/**
 * @param {boolean[]} line
 * @param {number} row
 */
function rowPath(line, row) {
  let path = "";
  for (let at = 0; at < line.length; at += 1) {
    if (!line[at]) continue;
    const from = at;
    while (line[at + 1]) at += 1;
    path += `M${from + QUIET} ${row + QUIET}h${at - from + 1}v1h-${at - from + 1}z`;
  }
  return path;
}
