// What is chosen, and what the page shows and says of it.

import assert from "node:assert/strict";
import { test } from "node:test";

import { stepFinding, toggle } from "../../routeviz/views/page/src/choosing.js";
import { back, moved } from "../../routeviz/views/page/src/keys.js";
import { measuredSays, takeEnd } from "../../routeviz/views/page/src/measure_controls.js";
import { holds } from "../../routeviz/views/page/src/passages.js";
import { cutThrough, lookOf, patchAfter, patchFor, viewFor } from "../../routeviz/views/page/src/staging.js";
import { createState } from "../../routeviz/views/page/src/state.js";
import { planSays } from "../../routeviz/views/page/src/summary.js";
import { counted, travelled, typeset } from "../../routeviz/views/page/src/texts.js";

const plain = (text) => text.replaceAll("\u00a0", " ");
const NOWHERE = { eye: null, target: null, up: null, height: null };
const finding = (more) => ({ tubes: [1], faded: ["lid"], moved: null, ...NOWHERE, ...more });
const FLOOR = { name: "slot", tubes: [0], middle: [10, 20, 600], right: [1, 0, 0], up: [0, 1, 0], size: [10, 16] };
const FRONT = { ...FLOOR, up: [0, 0, 1] };
const LAY = {
  findings: [
    finding({ moved: [1, 0.62], eye: [1, 2, 3.25], target: [0, 0, 0], up: [0, 0, 1], height: 80 }),
    finding({}),
  ],
  tubes: [{ name: "a" }, { name: "b" }],
  solids: [{ name: "lid" }, { name: "key 1" }],
  nipples: [{ name: "bar 1" }],
  spaces: [{ name: "room for the hand" }],
  passages: [FLOOR],
  parts: [
    { name: "lid", solids: [0], spaces: [], nipples: [] },
    { name: "bar", solids: [], spaces: [], nipples: [0] },
    { name: "room", solids: [], spaces: [0], nipples: [] },
  ],
};
const chose = (kind, index) => createState({ chosen: { kind, index } }).get();

test("next and previous go round all findings", () => {
  const state = createState();
  const visited = [1, 1, 1, -1].map((by) => (stepFinding(LAY, state, by), state.get().chosen.index));
  assert.deepEqual(visited, [0, 1, 0, 1]);
});

test("before the first finding comes the last", () => {
  const state = createState();
  stepFinding(LAY, state, -1);
  assert.equal(state.get().chosen.index, 1);
});

test("where nothing was found, next does nothing", () => {
  const state = createState();
  stepFinding({ ...LAY, findings: [] }, state, 1);
  assert.equal(state.get().chosen, null);
});

test("a tube that is touched again is chosen no more", () => {
  const state = createState();
  toggle(state, "tube", 1);
  assert.deepEqual(state.get().chosen, { kind: "tube", index: 1 });
  assert.equal(state.get().mode, "tubes");
  toggle(state, "tube", 1);
  assert.equal(state.get().chosen, null);
});

test("a finding moves the key to where it happens, and one that needs none lets go", () => {
  assert.deepEqual(patchFor(LAY, { kind: "finding", index: 0 }).press, { share: 0.62, only: 1 });
  assert.deepEqual(patchFor(LAY, { kind: "finding", index: 1 }).press, { share: 0, only: null });
});

test("what a choice pressed or cut ends with it, unless somebody has touched it since", () => {
  const state = createState({ chosen: { kind: "finding", index: 0 } });
  const given = patchAfter(LAY, state.get(), {});
  state.set({ ...given, chosen: { kind: "passage", index: 0 } });
  const next = patchAfter(LAY, state.get(), given);
  assert.deepEqual(next.press, { share: 0, only: null });
  assert.equal(next.cut.axis, 2);
  state.set({ ...next, chosen: null });
  assert.equal(patchAfter(LAY, state.get(), next).cut, null);
  state.set({ cut: { ...next.cut, at: 500 } });
  assert.ok(!("cut" in patchAfter(LAY, state.get(), next)));
});

const WHOLE = { title: "Overview", eye: [0, -9, 0], target: [0, 0, 0], up: [0, 0, 1], height: 5 };

test("a finding is looked at from its own eye point, one without a place from where all is seen", () => {
  assert.deepEqual(viewFor(LAY, { kind: "finding", index: 0 }).eye, [1, 2, 3.25]);
  assert.equal(viewFor({ ...LAY, views: [WHOLE] }, { kind: "finding", index: 1 }), WHOLE);
});

test("a finding fades what hides it and lights its tubes", () => {
  const look = lookOf(LAY, chose("finding", 0));
  assert.deepEqual([...look.faded], ["lid"]);
  assert.deepEqual([...look.lit], [1]);
});

