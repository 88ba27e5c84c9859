// Where the work at the bench stands: which tube is next, what was ticked last, and how to take it back.

import { nextOpen, workList } from "./worklist.js";

const KEPT = 200; // actions that can be taken back

/**
 * Follow the order of work of a lay.
 * @param {object} lay the page's data
 * @param {object} ticks as `openTicks` gives them
 * @returns {object} what is there (`steps`, `aside`, `at()`, `step()`, `laid()`, `last()`) and what can be done
 *   (`done()`, `untick()`, `take(indexes, says)`, `undo()`, `back()`, `ahead()`, `go(place)`)
 */
export function createCourse(lay, ticks) {
  const { steps, aside } = workList(lay);
  const past = [];
  let at = nextOpen(steps, ticks.all(), -1);

  function remember(says) {
    past.push({ laid: ticks.all(), at, says });
    if (past.length > KEPT) past.shift();
  }

  function tick(isLaid, says) {
    remember(says);
    ticks.set(steps[at].tube, isLaid);
  }

  const tag = () => lay.tubes[steps[at].tube].tag;
  return {
    steps,
    aside,
    at: () => at,
    step: () => (at === null ? null : steps[at]),
    laid: () => ticks.all(),
    laidCount: () => steps.filter((step) => ticks.has(step.tube)).length,
    last: () => past.at(-1)?.says ?? null,
    done() {
      if (at === null) return;
      if (!ticks.has(steps[at].tube)) tick(true, `tube ${tag()} ticked`);
      at = nextOpen(steps, ticks.all(), at);
    },
    untick() {
      if (at !== null && ticks.has(steps[at].tube)) tick(false, `tick taken off tube ${tag()}`);
    },
    take(indexes, says) {
      remember(says);
      ticks.replace(indexes);
      at = nextOpen(steps, ticks.all(), -1);
    },
    undo() {
      const before = past.pop();
      if (!before) return;
      ticks.replace(before.laid);
      at = before.at;
    },
    back() {
      if (steps.length) at = Math.max(0, (at ?? steps.length) - 1);
    },
    ahead() {
      if (at !== null) at = at + 1 < steps.length ? at + 1 : nextOpen(steps, ticks.all(), -1) === null ? null : at;
    },
    go(place) {
      if (steps[place]) at = place;
    },
  };
}
