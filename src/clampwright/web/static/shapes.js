// A shape for every verdict, so that it is told without colour: the same ones as on the map.

const NS = "http://www.w3.org/2000/svg";

/** @type {Record<string, [string, Record<string, string>][]>} */
const PARTS = {
  within: [
    ["rect", { x: "8", y: "8", width: "84", height: "84" }],
    ["path", { d: "M26 52L44 70L76 32" }],
  ],
  short: [
    ["path", { d: "M82 10V90" }],
    ["path", { d: "M8 50H58M42 32L60 50L42 68" }],
  ],
  over: [
    ["path", { d: "M34 10V90" }],
    ["path", { d: "M8 50H90M72 32L90 50L72 68" }],
  ],
  doubtful: [
    ["path", { d: "M50 4L96 50L50 96L4 50Z", "stroke-dasharray": "14 6" }],
    ["path", { d: "M38 40C38 24 62 24 62 40C62 50 50 48 50 60M50 70V76" }],
  ],
  void: [
    ["circle", { cx: "50", cy: "50", r: "42" }],
    ["path", { d: "M22 22L78 78M78 22L22 78" }],
  ],
  "not known": [
    ["circle", { cx: "50", cy: "50", r: "42", "stroke-dasharray": "4 14" }],
    ["path", { d: "M30 50H70" }],
  ],
  kept: [
    ["path", { d: "M10 40V90H90V40" }],
    ["path", { d: "M50 8V62M32 44L50 64L68 44" }],
  ],
  refused: [
    ["path", { d: "M30 6H70L94 30V70L70 94H30L6 70V30Z" }],
    ["path", { d: "M50 26V56M50 68V74" }],
  ],
};

/**
 * Return the shape of a verdict.
 * @param {string} verdict
 * @returns {SVGSVGElement}
 */
export function shape(verdict) {
  const svg = document.createElementNS(NS, "svg");
  svg.setAttribute("viewBox", "0 0 100 100");
  svg.setAttribute("class", "verdict-shape");
  svg.setAttribute("aria-hidden", "true");
  for (const [tag, facts] of PARTS[verdict] ?? []) svg.append(svgPart(tag, facts));
  return svg;
}

/**
 * @param {string} tag
 * @param {Record<string, string>} facts
 */
export function svgPart(tag, facts) {
  const element = document.createElementNS(NS, tag);
  for (const [name, value] of Object.entries(facts)) element.setAttribute(name, value);
  return element;
}

/**
 * Return the fastener whose turn it is: its number in a filled hexagon, the way it turns around it.
 * @param {string} number
 * @param {"cw" | "ccw"} arrow as it is seen
 * @returns {SVGSVGElement}
 */
export function fastener(number, arrow) {
  const svg = document.createElementNS(NS, "svg");
  svg.setAttribute("viewBox", "-100 -100 200 200");
  svg.setAttribute("class", "fastener-now");
  svg.setAttribute("aria-hidden", "true");
  svg.append(svgPart("path", { class: "hexagon", d: hexagon(66) }));
  const turned = svgPart("g", arrow === "ccw" ? { transform: "scale(-1 1)" } : {});
  for (const turn of ["0", "180"]) {
    const half = svgPart("g", { transform: `rotate(${turn})` });
    half.append(
      svgPart("path", { class: "way", d: "M-52 -66A84 84 0 0 1 52 -66" }),
      svgPart("path", { class: "way-head", d: "M40 -92L72 -46L26 -52Z" }),
    );
    turned.append(half);
  }
  const text = svgPart("text", { class: "fastener-number", x: "0", y: "26", "text-anchor": "middle" });
  text.textContent = number;
  if (number.length > 2) text.setAttribute("font-size", "48");
  svg.append(turned, text);
  return svg;
}

/** @param {number} radius */
function hexagon(radius) {
  const corners = [0, 60, 120, 180, 240, 300].map((degrees) => {
    const angle = ((degrees + 30) * Math.PI) / 180;
    return `${(radius * Math.sin(angle)).toFixed(1)} ${(-radius * Math.cos(angle)).toFixed(1)}`;
  });
  return `M${corners.join("L")}Z`;
}
