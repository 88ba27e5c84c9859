/** Making elements: texts go in as texts, never as markup. */

const SVG = "http://www.w3.org/2000/svg";

/**
 * Make an element.
 * @param {string} tag "button", or "button.choice.wide" with classes
 * @param {object} has attributes; `onclick` and the like are listeners, null and false are left out
 * @param {...(Node|string|null)} inside
 * @returns {HTMLElement}
 */
export function h(tag, has = {}, ...inside) {
  const [kind, ...classes] = tag.split(".");
  const made = document.createElement(kind);
  if (classes.length) made.className = classes.join(" ");
  if (kind === "button") made.type = "button";
  give(made, has);
  made.append(...inside.flat().filter((one) => one !== null && one !== undefined && one !== ""));
  return made;
}

/**
 * Make an element of a drawing.
 * @param {string} tag
 * @param {object} has attributes
 * @param {...(Node|string)} inside
 * @returns {SVGElement}
 */
export function drawn(tag, has = {}, ...inside) {
  const made = document.createElementNS(SVG, tag);
  give(made, has);
  made.append(...inside);
  return made;
}

/**
 * A name as somebody wrote it: it keeps its own direction and turns nothing round it.
 * @param {string} text
 * @returns {HTMLElement}
 */
export function name(text) {
  return h("bdi.name", { dir: "auto" }, text);
}

/**
 * The badge of a finding: disc, triangle or square, with its number.
 * @param {"fault"|"caution"|"note"} severity
 * @param {number|string} number
 * @returns {SVGElement}
 */
export function badge(severity, number = "") {
  const forms = {
    fault: () => drawn("circle", { cx: 16, cy: 16, r: 14 }),
    caution: () => drawn("path", { d: "M16 1.5 31 29.5H1Z", "stroke-linejoin": "round" }),
    note: () => drawn("rect", { x: 3, y: 3, width: 26, height: 26 }),
  };
  const text = drawn("text", { x: 16, y: severity === "caution" ? 26 : 21, "text-anchor": "middle" }, String(number));
  if (String(number).length > 2) text.setAttribute("class", "long");
  return drawn(
    "svg",
    { class: `badge ${severity}`, viewBox: "0 0 32 32", "aria-hidden": "true", focusable: "false" },
    forms[severity](),
    text,
  );
}

/**
 * A list of terms and what they are.
 * @param {Array<[string, Node|string|null]>} pairs those without a value are left out
 * @returns {HTMLElement}
 */
export function terms(pairs) {
  const rows = pairs.filter(([, value]) => value !== null && value !== undefined && value !== "");
  return h("dl.terms", {}, ...rows.map(([term, value]) => h("div", {}, h("dt", {}, term), h("dd", {}, value))));
}

function give(made, has) {
  for (const [key, value] of Object.entries(has)) {
    if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else if (value !== null && value !== undefined && value !== false)
      made.setAttribute(key, value === true ? "" : value);
  }
}
