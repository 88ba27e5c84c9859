// The flat pictures: where points stand by the pinhole's rule, what is drawn, and what fingers do.

import assert from "node:assert/strict";
import { test } from "node:test";

import { emphasisOf } from "../../routeviz/views/page/src/emphasis.js";
import { felt } from "../../routeviz/views/page/src/handling.js";
import {
  axesOf,
  framed,
  panned,
  placesOf,
  scaleAt,
  viewOfTube,
  zoomed,
} from "../../routeviz/views/page/src/projecting.js";
import { farthestFirst, sketch, standing } from "../../routeviz/views/page/src/sketching.js";
import { tubeAt } from "../../routeviz/views/page/src/tapping.js";
import { between } from "../../routeviz/views/page/src/sketchtubes.js";
import { BEGIN } from "../../routeviz/views/page/src/state.js";

const [WIDE, HIGH] = [800, 400];
const FRONT = { eye: [100, -1000, 50], target: [100, 0, 50], up: [0, 0, 1], parallel: true, height: 200 };
const near = (one, other, within = 1e-9) => {
  assert.equal(one.length, other.length);
  [...one].forEach((value, k) =>
    assert.ok(Math.abs(value - other[k]) <= within, `${value} for ${other[k]}, place ${k}`),
  );
};

test("from the front right is right, up is up and the eye is at the player's side", () => {
  near(axesOf(FRONT).flat(), [1, 0, 0, 0, 0, 1, 0, -1, 0]);
});

test("a view to scale puts points by the rule of three", () => {
  // 200 mm on 400 pixels: 2 pixels a millimetre; 30 mm to the right and 20 mm up of the middle.
  near(
    placesOf(FRONT, [100, 0, 50, 130, 0, 70, 130, 500, 70], WIDE, HIGH),
    [400, 200, 1000, 460, 160, 1000, 460, 160, 1500],
  );
});

test("perspective shrinks as distance grows", () => {
  // At the target 2 pixels a millimetre, at twice the distance one, at half the distance four.
  const view = { ...FRONT, parallel: false };
  near(
    placesOf(view, [130, 0, 50, 130, 1000, 50, 130, -500, 50], WIDE, HIGH),
    [460, 200, 1000, 430, 200, 2000, 520, 200, 500],
  );
  assert.equal(scaleAt(view, 2000, HIGH), 1);
  assert.equal(scaleAt(FRONT, 2000, HIGH), 2);
});

test("what is behind the eye has no place in perspective, and one in a view to scale", () => {
  const behind = [100, -1200, 50];
  assert.ok(placesOf({ ...FRONT, parallel: false }, behind, WIDE, HIGH).every(Number.isNaN));
  near(placesOf(FRONT, behind, WIDE, HIGH), [400, 200, -200]);
});

test("panning moves what is shown by the pixels that the finger moved", () => {
  const slanted = { eye: [900, -800, 700], target: [100, 0, 50], up: [0, 0, 1], parallel: true, height: 200 };
  const points = [100, 0, 50, 20, 70, 90];
  const before = placesOf(slanted, points, WIDE, HIGH);
  const after = placesOf(panned(slanted, 35, -12, HIGH), points, WIDE, HIGH);
  near(
    after,
    before.map((value, k) => value + [35, -12, 0][k % 3]),
    1e-7,
  );
});

test("zooming keeps what is under the finger and makes the rest larger about it", () => {
  const at = [150, 320];
  const points = [60, 0, 20, 100, 0, 50];
  const before = placesOf(FRONT, points, WIDE, HIGH);
  const after = placesOf(zoomed(FRONT, 2.5, at, WIDE, HIGH), points, WIDE, HIGH);
  for (const k of [0, 3]) {
    near([after[k] - at[0], after[k + 1] - at[1]], [2.5 * (before[k] - at[0]), 2.5 * (before[k + 1] - at[1])], 1e-7);
  }
  const back = zoomed(zoomed(FRONT, 2.5, at, WIDE, HIGH), 1 / 2.5, at, WIDE, HIGH);
  near([...back.eye, ...back.target, back.height], [...FRONT.eye, ...FRONT.target, FRONT.height], 1e-7);
});

test("in perspective zooming keeps the eye's angle: height over distance", () => {
  const view = zoomed({ ...FRONT, parallel: false }, 4, [WIDE / 2, HIGH / 2], WIDE, HIGH);
  near([...view.eye, ...view.target, view.height], [100, -250, 50, 100, 0, 50, 50]);
});

