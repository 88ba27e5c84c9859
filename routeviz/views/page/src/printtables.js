/** The printed tables of findings, tubes and passages. */

import { severityWord } from "./choosing.js";
import { badge, h, name } from "./elements.js";
import { quantity } from "./findings.js";
import { holds, plate } from "./passages.js";
import { travelled } from "./texts.js";

/**
 * A printed table: its heads come again on each page.
 * @param {string} kind a class
 * @param {string[]} heads
 * @param {Array<Array<Node|string|null>>} rows
 * @returns {HTMLElement}
 */
export function table(kind, heads, rows) {
  const head = h("tr", {}, ...heads.map((words) => h("th", { scope: "col" }, words)));
  const body = rows.map((cells) => h("tr", {}, ...cells.map((cell) => h("td", {}, cell))));
  return h(`table.${kind}`, {}, h("thead", {}, head), h("tbody", {}, ...body));
}

/**
 * What was found, worst first.
 * @param {object} lay
 * @param {object} texts
 * @returns {HTMLElement}
 */
export function printedFindings(lay, texts) {
  const rows = lay.findings.map((finding) => [
    h("span.printed-number", {}, badge(finding.severity, finding.number), severityWord(finding)),
    h("span", {}, h("b", {}, finding.rule), " ", name(finding.subject ?? ""), h("br"), texts.sentence(finding.says)),
    quantity(finding.measured, finding.unit, texts),
    quantity(finding.allowed, finding.unit, texts),
    finding.remedy ? texts.sentence(finding.remedy) : null,
    h("span", {}, ...finding.lines.flatMap((line, k) => [k ? h("br") : null, written(line, lay.scene)])),
  ]);
  const heads = ["No.", "What was found", "Measured", "Allowed", "Remedy", "Where written"];
  const none = h("p", {}, "Nothing was found: every limit is kept.");
  return h("section", {}, h("h2", {}, "Findings"), rows.length ? table("findings", heads, rows) : none);
}

/** The scene's own file stands at the top of the document: of its lines the number says enough. */
function written(place, scene) {
  return place.startsWith(`${scene}:`) ? `line ${place.slice(scene.length + 1)}` : name(place);
}

/**
 * All tubes, in their own order.
 * @param {object} lay
 * @param {object} texts
 * @returns {HTMLElement}
 */
export function printedTubes(lay, texts) {
  const kinds = [...new Set(lay.tubes.map((tube) => tube.tubing))];
  const rows = lay.tubes.map((tube) => [
    h("b", {}, name(tube.tag)),
    h("span", {}, name(tube.from), " to ", name(tube.to)),
    name(tube.through.join(", ")),
    lettered(kinds.indexOf(tube.tubing)),
    tube.length === null ? "no route" : texts.length(tube.length),
    tube.bend ? texts.fine(tube.bend.radius) : tube.length === null ? null : "straight",
    clearance(tube, texts),
    tube.numbers.join(", "),
  ]);
  const heads = ["Tag", "From, to", "Through", "Tubing", "Length", "Tightest bend", "Least clearance", "Found"];
  const legend = kinds.map((kind, k) => h("li", {}, h("b", {}, lettered(k)), " ", name(kind)));
  const shown = [h("ul.tubings", {}, ...legend), table("tubes", heads, rows)];
  return h("section", {}, h("h2", {}, "Tubes"), ...(rows.length ? shown : [h("p", {}, "There are no tubes.")]));
}

/** A, B … Z, AA, AB …: a kind of tubing is described once and meant by its letter. */
function lettered(k) {
  return (k >= 26 ? lettered(Math.floor(k / 26) - 1) : "") + String.fromCharCode(65 + (k % 26));
}

function clearance({ clearance: near }, texts) {
  if (!near) return null;
  const where = near.travel === null ? "" : `, ${travelled(near.travel)}`;
  return h("span", {}, texts.fine(near.mm), " to ", name(near.other), where);
}

/**
 * Each passage with its plate and the tubes that go through.
 * @param {object} lay
 * @param {object} texts
 * @returns {HTMLElement|null}
 */
export function printedPassages(lay, texts) {
  if (!lay.passages.length) return null;
  const entries = lay.passages.map((passage) => {
    const tags = passage.tubes.flatMap((index, k) =>
      k ? [", ", name(lay.tubes[index].tag)] : [name(lay.tubes[index].tag)],
    );
    const drawing = plate(passage); // which says what else there is to say
    const range = holds(passage);
    return h(
      "article.printed-passage",
      {},
      drawing ? null : h("h3", {}, name(passage.name)),
      drawing || !passage.says ? null : h("p", {}, texts.sentence(passage.says), "."),
      drawing || !range ? null : h("p", {}, `It holds ${range}.`),
      drawing,
      h("p", {}, h("b", {}, "Tubes: "), ...(tags.length ? tags : ["none"])),
    );
  });
  return h("section", {}, h("h2", {}, "Passages"), ...entries);
}
