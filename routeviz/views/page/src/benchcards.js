// What the bench shows, one sheet at a time: the cautions, a tube, the list of all tubes, the end.

import { h, name } from "./elements.js";
import { bound, length } from "./lengths.js";
import { stretches } from "./stretches.js";
import { capital, counted, typeset } from "./texts.js";
import { firstEnd } from "./worklist.js";

/**
 * The length to expect in both units, the chosen one first: millimetres whole and rounded up, as a tube that is cut
 * too long can be mended, and inches to the nearest sixteenth.
 * @param {number} mm
 * @param {"mm"|"in"} unit
 * @returns {[string, string]}
 */
export function bothLengths(mm, unit) {
  const said = [`${Math.ceil(mm - 1e-6)}\u00a0mm`, length(mm, "in")];
  return unit === "in" ? said.reverse() : said;
}

/**
 * Where a tube stands in the work.
 * @param {object} step
 * @returns {string} "Run 3 of 9, tube 4 of 12"
 */
export function whereabouts(step) {
  const where = `run ${step.run.number} of ${step.run.of}, tube ${step.place.number} of ${step.place.of}`;
  return step.stage ? `Stage “${step.stage}”: ${where}` : capital(where);
}

/**
 * What a screen reader says of a tube.
 * @param {object} tube
 * @param {object} step
 * @param {"mm"|"in"} unit
 * @returns {string}
 */
export function spoken(tube, step, unit) {
  const parts = [
    `Tube ${tube.tag}, from ${tube.from} to ${tube.to}`,
    `${firstEnd(tube, step.entry).end} first`,
    ...(step.entry.through.length ? [`through ${step.entry.through.join(", then ")}`] : []),
    ...step.entry.passes,
    ...(step.entry.length === null ? [] : [bothLengths(step.entry.length, unit)[0]]),
    whereabouts(step),
  ];
  return `${parts.join("; ")}.${step.entry.look_out.length ? ` Look out: ${step.entry.look_out.join("; ")}.` : ""}`;
}

/**
 * A tube, as it is laid.
 * @param {object} lay
 * @param {object} step
 * @param {boolean} isLaid
 * @param {object} texts as `followTexts` gives them
 * @param {function(): void} untick
 * @returns {HTMLElement}
 */
export function tubeCard(lay, step, isLaid, texts, untick) {
  const tube = lay.tubes[step.tube];
  const { entry } = step;
  const first = firstEnd(tube, entry);
  return h(
    "article.bench-tube",
    {},
    step.run.says ? h("p.bench-run", {}, texts.sentence(step.run.says)) : null,
    h(
      "div.bench-title",
      {},
      h("h2", { class: size(tube.tag) }, h("span.unseen", {}, "Tube "), name(tube.tag)),
      tube.name === tube.tag ? null : h("p", {}, name(tube.name)),
      tube.label ? h("p", {}, "label ", name(tube.label)) : null,
      isLaid ? h("p.bench-laid", {}, "laid") : null,
      isLaid ? h("button", { onclick: untick }, "Take the tick off") : null,
    ),
    h(
      "dl.bench-ends",
      {},
      endRow("From", tube.from, first.isFrom && first, texts),
      endRow("To", tube.to, !first.isFrom && first, texts),
    ),
    entry.length === null ? null : lengthRow(entry.length, texts),
    h("dl.bench-facts", {}, throughRow(entry)),
    lookOut(entry, texts),
    h("dl.bench-facts", {}, passesRow(entry, texts), fact("Tubing", tubingWords(tube, texts))),
  );
}

/** A tag is a number, mostly; what is longer is set smaller, so that it leaves room for the rest. */
function size(tag) {
  if (tag.length <= 8) return null;
  return tag.length <= 40 ? "long" : "longest";
}

function endRow(term, end, first, texts) {
  if (!first) return h("div", {}, h("dt", {}, term), h("dd", {}, name(end)));
  const why = first.why ? h("p.bench-why", {}, texts.sentence(first.why)) : null;
  const mark = h("span.bench-first", {}, "this end first");
  return h("div.first", {}, h("dt", {}, term), h("dd", {}, name(end), mark, why));
}

function lengthRow(mm, texts) {
  const row = texts.shown((unit) => {
    const [first, second] = bothLengths(mm, unit);
    return [h("strong", {}, first), h("span", {}, second)];
  });
  return h("p.bench-length", {}, h("span.bench-term", {}, "Length"), row);
}

function fact(term, ...inside) {
  return h("div", {}, h("dt", {}, term), h("dd", {}, ...inside));
}

function throughRow(entry) {
  if (!entry.through.length) return fact("Through", "no passage");
  return fact("Through", ...entry.through.flatMap((passage, k) => (k ? [", then ", name(passage)] : [name(passage)])));
}