test("two fingers that go apart enlarge about the middle between them", () => {
  const done = [];
  const to = { pan: (...by) => done.push(["pan", ...by]), zoom: (times, at) => done.push(["zoom", times, ...at]) };
  felt({ middle: [100, 100], apart: 50 }, { middle: [110, 95], apart: 100 }, to);
  felt({ middle: [10, 10], apart: 0 }, { middle: [13, 14], apart: 0 }, to);
  assert.deepEqual(done, [
    ["pan", 10, -5],
    ["zoom", 2, 110, 95],
    ["pan", 3, 4],
  ]);
});

/** Eight corners of a box. */
function corners([x, y, z], [u, v, w]) {
  return [0, 1, 2, 3, 4, 5, 6, 7].flatMap((k) => [k & 1 ? u : x, k & 2 ? v : y, k & 4 ? w : z]);
}

for (const parallel of [true, false]) {
  for (const aspect of [0.5, 1, 1.9]) {
    test(`a framed view holds all points, and little more: parallel ${parallel}, aspect ${aspect}`, () => {
      const points = corners([-40, 300, 10], [900, 720, 60]);
      const view = framed([0.5, -1, 0.36], [0, 0, 1], points, aspect, { parallel });
      const places = placesOf(view, points, 100 * aspect, 100);
      const shares = (axis, size) => {
        const values = places.filter((_, k) => k % 3 === axis).map((value) => value / size);
        return [Math.min(...values), Math.max(...values)];
      };
      const [left, right] = shares(0, 100 * aspect);
      const [top, bottom] = shares(1, 100);
      for (const value of [left, top]) assert.ok(value > 0.04);
      for (const value of [right, bottom]) assert.ok(value < 0.96);
      assert.ok(Math.max(right - left, bottom - top) > 0.88, "the picture is filled one way");
    });
  }
}

const SIDES = [
  {
    name: "overview",
    title: "Overview",
    eye: [500, -1000, 360],
    target: [0, 0, 0],
    up: [0, 0, 1],
    parallel: false,
    height: 500,
  },
  { name: "front", title: "Front", eye: [0, -1000, 0], target: [0, 0, 0], up: [0, 0, 1], parallel: true, height: 500 },
  { name: "top", title: "Above", eye: [0, 0, 1000], target: [0, 0, 0], up: [0, 1, 0], parallel: true, height: 500 },
  { name: "side", title: "Right", eye: [1000, 0, 0], target: [0, 0, 0], up: [0, 0, 1], parallel: true, height: 500 },
];

test("the next tube is seen whole, on tall and on wide pictures, with the lens that the 3D has", () => {
  const points = [200, 90, 700, 210, 100, 600, 340, 420, 580, 900, 440, 100];
  for (const aspect of [0.46, 0.7, 1, 1.5, 2.5]) {
    const view = viewOfTube({ views: SIDES, tubes: [{ points }] }, 0, aspect);
    const places = placesOf(view, points, aspect, 1);
    for (let k = 0; k < places.length; k += 3) {
      assert.ok(places[k] > 0 && places[k] < aspect && places[k + 1] > 0 && places[k + 1] < 1);
    }
    const distance = Math.hypot(...view.eye.map((value, axis) => value - view.target[axis]));
    assert.ok(Math.abs(view.height / distance - 2 * Math.tan((12 * Math.PI) / 180)) < 1e-12);
  }
});

test("a tube that runs along the overview's line of sight is looked at from another side", () => {
  const along = (d) => [0, 1, 2, 3].flatMap((k) => d.map((value) => 100 * k * value));
  const out = (points) => {
    const view = viewOfTube({ views: SIDES, tubes: [{ points }] }, 0, 1.5);
    return view.eye.map((value, axis) => Math.round(10 * (value - view.target[axis])));
  };
  // Across the overview: seen from there. Along it: the side on which the most of it shows is from the right,
  // which is 1 - 0.5^2 / (0.5^2 + 1 + 0.36^2) of it.
  const [x, y, z] = out(along([1, 0.5, 0]));
  assert.ok(Math.abs(y / x + 2) < 0.01 && Math.abs(z / x - 0.72) < 0.01);
  const other = out(along([0.5, -1, 0.36]));
  assert.ok((other[0] === 0 && other[1] === 0 && other[2] > 0) || (other[0] > 0 && other[1] === 0 && other[2] === 0));
});

