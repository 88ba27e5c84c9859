// The bench: the order of work, ticking and taking back, what is said of a tube, and a screen that stays on.

import assert from "node:assert/strict";
import { test } from "node:test";

import { stayAwake } from "../../routeviz/views/page/src/awake.js";
import { bothLengths, spoken, whereabouts } from "../../routeviz/views/page/src/benchcards.js";
import { createCourse } from "../../routeviz/views/page/src/course.js";
import { searchOf } from "../../routeviz/views/page/src/searching.js";
import { stretches } from "../../routeviz/views/page/src/stretches.js";
import { openTicks } from "../../routeviz/views/page/src/ticks.js";
import { firstEnd, nextOpen, placesNamed, workList } from "../../routeviz/views/page/src/worklist.js";

const tube = (k, more = {}) => ({
  name: `bar ${k}`,
  tag: `T${k}`,
  from: `bar ${k}`,
  to: `stack ${k}`,
  through: [],
  tubing: "gum",
  carries: "signal",
  points: [0, 0, 0, 0, 0, 100],
  ...more,
});
const entry = (tube, run, more = {}) => ({
  tube,
  run,
  stage: null,
  first_end: `bar ${tube}`,
  at_start: true,
  passes: [],
  through: [],
  length: 100,
  look_out: [],
  ...more,
});
const layOf = (tubes, work, more = {}) => ({
  title: "A small case",
  tubes,
  work,
  findings: [],
  cautions: [],
  runs: [{ says: "first run" }, { says: "second run" }],
  ...more,
});
const FIVE = () =>
  layOf(
    [0, 1, 2, 3, 4].map((k) => tube(k)),
    [entry(2, 0), entry(0, 0), entry(4, 1), entry(1, 1), entry(3, 1)],
  );
const courseOf = (lay) => createCourse(lay, openTicks(lay, null));

test("tubes come in the order of work, each with its run and its place in it", () => {
  const { steps } = workList(FIVE());
  assert.deepEqual(
    steps.map((step) => step.tube),
    [2, 0, 4, 1, 3],
  );
  assert.deepEqual(steps.map(whereabouts), [
    "Run 1 of 2, tube 1 of 2",
    "Run 1 of 2, tube 2 of 2",
    "Run 2 of 2, tube 1 of 3",
    "Run 2 of 2, tube 2 of 3",
    "Run 2 of 2, tube 3 of 3",
  ]);
  assert.equal(steps[2].run.says, "second run");
});

test("runs are counted stage by stage", () => {
  const lay = FIVE();
  lay.work = [
    entry(2, 0, { stage: "bench" }),
    entry(4, 1, { stage: "bench" }),
    entry(0, 0, { stage: "case" }),
    entry(3, 0, { stage: "case" }),
  ];
  const { steps } = workList(lay);
  assert.deepEqual(
    steps.map((step) => step.tube),
    [2, 4, 0, 3],
  );
  assert.deepEqual(steps.map(whereabouts), [
    "Stage “bench”: run 1 of 3, tube 1 of 1",
    "Stage “bench”: run 2 of 3, tube 1 of 1",
    "Stage “case”: run 3 of 3, tube 1 of 2",
    "Stage “case”: run 3 of 3, tube 2 of 2",
  ]);
});

test("a tube without a route stands apart, with the reason", () => {
  const lay = FIVE();
  lay.tubes[4].points = null;
  lay.tubes[1].points = null;
  lay.findings = [{ rule: "no_way", tubes: [1], says: "no way past the shelf" }];
  const { steps, aside } = workList(lay);
  assert.deepEqual(
    steps.map((step) => step.tube),
    [2, 0, 3],
  );
  assert.equal(aside.length, 2);
  assert.deepEqual(aside[0], { tube: 1, why: "no way past the shelf" });
  assert.match(aside[1].why, /no route/);
});