test("a part fades or goes with its solids, its nipples and what is to be kept clear", () => {
  const look = lookOf(LAY, createState({ parts: { lid: "hidden", bar: "faded", room: "hidden" } }).get());
  assert.deepEqual([[...look.hidden], [...look.faded]], [["lid", "room for the hand"], ["bar 1"]]);
  assert.equal(look.lit, null);
});

test("at the bench the tubes that are in are lit, and the next is chosen", () => {
  const look = lookOf(LAY, createState({ mode: "bench", laid: new Set([0]), now: 1 }).get());
  assert.deepEqual([...look.lit], [0, 1]);
  assert.deepEqual([look.chosen.kind, look.chosen.name], ["tube", "b"]);
});

test("a passage is cut across, and what lies between it and the eye is taken away", () => {
  assert.deepEqual(cutThrough(FLOOR), { axis: 2, at: 600, keep: -1 });
  assert.deepEqual(cutThrough(FRONT), { axis: 1, at: 20, keep: 1 });
  const { eye, target, up } = viewFor({ ...LAY, passages: [FRONT] }, { kind: "passage", index: 0 });
  assert.deepEqual(target, [10, 20, 600]);
  assert.deepEqual(up, [0, 0, 1]);
  assert.ok(eye[1] < 20, "the eye is on the player's side, which is taken away");
});

test("what a passage holds is a range, unless it is known", () => {
  assert.equal(holds({ holds: [50, 58] }), "50 for certain, 58 at the very most");
  assert.equal(holds({ holds: [7, 7] }), "7");
  assert.equal(holds({ holds: null }), null);
});

test("two points are so far apart, and so far each way", () => {
  const says = plain(measuredSays([[0, 0, 0], [30, -40, 0]], "mm"));
  assert.equal(says, "50.0 mm apart: 30.0 mm to the right, 40.0 mm forward.");
  assert.equal(plain(measuredSays([[1, 1, 1], [1, 1, 1]], "mm")), "0.0 mm apart.");
});

test("a third point begins another measurement", () => {
  const state = createState();
  [[1, 0, 0], [2, 0, 0], [3, 0, 0]].forEach((point) => takeEnd(state, point));
  assert.deepEqual(state.get().ends, [[3, 0, 0]]);
});

test("Escape ends measuring first, then the choice, then the cut", () => {
  const state = createState({ measuring: true, chosen: { kind: "tube", index: 0 }, cut: { axis: 0, at: 1, keep: 1 } });
  const left = () => ["measuring", "chosen", "cut"].filter((key) => state.get()[key]);
  const steps = [1, 2, 3].map(() => (back(state), left()));
  assert.deepEqual(steps, [["chosen", "cut"], ["cut"], []]);
});

test("arrows turn the case, with Shift they move it, and other keys are left to others", () => {
  const steps = [];
  const stage = { step: (...step) => steps.push(step[2]), home: () => steps.push("home") };
  const keys = [{ key: "ArrowLeft" }, { key: "ArrowUp", shiftKey: true }, { key: "+" }, { key: "Home" }, { key: "x" }];
  assert.deepEqual(keys.map((key) => moved(key, stage)), [true, true, true, true, false]);
  assert.deepEqual(steps, ["orbit", "pan", "zoom", "home"]);
});

test("how the lay stands with its plan is one plain sentence", () => {
  const tubes = [{ points: [1] }, { points: null }, { points: [1] }];
  assert.match(planSays({ plan: null, tubes: [] }), /no tubes/);
  assert.match(planSays({ plan: null, tubes }), /no plan.* 1 tube has no route/);
  assert.match(planSays({ plan: { stale: true, laid: 2 }, tubes }), /stale.* 2 tubes of 3/);
  assert.match(planSays({ plan: { stale: false, laid: 1 }, tubes }), /^1 tube lies as planned/);
});

test("travel and numbers are said in words", () => {
  const said = [0, 0.004, 0.625, 1].map((share) => plain(travelled(share)));
  assert.deepEqual(said, ["at rest", "at rest", "at 63 % of its travel", "at full travel"]);
  assert.deepEqual([0, 1, 2].map((many) => counted(many, "tube")), ["no tubes", "1 tube", "2 tubes"]);
});

test("ranges and what is quoted are set as in print, and nothing else", () => {
  assert.equal(typeset("bar 1..4, 74..76 through shelf"), "bar 1–4, 74–76 through shelf");
  assert.equal(typeset("draw `corners`, or give `measured` points"), "draw “corners”, or give “measured” points");
  assert.equal(typeset("and so on ... 0.5 mm"), "and so on ... 0.5 mm");
});