test("the overview is kept as long as it shows six tenths of a tube's length", () => {
  // Unit vectors along the overview's line of sight and across it; a tube between them is seen as its share across.
  const sight = [0.5, -1, 0.36].map((value) => value / Math.hypot(0.5, 1, 0.36));
  const across = [1, 0.5, 0].map((value) => value / Math.hypot(1, 0.5));
  const seenFrom = (share) => {
    const end = sight.map((value, k) => 500 * (Math.sqrt(1 - share ** 2) * value + share * across[k]));
    const { eye, target } = viewOfTube({ views: SIDES, tubes: [{ points: [0, 0, 0, ...end] }] }, 0, 1.5);
    const out = eye.map((value, axis) => value - target[axis]);
    return Math.abs(out[1] / out[0] + 2) < 0.01 && Math.abs(out[2] / out[0] - 0.72) < 0.01;
  };
  assert.equal(seenFrom(0.62), true);
  assert.equal(seenFrom(0.58), false);
});

test("a short tube is not looked at through a magnifying glass, and one without a route not at all", () => {
  const lay = { views: SIDES, tubes: [{ points: [0, 0, 0, 1, 0, 0] }, { points: null }] };
  assert.ok(Math.abs(viewOfTube(lay, 0, 1).height - 150) < 1e-9);
  assert.equal(viewOfTube(lay, 1, 1), null);
});

test("a finger finds the tube that it touches, the nearest of several, and none beside them", () => {
  const tubes = [
    { points: [0, 0, 0, 100, 0, 0] },
    { points: [0, 20, 0, 100, 20, 0] },
    { points: null },
    { points: [0, 200, 0, 0, 200, 0] },
  ];
  const at = (place, isThere = () => true) => tubeAt(tubes, (points) => points, place, isThere);
  assert.equal(at([50, 4]), 0);
  assert.equal(at([50, 15]), 1);
  assert.equal(at([109, 0]), 0);
  assert.equal(at([116, 0]), null);
  assert.equal(at([50, 50]), null);
  assert.equal(at([3, 203]), 3);
  assert.equal(
    at([50, 9], (index) => index !== 0),
    1,
  );
});

test("a part of a polyline lies between the lengths asked for", () => {
  const points = [0, 0, 0, 10, 0, 0, 10, 20, 0];
  near(between(points, 4, 16), [4, 0, 0, 10, 0, 0, 10, 6, 0]);
  near(between(points, -5, 3), [0, 0, 0, 3, 0, 0]);
  assert.deepEqual(between(points, 40, 50), []);
});

test("a form stands where its solid is, and turns about its hinge", () => {
  near(standing([1, 2, 3], [10, 20, 30], null), [11, 22, 33]);
  // A quarter turn about the x axis through (0, 20, 30): y goes to z.
  const rows = [1, 0, 0, 0, 0, 0, -1, 50, 0, 1, 0, 10];
  near(standing([0, 5, 0], [0, 20, 30], rows), [0, 20, 35]);
});

const box = (low, high) => ({
  points: corners(low, high),
  triangles: [
    0, 4, 1, 1, 4, 5, 2, 3, 6, 3, 7, 6, 0, 1, 2, 1, 3, 2, 4, 6, 5, 5, 6, 7, 0, 2, 4, 2, 6, 4, 1, 5, 3, 3, 5, 7,
  ],
  second: null,
  lines: [0, 1, 0, 2, 0, 4, 1, 3, 1, 5, 2, 3, 2, 6, 3, 7, 4, 5, 4, 6, 5, 7, 6, 7],
  edges: 12,
});
const LOOKS = [
  { colour: "#aaaaaa", opacity: 1, second: "", line: "#111111", line_px: 1, outline: "#000000" },
  { colour: "#bbbbbb", opacity: 0.3, second: "", line: "#222222", line_px: 1, outline: "#000000" },
  { colour: "#0000ff", opacity: 1, second: "#ffffff", line: "#333333", line_px: 1, outline: "#444444" },
];

function aLay() {
  const solid = (name, at, look) => ({ name, part: name, form: 0, at, look, marked: null, movement: null });
  const tube = (name, more) => ({
    name,
    tag: name,
    outside: 6,
    look: 2,
    marked: null,
    severity: null,
    ties: [],
    sleeves: [],
    points: Float32Array.of(0, 20, 10, 100, 20, 10),
    ...more,
  });
  return {
    looks: LOOKS,
    signs: {
      badges: { fault: { shape: "disc", fill: "#f00", text: "#fff", rim: "#fff" } },
      bands: { fault: { every: 5, share: 0.5 } },
      opacities: { opaque: 0.8 },
    },
    forms: [box([0, 0, 0], [20, 20, 20])],
    solids: [solid("shelf", [0, 0, 0], 0), solid("board", [0, 100, 0], 1)],
    spaces: [],
    nipples: [],
    passages: [{ name: "hole", tubes: [1], look: 0, marked: null, lines: [0, 0, 0, 1, 0, 0], middle: [0, 0, 0] }],
    tubes: [tube("t 1", {}), tube("t 2", { marked: 2, severity: "fault" }), tube("t 3", { points: null })],
    findings: [{ number: 1, severity: "fault", point: [10, 0, 10], tubes: [1], faded: ["board"], moved: null }],
  };
}

