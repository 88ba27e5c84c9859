// The trace of a tube that is too thin to be followed.

import assert from "node:assert/strict";
import { test } from "node:test";
import { createTrace, isThin, pairsOf } from "../../routeviz/views/page/src/trace3d.js";

const TUBE = { outside: 5, points: [0, 0, 0, 10, 0, 0, 10, 20, 0] };

test("a chain of points becomes pairs that meet", () => {
  assert.deepEqual([...pairsOf(TUBE.points)], [0, 0, 0, 10, 0, 0, 10, 0, 0, 10, 20, 0]);
});

test("a tube of 5 mm is thin from where it is less than 7 pixels wide", () => {
  assert.equal(isThin(5, 715, 1000), true); // 6.99 px
  assert.equal(isThin(5, 714, 1000), false); // 7.003 px
});

test("one tube is traced at a time, on a rim that is drawn before it, and only while it is thin", () => {
  const trace = createTrace({ traceRim: {}, trace: {} });
  for (const tube of [TUBE, { outside: 9, points: [0, 0, 0, 0, 0, 9] }]) trace.show(tube);
  const [rim, line] = trace.group.children;
  assert.equal(trace.group.children.length, 2);
  assert.ok(rim.renderOrder < line.renderOrder);
  trace.face(3000, 1000);
  assert.equal(trace.group.visible, true);
  trace.face(300, 1000);
  assert.equal(trace.group.visible, false);
});

test("without a tube, or with one that has no route, nothing is traced", () => {
  const trace = createTrace({ traceRim: {}, trace: {} });
  trace.show(TUBE);
  for (const tube of [null, { outside: 5, points: null }]) {
    trace.show(tube);
    assert.equal(trace.group.children.length, 0);
  }
});
