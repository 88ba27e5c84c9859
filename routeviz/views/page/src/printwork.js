/** The printed order of work: run by run, each tube with a box to tick. */

import { asideList, bothLengths, heeded } from "./benchcards.js";
import { h, name } from "./elements.js";
import { table } from "./printtables.js";
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
  const runs = [...new Set(steps.map((step) => step.run.number))].map((number) =>
    steps.filter((step) => step.run.number === number),
  );
  return h(
    "section.printed-work",
    {},
    h("h2", {}, "Order of work"),
    heeded(lay, texts),
    ...(steps.length ? runs.map((run) => runTable(lay, run, laid, texts)) : [h("p", {}, "There is no order of work.")]),
    asideList(lay, { aside }, texts),
  );
}

function runTable(lay, run, laid, texts) {
  const [{ stage, run: about }] = run;
  const words = [`run ${about.number} of ${about.of}`, counted(run.length, "tube")];
  if (stage) words.unshift(`Stage “${stage}”`);
  const title = h("h3", {}, capital(words.join(", ")), about.says ? ": " : null, texts.sentence(about.says));
  return h(
    "div.printed-run",
    {},
    title,
    table(
      "work",
      HEADS,
      run.map((step) => row(lay, step, laid.has(step.tube), texts)),
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
