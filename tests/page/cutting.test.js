/** Where a plane cuts, held to the areas of sections worked out here. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { areaOf, leaves, outlineOf, planeOf } from "../../routeviz/views/page/src/cutting.js";
import { openingsOf } from "../../routeviz/views/page/src/openings.js";
import { cornersOf, indicesOf, roundRoom, sweep } from "../../routeviz/views/page/src/sweep.js";

const BOX = [
  [0, 1, 3, 0, 3, 2, 4, 6, 7, 4, 7, 5],
  [0, 4, 5, 0, 5, 1, 2, 3, 7, 2, 7, 6],
  [0, 2, 6, 0, 6, 4, 1, 5, 7, 1, 7, 3],
].flat();

function box(low, high) {
  const points = [0, 1, 2, 3, 4, 5, 6, 7].flatMap((k) => [0, 1, 2].map((j) => ((k >> (2 - j)) & 1 ? high : low)[j]));
  return { points: Float32Array.from(points), triangles: BOX };
}

function area(triangles) {
  let sum = 0;
  for (let k = 0; k < triangles.length; k += 6) {
    const [a, b, c, d, e, f] = triangles.slice(k, k + 6);
    sum += Math.abs((c - a) * (f - b) - (e - a) * (d - b)) / 2;
  }
  return sum;
}

const cutOf = ({ points, triangles }, axis, at) => outlineOf(points, triangles, [0, triangles.length], { axis, at });

test("a box of 20 by 30 by 40 shows 30 by 40, 20 by 40 and 20 by 30", () => {
  const solid = box([0, 0, 0], [20, 30, 40]);
  [[0, 1200], [1, 800], [2, 600]].forEach(([axis, mm2]) => {
    assert.ok(Math.abs(area(areaOf(cutOf(solid, axis, 7))) - mm2) < 1e-3);
  });
});

test("a plane beside a box cuts nothing, and one along its face cuts it or not, but never in part", () => {
  const solid = box([0, 0, 0], [20, 30, 40]);
  assert.deepEqual(cutOf(solid, 0, -1), []);
  for (const at of [0, 20]) {
    const found = area(areaOf(cutOf(solid, 0, at)));
    assert.ok(found === 0 || Math.abs(found - 1200) < 1e-3, `${found}`);
  }
});

test("a box within another that is turned inside out is a hole", () => {
  const [outer, inner] = [box([0, 0, 0], [50, 50, 50]), box([10, 10, -1], [30, 40, 51])];
  const hollow = cutOf(inner, 2, 25);
  const turned = [];
  for (let k = 0; k < hollow.length; k += 4) turned.push(...hollow.slice(k + 2, k + 4), ...hollow.slice(k, k + 2));
  assert.ok(Math.abs(area(areaOf([...cutOf(outer, 2, 25), ...turned])) - (2500 - 600)) < 1e-3);
});

test("boxes that overlap are one area", () => {
  const sides = [box([0, 0, 0], [20, 20, 9]), box([10, 10, 0], [40, 30, 9])].flatMap((one) => cutOf(one, 2, 5));
  assert.ok(Math.abs(area(areaOf(sides)) - (400 + 600 - 100)) < 1e-3);
});

test("a tube cut square shows its section, and cut aslant more by the secant of the slant", () => {
  const section = 0.5 * 14 * 9 * Math.sin((2 * Math.PI) / 14);
  for (const [to, secant] of [[[0, 0, 100], 1], [[60, 0, 80], 1.25]]) {
    const room = roundRoom(cornersOf(2, 14), indicesOf(2, 14));
    sweep(room, [0, 0, 0, ...to], { radius: 3, owner: 1, along: null, sides: 14 });
    const outline = outlineOf(room.points, room.triangles, [0, room.index], { axis: 2, at: 40 });
    assert.ok(Math.abs(area(areaOf(outline)) - section * secant) < 1e-3);
  }
});

test("faces that are laid open lie in the plane and belong to what was cut", () => {
  const solid = box([0, 0, 0], [20, 30, 40]);
  const sources = [{ owner: 5, room: solid, spans: [[0, 18], [18, 18]] }, { owner: 6, room: solid, spans: [] }];
  const { room, lines } = openingsOf(sources, { axis: 1, at: 12.5, keep: 1 });
  assert.ok(room.corner > 0);
  for (let k = 0; k < room.corner; k++) {
    assert.equal(room.points[3 * k + 1], 12.5);
    assert.equal(room.owners[k], 5);
  }
  assert.deepEqual(lines.map((set) => set.owner), [5]);
});

test("a cut takes away one side and leaves the other", () => {
  const cut = { axis: 0, at: 100, keep: 1 };
  assert.equal(leaves(cut, [101, 0, 0]), true);
  assert.equal(leaves(cut, [99, 0, 0]), false);
  assert.equal(leaves({ ...cut, keep: -1 }, [99, 0, 0]), true);
  assert.equal(leaves(null, [99, 0, 0]), true);
});

test("the plane that is drawn takes away what the cut takes away", () => {
  for (const keep of [1, -1]) {
    const cut = { axis: 2, at: -40, keep };
    const [a, b, c, d] = planeOf(cut);
    for (const point of [[5, 6, -45], [5, 6, -35]]) {
      const isGone = a * point[0] + b * point[1] + c * point[2] > d;
      assert.equal(isGone, !leaves(cut, point));
    }
  }
  const [a, b, c, d] = planeOf(null);
  assert.ok(a * 1e6 + b * 1e6 + c * 1e6 <= d);
});
