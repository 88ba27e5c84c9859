/** The printed order of work: under the runs, each tube with a box to tick. */

import { asideList, bothLengths, heeded } from "./benchcards.js";
import { h, name } from "./elements.js";
import { table } from "./printtables.js";
import { stretches } from "./stretches.js";
import { capital, counted } from "./texts.js";
import { firstEnd, workList } from "./worklist.js";

const HEADS = ["Laid", "Tag", "This end first", "Then", "Through", "Over, under; look out", "Length"];

/**
 * The order of work, with the cautions before it.
 * @param {object} lay
 * @param {object} state those that are laid are ticked
 * @param {object} texts
 * @returns {HTMLElement}
 */
export function printedWork(lay, state, texts) {
  const { steps, aside } = workList(lay);
  const { laid } = state.get();
  return h(
    "section.printed-work",
    {},
    h("h2", {}, "Order of work"),
    heeded(lay, texts),
    ...stretches(steps).map((some) => runTable(lay, some, laid, texts)),
    steps.length ? null : h("p", {}, "There is no order of work."),
    asideList(lay, { aside }, texts),
  );
}

function runTable(lay, { run: about, stage, goesOn, steps }, laid, texts) {
  const { of } = steps[0].place;
  const here = steps.length < of ? `${steps.length} of ` : "";
  const words = [`run ${about.number} of ${about.of}`, `${here}${counted(of, "tube")}`];
  if (goesOn) words.splice(1, 0, "continued");
  if (stage) words.unshift(`Stage “${stage}”`);
  const title = h("h3", {}, capital(words.join(", ")), about.says ? ": " : null, texts.sentence(about.says));
  return h(
    "div.printed-run",
    {},
    title,
    table(
      "work",
      HEADS,
      steps.map((step) => row(lay, step, laid.has(step.tube), texts)),
    ),
  );
}

function row(lay, { tube: index, entry }, isLaid, texts) {
  const tube = lay.tubes[index];
  const first = firstEnd(tube, entry);
  const notes = [...entry.passes, ...entry.look_out].map((words) => h("li", {}, texts.sentence(words)));
  return [
    h("span.printed-box", {}, isLaid ? "✓" : ""),
    h("b", {}, name(tube.tag)),
    name(first.end),
    name(first.other),
    name(entry.through.join(", then ")),
    notes.length ? h("ul", {}, ...notes) : null,
    entry.length === null
      ? null
      : texts.shown((unit) => bothLengths(entry.length, unit).flatMap((words, k) => (k ? [h("br"), words] : [words]))),
  ];
}