function passesRow(entry, texts) {
  if (!entry.passes.length) return null;
  return fact("Lies", h("ul", {}, ...entry.passes.map((words) => h("li", {}, texts.sentence(words)))));
}

function tubingWords(tube, texts) {
  return [name(bound(tube.tubing)), ", outside ", texts.fine(tube.outside), `, ${tube.carries}`];
}

function lookOut(entry, texts) {
  if (!entry.look_out.length) return null;
  const rows = entry.look_out.map((words) => h("li", {}, texts.sentence(words)));
  return h("section.bench-look-out", {}, h("h3", {}, "Look out"), h("ul", {}, ...rows));
}

/**
 * What to heed before the first tube.
 * @param {object} lay
 * @param {object} course
 * @param {object} texts
 * @returns {HTMLElement}
 */
export function cautionsCard(lay, course, texts) {
  const work = course.steps.length
    ? `${counted(course.steps.length, "tube")} to lay, ${counted(course.laidCount(), "tube")} laid.`
    : "There is no order of work.";
  return h(
    "article.bench-cautions",
    {},
    h("p", {}, name(lay.title)),
    h("h2", {}, "Before you begin"),
    h("p", {}, work),
    heeded(lay, texts),
    course.steps.length ? null : asideList(lay, course, texts),
  );
}

/**
 * What is to be heeded: first what is amiss with this lay, then what holds in every case.
 * @param {object} lay
 * @param {object} texts
 * @returns {HTMLElement}
 */
export function heeded(lay, texts) {
  const all = [...lay.cautions, ...lay.safety];
  return h("ul.heeded", {}, ...all.map((words) => h("li", {}, texts.sentence(words), ".")));
}

/**
 * What is left when all is laid.
 * @param {object} lay
 * @param {object} course
 * @param {object} texts
 * @returns {HTMLElement}
 */
export function endCard(lay, course, texts) {
  const count = course.steps.length;
  const all = count === 1 ? "The one tube of the order of work is laid." : `All ${count} tubes are laid.`;
  return h("article.bench-end", {}, h("h2", {}, "Laid"), h("p", {}, all), asideList(lay, course, texts));
}

/**
 * Tubes that cannot be laid by this page, each with the reason.
 * @param {object} lay
 * @param {object} course
 * @param {object} texts
 * @returns {HTMLElement|null}
 */
export function asideList(lay, course, texts) {
  if (!course.aside.length) return null;
  const rows = course.aside.map(({ tube, why }) =>
    h(
      "li",
      {},
      h("strong", {}, name(lay.tubes[tube].tag)),
      " ",
      ends(lay.tubes[tube]),
      h("p", {}, texts.sentence(why)),
    ),
  );
  const title = `${capital(counted(course.aside.length, "tube"))} not in the order of work`;
  return h("section.bench-aside", {}, h("h3", {}, title), h("ul", {}, ...rows));
}

/**
 * The tubes in their order, under the runs that they belong to, each a button that goes there.
 * @param {object} lay
 * @param {object} course
 * @param {number[]} places which of them
 * @param {function(number): void} go
 * @returns {HTMLElement}
 */
export function orderList(lay, course, places, go) {
  const laid = course.laid();
  const placeOf = new Map(places.map((place) => [course.steps[place], place]));
  const row = (step) => {
    const place = placeOf.get(step);
    return orderRow(lay, step, laid.has(step.tube), place === course.at(), () => go(place));
  };
  const groups = stretches([...placeOf.keys()]).map(({ run, stage, goesOn, steps }) => {
    const words = `${stage ? `Stage “${stage}”, run` : "Run"} ${run.number}${goesOn ? ", continued" : ""}`;
    const title = typeset([words, run.says].filter(Boolean).join(": "));
    return h("section", {}, h("h3", {}, title), h("ol", {}, ...steps.map(row)));
  });
  return h("div.bench-order", {}, ...(groups.length ? groups : [h("p", {}, "No tube answers to that.")]));
}

function orderRow(lay, step, isLaid, isHere, go) {
  const tube = lay.tubes[step.tube];
  const button = h(
    "button",
    { onclick: go, "aria-current": isHere ? "step" : null },
    h(isLaid ? "span.bench-box.ticked" : "span.bench-box", { "aria-hidden": "true" }, isLaid ? "✓" : ""),
    h("span.unseen", {}, isLaid ? "Laid: " : "To lay: "),
    h("strong", {}, name(tube.tag)),
    ends(tube),
  );
  return h("li", {}, button);
}

function ends(tube) {
  return h("span.bench-between", {}, name(tube.from), " to ", name(tube.to));
}