test("a tube that stays as it lies stands apart, with the reason, though its route is known", () => {
  const lay = FIVE();
  lay.tubes[4].left = "stays as it lies: old lead";
  lay.work = lay.work.filter((one) => one.tube !== 4);
  const { steps, aside } = workList(lay);
  assert.ok(steps.every((step) => step.tube !== 4));
  assert.deepEqual(aside, [{ tube: 4, why: "stays as it lies: old lead" }]);
});

test("every tube is either a step or aside, and never both", () => {
  const lay = FIVE();
  lay.tubes[0].points = null;
  const { steps, aside } = workList(lay);
  const all = [...steps, ...aside].map((one) => one.tube).sort();
  assert.deepEqual(all, [0, 1, 2, 3, 4]);
});

test("which end goes on first is told by its name, with the reason", () => {
  const one = tube(3);
  const end = (at_start, first_end) => firstEnd(one, { at_start, first_end });
  assert.deepEqual(end(true, "bar 3: so"), { end: "bar 3", other: "stack 3", isFrom: true, why: "so" });
  assert.deepEqual(end(false, "stack 3: it lies farther off"), {
    end: "stack 3",
    other: "bar 3",
    isFrom: false,
    why: "it lies farther off",
  });
  const loose = { from: "loose", to: "loose" };
  assert.equal(firstEnd(loose, { at_start: true, first_end: "its loose end: so" }).why, "its loose end: so");
});

test("the next open tube is the one after this, then the first that was left", () => {
  const { steps } = workList(FIVE());
  assert.equal(nextOpen(steps, new Set(), -1), 0);
  assert.equal(nextOpen(steps, new Set([2, 4]), 0), 1);
  assert.equal(nextOpen(steps, new Set([0, 4, 1, 3]), 4), 0);
  assert.equal(nextOpen(steps, new Set([0, 1, 2, 3, 4]), 2), null);
  assert.equal(nextOpen([], new Set(), -1), null);
});

test("done ticks a tube and goes on; a tube left for later comes back at the end", () => {
  const course = courseOf(FIVE());
  course.ahead();
  const seen = [];
  while (course.step()) {
    seen.push(course.step().tube);
    course.done();
  }
  assert.deepEqual(seen, [0, 4, 1, 3, 2]);
  assert.equal(course.laidCount(), 5);
});

test("a wrong tick is taken back, and the same tube is there again", () => {
  const course = courseOf(FIVE());
  course.done();
  course.done();
  assert.equal(course.last(), "tube T0 ticked");
  course.undo();
  assert.equal(course.step().tube, 0);
  assert.deepEqual([...course.laid()], [2]);
  course.undo();
  assert.deepEqual([...course.laid()], []);
  assert.equal(course.last(), null);
  course.undo();
  assert.equal(course.step().tube, 2);
});

test("a tick of long ago is taken off where it stands", () => {
  const course = courseOf(FIVE());
  course.done();
  course.done();
  course.back();
  course.back();
  assert.equal(course.step().tube, 2);
  course.untick();
  assert.deepEqual([...course.laid()], [0]);
  assert.equal(course.step().tube, 2);
});

test("done on a tube that is laid ticks nothing and goes on to one that is not", () => {
  const course = courseOf(FIVE());
  course.done();
  course.back();
  course.done();
  assert.deepEqual([...course.laid()], [2]);
  assert.equal(course.step().tube, 0);
});

test("back and ahead stop at the ends, and ahead of the last one is the end only when all is laid", () => {
  const course = courseOf(FIVE());
  course.back();
  assert.equal(course.at(), 0);
  course.go(4);
  course.ahead();
  assert.equal(course.at(), 4);
  course.take([0, 1, 2, 3, 4], "read");
  assert.equal(course.step(), null);
  course.back();
  assert.equal(course.at(), 4);
  course.ahead();
  assert.equal(course.step(), null);
});

test("ticks read from a file can be had back as they were", () => {
  const course = courseOf(FIVE());
  course.done();
  course.take([3, 4], "2 ticks read.");
  assert.equal(course.last(), "2 ticks read.");
  course.undo();
  assert.deepEqual([...course.laid()], [2]);
});

