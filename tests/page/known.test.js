// What nobody measured: told in words, by broken lines and by pale bands; what was measured is as ever.

import assert from "node:assert/strict";
import { test } from "node:test";

import { told } from "../../routeviz/views/page/src/choosing.js";
import { doubtOf, doubtSays, headOf } from "../../routeviz/views/page/src/known.js";
import { sketch } from "../../routeviz/views/page/src/sketching.js";
import { dashesOf } from "../../routeviz/views/page/src/states.js";
import { ownersOf } from "../../routeviz/views/page/src/things.js";

const WHOLE = {
  ...{ colour: "#aaaaaa", opacity: 1, second: "", line: "#111111", line_px: 1, outline: "#000000" },
  dashes: [],
};
const BROKEN = { ...WHOLE, line: "#222222", opacity: 0.1, dashes: [2, 4] };
const SQUARE = {
  points: [0, 0, 0, 20, 0, 0, 20, 0, 20, 0, 0, 20],
  triangles: [0, 1, 2, 0, 2, 3],
  second: null,
  lines: [0, 1, 1, 2, 2, 3, 0, 3],
  edges: 4,
};
const FRONT = { eye: [0, -100, 0], target: [0, 0, 0], up: [0, 0, 1], parallel: true, height: 100 };

function aLay() {
  const solid = (name, part, look, x) => ({
    ...{ name, part, kind: "box", form: 0, at: [x, 0, 0], look, marked: null, movement: null },
  });
  const tube = (name, more) => ({
    ...{ name, tag: name, from: "a", to: "b", outside: 6, look: 0, marked: null, severity: null },
    ...{ ties: [], sleeves: [], points: null, status: null, ...more },
  });
  return {
    looks: [WHOLE, BROKEN],
    signs: {
      bands: { fault: { every: 5, share: 0.5 } },
      doubts: { assumed: { says: "nobody measured it", every: 2, share: 0.25 } },
      opacities: { opaque: 0.8 },
      badges: {},
    },
    forms: [SQUARE],
    parts: [
      { name: "shelf", status: "measured", known: [] },
      { name: "motor", status: "assumed", known: [{ status: "measured" }, { status: "assumed", why: "in its cage" }] },
      { name: "post", status: "assumed", known: [] },
    ],
    solids: [solid("shelf", "shelf", 0, 0), solid("motor 1", "motor", 1, 30)],
    spaces: [], nipples: [], passages: [], findings: [],
    tubes: [
      tube("t 1", {}),
      tube("t 2", { status: "assumed" }),
      tube("t 3", { status: "assumed", marked: 0, severity: "fault" }),
    ],
  };
}

test("a part is told to be assumed with why, else with what that means; a measured one is only named", () => {
  assert.equal(doubtOf(aLay(), "shelf"), "");
  assert.equal(doubtSays(aLay(), "shelf"), "");
  assert.equal(doubtSays(aLay(), "motor"), "assumed: in its cage");
  assert.equal(doubtSays(aLay(), "post"), "assumed: nobody measured it");
  assert.equal(headOf(aLay(), { status: "documented", source: "list 3" }), "documented: list 3");
});

test("a thing that is chosen is told with how it is known", () => {
  assert.equal(told(aLay(), { kind: "solid", index: 0 }), "shelf, box");
  assert.equal(told(aLay(), { kind: "solid", index: 1 }), "motor 1, box \u2013 assumed: in its cage");
  assert.equal(told(aLay(), { kind: "part", index: 1 }), "Part motor \u2013 assumed");
  assert.equal(told(aLay(), { kind: "tube", index: 1 }), "Tube t 2, from a to b \u2013 assumed");
});

test("under the pointer a thing is told with its status", () => {
  const says = ownersOf(aLay()).filter(({ kind }) => kind === "solid").map((owner) => owner.says);
  assert.deepEqual(says, ["", "motor, assumed"]);
});

test("a tube that nobody measured has bands of its own, but those of a fault go before", () => {
  const bands = ownersOf(aLay()).filter(({ kind }) => kind === "tube").map((owner) => owner.bands);
  assert.deepEqual(bands, [[0, 0], [12, 0.25], [30, 0.5]]); // 2 and 5 outside diameters of 6 mm
});

test("dashes are four numbers of six bits in one, which a float of 24 bits holds; a whole line is 0", () => {
  assert.equal(dashesOf({ dashes: [] }), 0);
  assert.equal(dashesOf({}), 0);
  assert.equal(dashesOf({ dashes: [12, 4, 2, 5] }), 0b001100_000100_000010_000101);
  assert.equal(dashesOf({ dashes: [2, 4] }), 0b000010_000100_000010_000100); // two are said twice
  assert.ok(dashesOf({ dashes: [63, 63] }) < 2 ** 24);
});

/** Which dashes the lines of each colour are drawn with, and where paths begin and go on. */
function drawnOn(lay) {
  const state = {};
  const strokes = [];
  const path = [];
  const ink = new Proxy(state, {
    get: (had, key) => {
      if (key === "setLineDash") return (dash) => void (had.dash = dash);
      if (key === "stroke") return () => strokes.push([had.strokeStyle, had.dash ?? []]);
      if (["moveTo", "lineTo"].includes(key)) return () => path.push([had.strokeStyle, key]);
      return key in had ? had[key] : () => ({ width: 40 });
    },
    set: (had, key, value) => ((had[key] = value), true),
  });
  const emphasis = {
    tubes: lay.tubes.map(() => "plain"), solids: lay.solids.map(() => "plain"),
    passages: new Set(), findings: new Set(), labelled: new Set(), shares: () => 0,
  };
  sketch(ink, lay, FRONT, { wide: 200, high: 200, emphasis, paper: "#ffffff", text: "#000000" });
  return { strokes, path };
}

test("on a flat picture only what nobody measured has broken lines", () => {
  const { strokes } = drawnOn({ ...aLay(), tubes: [] });
  const dashes = (colour) => strokes.filter(([line]) => line === colour).map(([, dash]) => dash);
  assert.ok(dashes("#111111").length && dashes("#222222").length);
  assert.ok(dashes("#111111").every((dash) => dash.length === 0));
  assert.deepEqual(dashes("#222222")[0], [2, 4]);
});

test("broken lines that meet are one path, so that their dashes go on round a bend", () => {
  const { path } = drawnOn({ ...aLay(), tubes: [], solids: aLay().solids.slice(1) });
  const kinds = path.filter(([line]) => line === "#222222").map(([, kind]) => kind);
  assert.deepEqual(kinds.slice(0, 5), ["moveTo", "lineTo", "lineTo", "lineTo", "lineTo"]); // once round the square
});
