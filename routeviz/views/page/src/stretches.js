/** The order of work in stretches of one run: a run that others interrupt comes again where it goes on. */

/**
 * Part steps where another run begins.
 * @param {object[]} steps as `workList` gives them, in their order
 * @returns {{run: object, stage: string|null, goesOn: boolean, steps: object[]}[]} `goesOn` where the run was begun
 *   before
 */
export function stretches(steps) {
  const begun = new Set();
  const found = [];
  for (const step of steps) {
    const { run, stage } = step;
    const last = found.at(-1);
    if (last?.run.number === run.number && last.stage === stage) last.steps.push(step);
    else found.push({ run, stage, goesOn: begun.has(run.number), steps: [step] });
    begun.add(run.number);
  }
  return found;
}
