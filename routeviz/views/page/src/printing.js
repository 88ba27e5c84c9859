/** What the page prints: a document of its own, made when the browser is about to print and gone afterwards. */

import { h, name } from "./elements.js";
import { drawOn, wholeOf } from "./flat.js";
import { printedFindings, printedPassages, printedTubes } from "./printtables.js";
import { printedWork } from "./printwork.js";
import { BEGIN } from "./state.js";
import { capital, followTexts } from "./texts.js";

const SHARP = 2; // pixels of a picture to each that the screen would have
const SIZE = { wide: 540, high: 400 }; // two beside each other

/**
 * Print a document instead of the screen: all of the lay, or at the bench the list of work alone.
 * @param {object} lay
 * @param {object} state
 * @returns {{replace: function(object): void}}
 */
export function mountPrinting(lay, state) {
  let now = lay;
  let printed = null;
  window.addEventListener("beforeprint", () => {
    printed?.remove();
    printed = printedDocument(now, state);
    document.body.append(printed);
  });
  window.addEventListener("afterprint", () => printed?.remove());
  return { replace: (next) => void (now = next) };
}

function printedDocument(lay, state) {
  const texts = followTexts(lay, state);
  const parts = state.get().mode === "bench" ? benchParts(lay, state, texts) : wholeParts(lay, state, texts);
  texts.end();
  return h(
    "div.printed",
    { "aria-hidden": "true" },
    h("h1", { class: lay.title.length > 100 ? "long" : null }, name(lay.title)),
    ...parts,
  );
}

function benchParts(lay, state, texts) {
  return [h("p.printed-from", {}, origin(lay)), printedWork(lay, state, texts)];
}

function wholeParts(lay, state, texts) {
  return [
    h("p.printed-summary", {}, capital(lay.summary), "."),
    h("p.printed-from", {}, origin(lay)),
    pictures(lay),
    legend(lay),
    printedFindings(lay, texts),
    printedTubes(lay, texts),
    printedPassages(lay, texts),
    printedWork(lay, state, texts),
  ];
}

function origin(lay) {
  const plan = lay.plan
    ? `, routes of ${lay.plan.file}${lay.plan.stale ? ", which is stale: the scene was changed after it was made" : ""}`
    : "";
  const day = new Date().toLocaleDateString("en-CA"); // the year first, as everybody reads it the same way
  return h("span", {}, "From ", name(lay.scene), plan, `. Printed ${day}.`);
}

/** The case from all its sides, as when nothing is chosen. */
function pictures(lay) {
  return h("div.printed-pictures", {}, ...lay.views.map((view, side) => picture(lay, side, view)));
}

function picture(lay, side, view) {
  const canvas = h("canvas", { role: "img", "aria-label": view.title });
  const how = { ...SIZE, ratio: SHARP, state: BEGIN, paper: "#ffffff", text: "#000000", dark: false };
  drawOn(canvas, lay, wholeOf(lay, side, SIZE.wide / SIZE.high), how);
  return h("figure", {}, canvas, h("figcaption", {}, view.title));
}

/** What the colours mean; badges and bands are told by their forms. */
function legend(lay) {
  const rows = lay.legend.filter(({ form }) => ["tube", "lines", "hatched", "doubt"].includes(form));
  const items = rows.map(({ text, look, form }) => h("li", {}, SWATCHES[form](lay.looks[look]), text));
  return items.length ? h("ul.printed-legend", {}, ...items) : null;
}

const SWATCHES = {
  tube: ({ colour }) => swatch((ink) => filled(ink, colour)),
  lines: ({ line }) => swatch((ink) => filled(ink, line)),
  hatched: ({ line }) => swatch((ink) => filled(ink, line)),
  doubt: (look) => swatch((ink) => rimmed(ink, look), "broken"),
};

function swatch(draw, kind = null) {
  const canvas = h("canvas", { class: kind, width: 40 * SHARP, height: 12 * SHARP, "aria-hidden": "true" });
  const ink = canvas.getContext("2d");
  ink.scale(SHARP, SHARP);
  draw(ink);
  return canvas;
}

function filled(ink, colour) {
  ink.fillStyle = colour;
  ink.fillRect(0, 0, 40, 12);
}

function rimmed(ink, { colour, opacity, line, line_px: wide, dashes }) {
  ink.globalAlpha = opacity;
  filled(ink, colour);
  ink.globalAlpha = 1;
  ink.strokeStyle = line;
  ink.lineWidth = wide;
  ink.setLineDash(dashes);
  ink.strokeRect(1, 1, 38, 10);
}