test("an empty order of work has no step and takes no harm", () => {
  const course = courseOf(layOf([tube(0, { points: null })], [], { plan: null }));
  for (const act of ["done", "untick", "undo", "back", "ahead"]) course[act]();
  assert.equal(course.step(), null);
  assert.equal(course.aside.length, 1);
});

test("a tag asks for its own tube, other words for all that have them", () => {
  const lay = layOf(
    [tube(1, { tag: "12" }), tube(2, { tag: "1" }), tube(12, { tag: "4" })],
    [entry(0, 0), entry(1, 0), entry(2, 0)],
  );
  const { steps } = workList(lay);
  const asked = (words) => placesNamed(steps, lay.tubes, words, searchOf(lay.tubes));
  assert.deepEqual(asked("12"), [0]);
  assert.deepEqual(asked(" 1 "), [1]);
  assert.deepEqual(asked("stack 12"), [2]);
  assert.deepEqual(asked("stack"), [0, 1, 2]);
  assert.deepEqual(asked(""), [0, 1, 2]);
  assert.deepEqual(asked("nowhere"), []);
});

// 25.4 mm an inch (international agreement, 1959): 412.75 mm = 16 1/4 in; 411.2 / 25.4 x 16 = 259.02, so 16 3/16.
test("a length is said in both units, the chosen one first", () => {
  assert.deepEqual(bothLengths(412.75, "mm"), ["413\u00a0mm", "16\u00a01/4\u00a0in"]);
  assert.deepEqual(bothLengths(412.75, "in"), ["16\u00a01/4\u00a0in", "413\u00a0mm"]);
  assert.deepEqual(bothLengths(411.2, "mm"), ["412\u00a0mm", "16\u00a03/16\u00a0in"]);
  assert.deepEqual(bothLengths(254, "in"), ["10\u00a0in", "254\u00a0mm"]);
});

test("millimetres are rounded up, so that no tube is cut too short, and whole ones stay", () => {
  for (const [mm, said] of [
    [300, 300],
    [300.0000001, 300],
    [300.1, 301],
    [300.9, 301],
    [0.2, 1],
  ]) {
    assert.equal(bothLengths(mm, "mm")[0], `${said}\u00a0mm`);
  }
});

test("a screen reader hears the whole tube in one go", () => {
  const lay = FIVE();
  lay.work[0] = entry(2, 0, {
    passes: ["over T1"],
    through: ["shelf bass", "gap"],
    look_out: ["hold tube T1 aside", "bend near its limit"],
  });
  const [step] = workList(lay).steps;
  assert.equal(
    spoken(lay.tubes[2], step, "mm"),
    "Tube T2, from bar 2 to stack 2; bar 2 first; through shelf bass, then gap; over T1; 100\u00a0mm; " +
      "Run 1 of 2, tube 1 of 2. Look out: hold tube T1 aside; bend near its limit.",
  );
});

function aPage() {
  const heard = [];
  return {
    visibilityState: "visible",
    addEventListener: (_, f) => heard.push(f),
    shown: () => Promise.all(heard.map((f) => f())),
  };
}

test("the screen stays on while the bench is used, again after the page was hidden, and no longer", async () => {
  const locks = [];
  const request = async () => {
    const lock = { released: false, release: async () => void (lock.released = true) };
    locks.push(lock);
    return lock;
  };
  const page = aPage();
  const awake = stayAwake({ wakeLock: { request } }, page);
  awake(true);
  await page.shown();
  assert.equal(locks.length, 1);
  locks[0].released = true;
  await page.shown();
  assert.equal(locks.length, 2);
  awake(false);
  await page.shown();
  assert.equal(locks[1].released, true);
});

test("where the screen cannot be kept on, nothing is said and nothing breaks", async () => {
  for (const device of [
    {},
    {
      wakeLock: {
        request: async () => {
          throw new Error("NotAllowedError");
        },
      },
    },
  ]) {
    const page = aPage();
    stayAwake(device, page)(true);
    await page.shown();
  }
});
