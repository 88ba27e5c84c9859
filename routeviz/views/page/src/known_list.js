/** How the values of a thing are known: a line for what is said of each, with who says so behind it. */

import { h, name, terms } from "./elements.js";
import { headOf } from "./known.js";
import { capital } from "./texts.js";

/**
 * Show what is said of a thing's values.
 * @param {object[]} known of the part or tube
 * @param {object} page lay, texts
 * @returns {HTMLElement[]} one for each that something is said of
 */
export function knownLines(known, page) {
  return known.map((said) => line(said, page));
}

function line(said, { lay, texts }) {
  return h(
    "details.known",
    {},
    h("summary", {}, texts.sentence(headOf(lay, said))),
    terms([
      ["Status", [said.status, lay.signs.doubts[said.status]?.says].filter(Boolean).join(": ")],
      ["Of", said.values.length ? said.values.join("; ") : "all its values"],
      ["Why", said.why && texts.sentence(said.why)],
      ["Source", said.source && texts.sentence(said.source)],
      ...whoSays(said, texts),
    ]),
  );
}

/**
 * Say what holds where nothing else is told.
 * @param {object} page lay, texts
 * @returns {HTMLElement|null}
 */
export function knownOtherwise({ lay, texts }) {
  if (!lay.known?.status) return null;
  const rest = whoSays(lay.known, texts).flatMap(([term, value]) => (value ? [`, ${term.toLowerCase()} `, value] : []));
  return h("p.plain", {}, `${capital(lay.known.status)}, where nothing else is told`, ...rest, ".");
}

function whoSays(said, texts) {
  return [
    ["With", said.with && name(said.with)],
    ["Within", said.spread === undefined ? null : texts.fine(said.spread)],
    ["By", said.by && name(said.by)],
    ["On", said.on],
  ];
}
