/** The parts of the case, each shown, faded or hidden, and how each is known; and what colours and lines mean. */

import { badge, drawn, h, name } from "./elements.js";
import { doubtOf } from "./known.js";
import { knownLines, knownOtherwise } from "./known_list.js";

const AFTER = { shown: "faded", faded: "hidden", hidden: "shown" };

/**
 * Show the parts and the legend.
 * @param {HTMLElement} element
 * @param {object} page lay, state
 */
export function mountParts(element, page) {
  const { lay, state } = page;
  if (lay.parts.length) {
    const rows = lay.parts.map((part) => row(part, page));
    element.append(everyPart(page));
    element.append(...[knownOtherwise(page), h("ul.part-list", {}, ...rows.map((one) => one.element))].filter(Boolean));
    const show = () => rows.forEach((one) => one.show(state.get().parts));
    page.until(state.on("parts", show));
    show();
  } else element.append(h("p.plain", {}, "This scene has no parts yet."));
  if (lay.legend.length) element.append(h("h2", {}, "What it means"), legend(lay));
}

function everyPart({ lay, state }) {
  const all = (how) => () =>
    state.set({ parts: how === "shown" ? {} : Object.fromEntries(lay.parts.map(({ name: one }) => [one, how])) });
  return h(
    "div.every",
    { role: "group", "aria-label": "All parts at once" },
    h("span", {}, "All parts"),
    ...Object.keys(AFTER).map((how) => h("button", { onclick: all(how) }, glyph(how), how)),
  );
}

function row(part, page) {
  const { lay, state } = page;
  const word = h("span.how");
  const kind = h("span.kind", {}, [part.kind.replaceAll("_", " "), doubtOf(lay, part.name)].filter(Boolean).join(", "));
  const button = h("button", { onclick: () => turn(part.name, state) }, name(part.name), kind, word);
  const show = (parts) => {
    const how = parts[part.name] ?? "shown";
    word.replaceChildren(glyph(how), how);
    button.dataset.how = how;
  };
  return { element: h("li", {}, button, ...knownLines(part.known, page)), show };
}

function turn(part, state) {
  const { parts } = state.get();
  const { [part]: now = "shown", ...others } = parts;
  const next = AFTER[now];
  state.set({ parts: next === "shown" ? others : { ...others, [part]: next } });
}

/** Full, half and empty: the form says it without a colour. */
function glyph(how) {
  const inside = { shown: [0, 12], faded: [6, 6], hidden: [12, 0] }[how];
  return drawn(
    "svg",
    { class: "glyph", viewBox: "-1 -1 14 14", "aria-hidden": "true" },
    drawn("rect", { x: 0, y: 0, width: 12, height: 12, class: "rim" }),
    drawn("rect", { x: 0, y: inside[0], width: 12, height: inside[1], class: "fill" }),
  );
}

function legend(lay) {
  return h("ul.legend", {}, ...lay.legend.map((one) => h("li", {}, swatch(one, lay), h("span", {}, one.text))));
}

function swatch(entry, lay) {
  if (entry.form === "badge") return badge(entry.severity);
  const look = typeof entry.look === "number" ? lay.looks[entry.look] : entry.look;
  const svg = drawn("svg", { class: "swatch", viewBox: "0 0 48 20", "aria-hidden": "true" });
  svg.append(...(FORMS[entry.form] ?? FORMS.solid)(look));
  return svg;
}

const rod = (look) =>
  drawn("rect", { x: 1, y: 6, width: 46, height: 8, rx: 4, fill: look.colour, stroke: look.outline ?? look.line });
const bands = (look, width, gap) =>
  Array.from({ length: Math.ceil(46 / gap) }, (_, k) => k * gap + 4)
    .filter((x) => x + width < 46)
    .map((x) => drawn("rect", { x, y: 6, width, height: 8, fill: look.second }));
const FORMS = {
  tube: (look) => [rod(look)],
  "fault tube": (look) => [rod(look), ...bands(look, 7, 14)],
  "caution tube": (look) => [rod(look), ...bands(look, 2.5, 13)],
  solid: (look) => [
    drawn("rect", {
      ...{ x: 1, y: 3, width: 46, height: 14 },
      ...{ fill: look.colour, "fill-opacity": look.opacity, stroke: look.line },
    }),
  ],
  doubt: (look) => [
    drawn("rect", {
      ...{ x: 1, y: 3, width: 46, height: 14, stroke: look.line, "stroke-width": 1.4 },
      ...{ fill: look.colour, "fill-opacity": look.opacity, "stroke-dasharray": look.dashes.join(" ") },
    }),
  ],
  lines: (look) => [drawn("path", { d: "M2 10H46", stroke: look.line, "stroke-width": 2.5, fill: "none" })],
  dots: (look) => [12, 24, 36].map((cx) => drawn("circle", { cx, cy: 10, r: 3, fill: look.colour })),
  hatched: (look) => [
    drawn("rect", { x: 1, y: 3, width: 46, height: 14, fill: "none", stroke: look.line, "stroke-dasharray": "4 3" }),
    drawn("path", { d: "M8 17 18 3M20 17 30 3M32 17 42 3", stroke: look.line, fill: "none" }),
  ],
};
