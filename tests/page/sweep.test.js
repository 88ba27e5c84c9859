/** Tubes swept along points, held to prisms and circles worked out here. */
import assert from "node:assert/strict";
import { test } from "node:test";
import {
  cornersOf,
  framesAlong,
  indicesOf,
  lengthsAlong,
  roundRoom,
  spanOf,
  sweep,
} from "../../routeviz/views/page/src/sweep.js";
import { LEVELS, piecesOf, pointAt, runsOf, stretchOf, sweptRuns } from "../../routeviz/views/page/src/tubes3d.js";

const SIDES = 14;
const BENT = [0, 0, 0, 100, 0, 0, 100, 80, 0, 100, 80, 60];

function swept(points, radius, sides = SIDES) {
  const n = points.length / 3;
  const room = roundRoom(cornersOf(n, sides), indicesOf(n, sides));
  sweep(room, points, { radius, owner: 7, along: lengthsAlong(points), sides });
  return room;
}

const corner = (room, k) => [...room.points.subarray(3 * k, 3 * k + 3)];

/** Volume within triangles that face outwards: the sum of signed tetrahedra. */
function volume(room) {
  let six = 0;
  for (let t = 0; t < room.triangles.length; t += 3) {
    const [a, b, c] = [0, 1, 2].map((k) => corner(room, room.triangles[t + k]));
    six += a[0] * (b[1] * c[2] - b[2] * c[1]) + a[1] * (b[2] * c[0] - b[0] * c[2]) + a[2] * (b[0] * c[1] - b[1] * c[0]);
  }
  return six / 6;
}

test("a straight tube is a closed prism that faces outwards, of the volume that its section gives", () => {
  for (const sides of [6, 14]) {
    const section = 0.5 * sides * 3 * 3 * Math.sin((2 * Math.PI) / sides);
    assert.ok(Math.abs(volume(swept([10, 20, 30, 10, 20, 130], 3, sides)) - 100 * section) < 0.01);
  }
});

test("every corner of a ring is one radius from its point, at right angles to the way there", () => {
  const room = swept(BENT, 4);
  const tangents = [[1, 0, 0], [Math.SQRT1_2, Math.SQRT1_2, 0], [0, Math.SQRT1_2, Math.SQRT1_2], [0, 0, 1]];
  const first = 2 * SIDES; // two lids stand before the rings
  for (let k = 0; k < 4 * SIDES; k++) {
    const i = Math.floor(k / SIDES);
    const spoke = corner(room, first + k).map((v, j) => v - BENT[3 * i + j]);
    assert.ok(Math.abs(Math.hypot(...spoke) - 4) < 1e-4);
    assert.ok(Math.abs(spoke.reduce((sum, v, j) => sum + v * tangents[i][j], 0)) < 1e-4);
  }
});

test("frames are carried without twist: round a flat bend the direction across it stays", () => {
  const angles = Array.from({ length: 19 }, (_, k) => (k * Math.PI) / 36);
  const arc = angles.flatMap((a) => [Math.cos(a), Math.sin(a), 0]);
  const frames = framesAlong(arc);
  for (let i = 0; i < 19; i++) {
    assert.ok(Math.abs(frames[9 * i + 5] - 1) < 1e-12, "the first direction starts as up and stays up");
  }
});

test("frames are right-handed and of unit length where points are the same and where the way turns back", () => {
  for (const points of [[0, 0, 0, 0, 0, 0, 5, 0, 0], [0, 0, 0, 0, 0, 9, 0, 0, 2], [1, 1, 1, 1, 1, 1]]) {
    const frames = framesAlong(points);
    for (let i = 0; i < points.length / 3; i++) {
      const [t, f, s] = [0, 3, 6].map((k) => frames.slice(9 * i + k, 9 * i + k + 3));
      const square = [f[1] * s[2] - f[2] * s[1], f[2] * s[0] - f[0] * s[2], f[0] * s[1] - f[1] * s[0]];
      const turned = t[0] * square[0] + t[1] * square[1] + t[2] * square[2];
      assert.ok(Math.abs(turned - 1) < 1e-9, `${points}`);
    }
  }
});

test("lengths along a chain add its chords", () => {
  assert.deepEqual([...lengthsAlong(BENT)], [0, 100, 180, 240]);
});

test("the spans of a sweep's steps are all its triangles, each once", () => {
  const [begin, n] = [30, 9];
  const spans = [[0, 4], [4, 8]].map(([from, to]) => spanOf(begin, n, SIDES, from, to));
  assert.equal(spans[0][0], begin);
  assert.equal(spans[1][0], spans[0][0] + spans[0][1]);
  assert.equal(spans[1][0] + spans[1][1], begin + indicesOf(n, SIDES));
});

