// Finding and sorting tubes.

import assert from "node:assert/strict";
import { test } from "node:test";

import { searchOf, sorted, words } from "../../routeviz/views/page/src/searching.js";

const tube = (tag, from, to, more = {}) => ({
  ...{ name: `tube ${tag}`, tag, from, to, through: [], tubing: "gum", carries: "signal" },
  ...{ length: null, bend: null, clearance: null },
  ...more,
});
const TUBES = [
  tube("1", "tracker bar 12", "stack 8", { through: ["bass break"] }),
  tube("2", "tracker bar 16", "stack 12", { through: ["bass break"] }),
  tube("3", "tracker bar 112", "stack 108", { through: ["treble break"] }),
  tube("4", "tracker bar 3", "Pédale 1"),
];
const find = (query) => searchOf(TUBES)(query).map((k) => TUBES[k].tag);

test("a number is meant as a whole, wherever it stands", () => {
  assert.deepEqual(find("12"), ["1", "2"]);
  assert.deepEqual(find("012"), ["1", "2"]);
});

test("the sizes in the name of a tubing are not taken for numbers of tubes", () => {
  const tubing = "9/64 in bore, 1/32 in wall";
  const tubes = [tube("1", "bar 2", "stack 3", { tubing }), tube("4", "bar 5", "stack 6", { tubing })];
  assert.deepEqual(searchOf(tubes)("1"), [0]);
  assert.deepEqual(searchOf(tubes)("wall"), [0, 1]);
});

test("a word and a number that stand together are found together", () => {
  assert.deepEqual(find("stack 12"), ["2"]);
  assert.deepEqual(find("Stack12"), ["2"]);
  assert.deepEqual(find("bar 12"), ["1"]);
});

test("a passage, also only its beginning, finds what goes through", () => {
  assert.deepEqual(find("bass"), ["1", "2"]);
  assert.deepEqual(find("treb"), ["3"]);
});

test("words of several fields are found where they do not stand together", () => {
  assert.deepEqual(find("bass 16"), ["2"]);
});

test("what people say before a number does not hinder", () => {
  assert.deepEqual(find("hole 16"), ["2"]);
  assert.deepEqual(find("pneumatic 108"), ["3"]);
});

test("accents and capitals need not be typed", () => {
  assert.deepEqual(find("PEDALE"), ["4"]);
});

test("what is nowhere a whole is found within", () => {
  assert.deepEqual(find("11"), ["3"]);
  assert.deepEqual(find("reak 108"), ["3"]);
});

test("what is nowhere finds nothing, and nothing asked finds all", () => {
  assert.deepEqual(find("organ"), []);
  assert.deepEqual(find("  "), ["1", "2", "3", "4"]);
  assert.deepEqual(find("?!"), ["1", "2", "3", "4"]);
});

test("letters of any script are words", () => {
  assert.deepEqual(words("Stack-012b трубка٧ 7"), ["stack", "12", "b", "трубка", "٧", "7"]);
});

test("names are sorted as they count on", () => {
  const tubes = ["10", "2", "1", "b", "a"].map((tag) => tube(tag, "x", "y"));
  assert.deepEqual(sorted(tubes, "name", 1).map((k) => tubes[k].tag), ["1", "2", "10", "a", "b"]);
});

test("a tube without a number comes last, whichever way it is sorted", () => {
  const tubes = [tube("1", "a", "b"), tube("2", "a", "b", { length: 5 }), tube("3", "a", "b", { length: 9 })];
  assert.deepEqual(sorted(tubes, "length", 1), [1, 2, 0]);
  assert.deepEqual(sorted(tubes, "length", -1), [2, 1, 0]);
});

test("equals keep their order", () => {
  const tubes = [1, 2, 3, 4].map((k) => tube(String(k), "a", "b", { length: k % 2 }));
  assert.deepEqual(sorted(tubes, "length", 1), [1, 3, 0, 2]);
  assert.deepEqual(sorted(tubes, "length", -1), [0, 2, 1, 3]);
});