test("the nearer solid is drawn later", () => {
  assert.deepEqual(farthestFirst(aLay(), FRONT), [1, 0]);
  assert.deepEqual(farthestFirst(aLay(), { ...FRONT, eye: [100, 1000, 50] }), [0, 1]);
});

/** A canvas that writes down what is drawn on it. */
function aCanvas() {
  const done = [];
  const ink = new Proxy(
    {},
    {
      get: (had, key) =>
        key in had
          ? had[key]
          : (...given) => (done.push([key, given, { ...had }]), key === "measureText" ? { width: 40 } : undefined),
      set: (had, key, value) => ((had[key] = value), true),
    },
  );
  return { ink, done, of: (key) => done.filter(([kind]) => kind === key) };
}

function drawn(lay, now) {
  const canvas = aCanvas();
  const emphasis = emphasisOf(lay, { ...BEGIN, ...now });
  sketch(canvas.ink, lay, FRONT, { wide: WIDE, high: HIGH, emphasis, paper: "#ffffff", text: "#000000" });
  return canvas;
}

test("a tube is as wide on the picture as its outside diameter", () => {
  const widths = drawn(aLay(), {})
    .of("stroke")
    .filter(([, , ink]) => ink.strokeStyle === "#0000ff")
    .map(([, , ink]) => ink.lineWidth);
  assert.deepEqual([...new Set(widths)], [12]); // 6 mm at 2 pixels a millimetre
});

test("bands of a tube with a fault are as long as the signs say, in its diameters", () => {
  const dashes = drawn(aLay(), {})
    .of("setLineDash")
    .map(([, [dash]]) => dash)
    .filter((dash) => dash.length);
  assert.deepEqual(dashes, [[30, 30]]); // half of 5 diameters of 12 pixels, and the other half
});

test("of an opaque box only the edges of the faces towards the eye are drawn", () => {
  const canvas = drawn({ ...aLay(), solids: aLay().solids.slice(0, 1), tubes: [], findings: [], passages: [] }, {});
  const edges = canvas.done.filter(([kind, , ink]) => kind === "lineTo" && ink.strokeStyle === "#111111");
  assert.equal(edges.length, 4); // the front face alone is seen from the front
});

test("what is hidden is not drawn, and what is faded is faint", () => {
  const strokes = (now) => drawn(aLay(), now).of("stroke");
  assert.ok(strokes({}).some(([, , ink]) => ink.strokeStyle === "#222222"));
  assert.ok(!strokes({ parts: { board: "hidden" } }).some(([, , ink]) => ink.strokeStyle === "#222222"));
  const faint = strokes({ parts: { board: "faded" } }).filter(([, , ink]) => ink.strokeStyle === "#222222");
  assert.ok(faint.length && faint.every(([, , ink]) => ink.globalAlpha < 0.3));
});

const words = (now) => emphasisOf(aLay(), { ...BEGIN, ...now });

test("a chosen finding brings forward its own tubes and badge, and fades what is in the way", () => {
  const found = words({ chosen: { kind: "finding", index: 0 } });
  assert.deepEqual(found.tubes, ["faded", "lit", "faded"]);
  assert.deepEqual(found.solids, ["plain", "faded"]);
  assert.deepEqual([...found.findings], [0]);
});

test("at the bench the next tube is lit, those laid are there and the others are not", () => {
  const found = words({ mode: "bench", now: 1, laid: new Set([2]) });
  assert.deepEqual(found.tubes, ["hidden", "lit", "plain"]);
  assert.deepEqual([...found.labelled], [1]);
});

test("a chosen passage lights the tubes that go through it, a chosen tube itself", () => {
  assert.deepEqual(words({ chosen: { kind: "passage", index: 0 } }).tubes, ["faded", "lit", "faded"]);
  assert.deepEqual(words({ chosen: { kind: "tube", index: 0 } }).tubes, ["lit", "faded", "faded"]);
  assert.deepEqual(words({}).tubes, ["plain", "plain", "plain"]);
});

test("what is pressed moves alone or with all others", () => {
  assert.deepEqual([0, 1].map(words({ press: { share: 0.5, only: 1 } }).shares), [0, 0.5]);
  assert.deepEqual([0, 1].map(words({ press: { share: 0.5, only: null } }).shares), [0.5, 0.5]);
});