test("a place along a chain is on its chord, and beyond its ends it is its end", () => {
  const along = lengthsAlong(BENT);
  assert.deepEqual(pointAt(BENT, along, 140), [100, 40, 0]);
  assert.deepEqual(pointAt(BENT, along, 999), [100, 80, 60]);
});

test("a stretch has both its ends and what lies between", () => {
  const along = lengthsAlong(BENT);
  assert.deepEqual(stretchOf(BENT, along, 90, 190), [90, 0, 0, 100, 0, 0, 100, 80, 0, 100, 80, 10]);
  assert.deepEqual(stretchOf(BENT, along, -5, 10), [0, 0, 0, 10, 0, 0]);
});

/** One tube in a quarter circle of radius 100, with a tie and a sleeve, on one nipple. */
function lay() {
  const points = Float32Array.from(
    Array.from({ length: 41 }, (_, k) => (k * Math.PI) / 80)
      .flatMap((a) => [100 * Math.sin(a), 0, 100 * Math.cos(a)]));
  return {
    tubes: [
      {
        ...{ points, outside: 6, ties: [{ along: 50, to: "batten" }] },
        sleeves: [{ from: [0, 0, 100], to: [-8, 0, 100], radius: 3.4 }],
      },
      { points: null, outside: 6, ties: [], sleeves: [] },
    ],
    nipples: [{ from: [0, 0, 100], to: [-9, 0, 100], radius: 2 }],
  };
}

const FIRST = { tube: 10, tie: 20, nipple: 30 };

test("a tube, its sleeve, its tie and a nipple are swept, each for its owner; a tube without a route is not", () => {
  const runs = runsOf(lay(), FIRST);
  assert.deepEqual(runs.map((run) => [run.owner, run.radius]), [[10, 3], [10, 3.4], [20, 3.7], [30, 2]]);
});

test("the fine level goes through exactly the points given", () => {
  const runs = runsOf(lay(), FIRST);
  const { room } = sweptRuns(runs, LEVELS.fine);
  const { sides } = LEVELS.fine;
  const { points } = lay().tubes[0];
  for (let i = 0; i < 41; i++) {
    const ring = Array.from({ length: sides }, (_, k) => corner(room, 2 * sides + i * sides + k));
    [0, 1, 2].forEach((j) => {
      const middle = ring.reduce((sum, p) => sum + p[j], 0) / sides;
      assert.ok(Math.abs(middle - points[3 * i + j]) < 1e-4);
    });
  }
});

test("the coarse level is much less, leaves the points by no more than it may, and has the same pieces", () => {
  const runs = runsOf(lay(), FIRST);
  const [fine, coarse] = [LEVELS.fine, LEVELS.coarse].map((level) => sweptRuns(runs, level));
  assert.ok(coarse.room.triangles.length < fine.room.triangles.length / 3);
  const pieces = piecesOf(runs);
  assert.equal(coarse.spans.length, pieces.length);
  assert.equal(fine.spans.length, pieces.length);
  const { sides, off } = LEVELS.coarse;
  const rings = [];
  for (let k = 2 * sides; coarse.room.along[k] >= 0 && coarse.room.owners[k] === 10; k += sides) {
    const mean = (j) =>
      Array.from({ length: sides }, (_, c) => coarse.room.points[3 * (k + c) + j]).reduce((a, b) => a + b) / sides;
    rings.push([0, 1, 2].map(mean));
  }
  // A chord between two points of a circle is farthest from it in its middle.
  for (let k = 1; k < rings.length; k++) {
    const middle = rings[k].map((v, j) => (v + rings[k - 1][j]) / 2);
    assert.ok(100 - Math.hypot(...middle) <= off + 0.02, `${100 - Math.hypot(...middle)}`);
  }
});

test("the ball of a piece holds all of its triangles", () => {
  const runs = runsOf(lay(), FIRST);
  const { room, spans } = sweptRuns(runs, LEVELS.fine);
  piecesOf(runs).forEach(({ centre, reach }, k) => {
    const [begin, count] = spans[k];
    for (let t = begin; t < begin + count; t++) {
      const off = Math.hypot(...corner(room, room.triangles[t]).map((v, j) => v - centre[j]));
      assert.ok(off <= reach + 1e-3, `${off} in a ball of ${reach}`);
    }
  });
});
