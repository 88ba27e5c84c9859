/** Skins of forms and what stands before everything, held to boxes and prisms worked out here. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { gatheredSolids, linesOf, skinOf } from "../../routeviz/views/page/src/solids3d.js";
import { boxAround, boxOf, isBefore } from "../../routeviz/views/page/src/walls.js";

const WEDGE = { points: [0, 0, 0, 10, 0, 0, 10, 10, 0, 0, 10, 0], triangles: [0, 1, 2, 0, 2, 3] };
const direction = (skin, k) => [...skin.normals.subarray(4 * k, 4 * k + 3)].map((v) => v / 32767);
const near = (found, wanted, by = 1e-3) =>
  wanted.forEach((v, k) => assert.ok(Math.abs(found[k] - v) <= by, `${found}`));

/** Two strips that meet along an edge and turn by some degrees there. */
function bent(degrees) {
  const [c, s] = [Math.cos((degrees * Math.PI) / 180), Math.sin((degrees * Math.PI) / 180)];
  return {
    points: [0, 0, 0, 0, 10, 0, 10, 0, 0, 10, 10, 0, 10 + 10 * c, 0, -10 * s, 10 + 10 * c, 10, -10 * s],
    triangles: [0, 2, 3, 0, 3, 1, 2, 4, 5, 2, 5, 3],
  };
}

test("a flat face looks straight out everywhere", () => {
  const skin = skinOf(WEDGE);
  for (let k = 0; k < 6; k++) near(direction(skin, k), [0, 0, 1]);
});

test("faces that turn by less than 30 degrees are one bent face: its edge looks as they do together", () => {
  const [c, s] = [Math.cos(Math.PI / 9), Math.sin(Math.PI / 9)];
  const whole = Math.hypot(2 * s, 1 + 2 * c); // one triangle of the first strip and two of the second meet there
  near(direction(skinOf(bent(20)), 1), [(2 * s) / whole, 0, (1 + 2 * c) / whole]);
});

test("faces that turn by more keep a sharp edge", () => {
  const skin = skinOf(bent(40));
  for (let k = 0; k < 6; k++) near(direction(skin, k), [0, 0, 1]);
});

test("triangles from the second colour's first on have it", () => {
  assert.deepEqual([...skinOf({ ...WEDGE, second: 1 }).bands], [0, 0, 0, 1, 1, 1]);
  assert.deepEqual([...skinOf({ ...WEDGE, second: 0 }).bands], [1, 1, 1, 1, 1, 1]);
  assert.deepEqual([...skinOf({ ...WEDGE, second: null }).bands], [0, 0, 0, 0, 0, 0]);
});

test("one form stands wherever it is set down, each time for its owner", () => {
  const standing = [{ form: 0, at: [0, 0, 5], owner: 3 }, { form: 0, at: [100, 0, 0], owner: 4 }];
  const { room, ranges } = gatheredSolids([WEDGE], standing);
  assert.deepEqual([...ranges], [[3, [0, 6]], [4, [6, 6]]]);
  assert.deepEqual([...room.owners], [3, 3, 3, 3, 3, 3, 4, 4, 4, 4, 4, 4]);
  assert.deepEqual([...room.points.subarray(0, 3)], [0, 0, 5]);
  assert.deepEqual(boxOf(room, ranges.get(4)), [[100, 0, 0], [110, 10, 0]]);
});

test("lines of a form are taken from one to before another, where it stands", () => {
  const form = { points: WEDGE.points, lines: [0, 1, 1, 2, 2, 3] };
  assert.deepEqual([...linesOf(form, [0, 0, 7], 1, 2)], [10, 0, 7, 10, 10, 7]);
});

test("a wall between the eye and everything steps back, seen from inside or from another side it does not", () => {
  const wall = [[0, -30, 0], [1000, -10, 1000]];
  const worth = [[100, 50, 100], [900, 400, 900]];
  assert.equal(isBefore(wall, worth, [500, -800, 500]), true);
  assert.equal(isBefore(wall, worth, [500, 200, 500]), false);
  assert.equal(isBefore(wall, worth, [500, 800, 500]), false);
  assert.equal(isBefore([[0, 60, 0], [1000, 70, 1000]], worth, [500, -800, 500]), false);
});

test("what is worth seeing lies in the box around tubes and nipples; without any, nothing stands before it", () => {
  assert.deepEqual(boxAround([[0, 5, 2, 9, -5, 2], [1, 1, 7]]), [[0, -5, 2], [9, 5, 7]]);
  assert.equal(isBefore([[0, -20, 0], [9, -10, 9]], boxAround([[0, 5, 2]]), [0, -90, 0]), true);
  assert.equal(isBefore([[0, -20, 0], [9, -10, 9]], boxAround([]), [0, -90, 0]), false);
});
