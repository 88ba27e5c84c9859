/** A rounded polyline, held to circles and tangents worked out here. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { centreline } from "../../routeviz/views/page/src/centreline.js";

const triples = (numbers) => Array.from({ length: numbers.length / 3 }, (_, k) => [...numbers.slice(3 * k, 3 * k + 3)]);
const apart = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
const middle = (a, b) => a.map((one, k) => (one + b[k]) / 2);
const near = (a, b, by = 1e-4) => assert.ok(apart(a, b) <= by, `${a} is not at ${b}`);

test("a straight tube has its two ends and nothing between", () => {
  assert.deepEqual(triples(centreline([1, 2, 3, 4, 5, 6], [])), [[1, 2, 3], [4, 5, 6]]);
});

test("a square corner of radius 100 runs on the quarter circle that touches both legs", () => {
  // From (0,0,0) over (200,0,0) to (200,300,0): the circle about (100,100,0) touches the legs at (100,0,0) and
  // (200,100,0).
  const points = triples(centreline([0, 0, 0, 200, 0, 0, 200, 300, 0], [100]));
  near(points[0], [0, 0, 0]);
  near(points[1], [100, 0, 0]);
  near(points.at(-2), [200, 100, 0]);
  near(points.at(-1), [200, 300, 0]);
  for (const point of points.slice(1, -1)) assert.ok(Math.abs(apart(point, [100, 100, 0]) - 100) < 1e-4);
});

test("the chords of an arc leave it by a tenth of a millimetre at most, and by little less than that", () => {
  for (const radius of [8, 40, 100, 900]) {
    const points = triples(centreline([0, 0, 0, 1000, 0, 0, 1000, 1000, 0], [radius])).slice(1, -1);
    const off = points.slice(1).map((point, k) => radius - apart(middle(points[k], point), [1000 - radius, radius, 0]));
    assert.ok(Math.max(...off) <= 0.1 + 1e-4, `${Math.max(...off)} at radius ${radius}`);
    assert.ok(Math.min(...off) > 0.02, `${points.length} points at radius ${radius} are too many`);
  }
});

test("a corner in space is rounded in the plane of its legs", () => {
  // Legs along (1,1,0) and (0,0,1) are square to each other: the arc's centre is one radius along each from where it
  // begins.
  const leg = 60 / Math.SQRT2;
  const points = triples(centreline([0, 0, 0, leg, leg, 0, leg, leg, 50], [30]));
  const half = 30 / Math.SQRT2;
  for (const point of points.slice(1, -1)) assert.ok(Math.abs(apart(point, [half, half, 30]) - 30) < 1e-4);
  for (const [x, y] of points) assert.ok(Math.abs(x - y) < 1e-4);
});

test("a corner of no radius, or one that hardly turns, stays a corner", () => {
  assert.equal(triples(centreline([0, 0, 0, 100, 0, 0, 200, 0, 0], [0])).length, 3);
  assert.equal(triples(centreline([0, 0, 0, 100, 0, 0, 200, 0.0005, 0], [50])).length, 3);
});

test("arcs that fill a leg to the last micrometre, and one too many, never run back", () => {
  // Two square corners 80 apart, each rounded by 40.001: the arcs overlap by two micrometres.
  for (const radius of [39.999, 40, 40.001]) {
    const points = triples(centreline([0, 0, 0, 100, 0, 0, 100, 80, 0, 200, 80, 0], [radius, radius]));
    for (let k = 1; k < points.length; k++) assert.ok(apart(points[k], points[k - 1]) > 0.005);
    for (let k = 2; k < points.length; k++) {
      const [a, b] = [k - 1, k].map((to) => points[to].map((one, i) => one - points[to - 1][i]));
      assert.ok(a[0] * b[0] + a[1] * b[1] + a[2] * b[2] > 0, `it turns back at ${points[k - 1]}`);
    }
  }
});

test("an arc that ends where the tube ends leaves no second point there", () => {
  const points = triples(centreline([0, 0, 0, 50, 0, 0, 50, 50, 0], [50]));
  near(points.at(-1), [50, 50, 0], 1e-6);
  assert.ok(apart(points.at(-1), points.at(-2)) > 0.5);
  near(points[0], [0, 0, 0], 1e-6);
  assert.ok(apart(points[0], points[1]) > 0.5);
});
