/** Moving parts pressed, held to turns worked out here. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { carry, moved, shareOf, turnAll } from "../../routeviz/views/page/src/movements.js";
import { createPress, press } from "../../routeviz/views/page/src/pressing.js";

const KEY = { kind: "hinge", at: [10, 200, 50], axis: [1, 0, 0], deg: 30 };
const near = (found, wanted, by = 1e-5) =>
  wanted.forEach((v, k) => assert.ok(Math.abs(found[k] - v) <= by, `${found}`));

function placed(rows, point) {
  const to = [0, 0, 0];
  carry(rows, point, to, 0, 3);
  return to;
}

test("at rest a part stands as it was measured", () => {
  assert.equal(moved(KEY, 0), null);
  assert.equal(moved(null, 1), null);
  assert.deepEqual(placed(null, [1, 2, 3]), [1, 2, 3]);
});

test("a hinge turns right-handed about its axis: 100 before it, at 30 degrees, sinks by 50", () => {
  near(placed(moved(KEY, 1), [7, 100, 50]), [7, 200 - 100 * Math.cos(Math.PI / 6), 0]);
  near(placed(moved(KEY, 1), [99, 200, 50]), [99, 200, 50]);
});

test("half the travel is half the angle, not half the way", () => {
  const [back, up] = [200 - 100 * Math.cos(Math.PI / 12), 50 - 100 * Math.sin(Math.PI / 12)];
  near(placed(moved(KEY, 0.5), [7, 100, 50]), [7, back, up]);
});

test("an axis need not be of unit length, and may lie aslant", () => {
  const third = moved({ kind: "hinge", at: [0, 0, 0], axis: [2, 2, 2], deg: 120 }, 1);
  near(placed(third, [1, 2, 3]), [3, 1, 2]); // a third of a turn about the diagonal changes the axes round
});

test("a slide goes straight along its axis by its share of the way", () => {
  near(placed(moved({ kind: "slide", axis: [0, 0, -2], mm: 12 }, 0.25), [1, 2, 3]), [1, 2, 0]);
});

test("directions are turned, not shifted", () => {
  const to = new Int16Array(4);
  turnAll(moved({ ...KEY, deg: 90 }, 1), Int16Array.from([0, 32767, 0, 0]), to, 0, 4);
  near(to, [0, 0, 32767], 1);
});

test("one alone is pressed, or all", () => {
  assert.deepEqual([0, 1, 2].map((k) => shareOf(k, 0.4, 1)), [0, 0.4, 0]);
  assert.deepEqual([0, 1, 2].map((k) => shareOf(k, 0.4, null)), [0.4, 0.4, 0.4]);
});

/** Two keys of one triangle and one edge each, and a board between them that stands still. */
function pressed() {
  const lay = { solids: [{ movement: KEY }, { movement: null }, { movement: KEY }] };
  const points = Float32Array.from({ length: 27 }, (_, k) => [7, 100, 50][k % 3]);
  const ranges = new Map([[0, [0, 3]], [1, [3, 3]], [2, [6, 3]]]);
  const solids = { room: { points, normals: new Int16Array(36) }, ranges };
  const ends = Float32Array.from({ length: 18 }, (_, k) => [7, 100, 50][k % 3]);
  const edges = { ends, spans: [[0, 6], [6, 6], [12, 6]] };
  return { presses: createPress(lay, solids, edges), points, ends: edges.ends };
}

test("pressing one key moves its faces and edges and leaves what stands beside it", () => {
  const { presses, points, ends } = pressed();
  assert.deepEqual(press(presses, 1, 2), [2]);
  near(points.subarray(18, 21), [7, 200 - 100 * Math.cos(Math.PI / 6), 0]);
  near(ends.subarray(12, 15), [7, 200 - 100 * Math.cos(Math.PI / 6), 0]);
  for (const k of [0, 9]) assert.deepEqual([...points.subarray(k, k + 3)], [7, 100, 50]);
});

test("what was pressed comes back exactly, however often it was pressed", () => {
  const { presses, points } = pressed();
  for (const share of [0.3, 0.7, 1, 0]) press(presses, share, null);
  assert.deepEqual([...points.subarray(0, 3)], [7, 100, 50]);
  assert.deepEqual(press(presses, 0, null), []);
});
