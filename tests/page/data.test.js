// Reading the lay: arrays written by node's own buffers, and what cannot be read.

import assert from "node:assert/strict";
import { test } from "node:test";

import { numbers, readLay } from "../../routeviz/views/page/src/data.js";

const base64 = (size, write, values) => {
  const bytes = Buffer.alloc(size * values.length);
  values.forEach((value, k) => bytes[write](value, k * size, size));
  return bytes.toString("base64");
};
const EMPTY = { solids: [], spaces: [], passages: [], nipples: [], tubes: [], forms: [] };

test("lengths of 32 bits are read as they were written", () => {
  const values = [0, -1.5, 1024.0625, 3e5];
  assert.deepEqual([...numbers(`f32:${base64(4, "writeFloatLE", values)}`)], values);
});

test("micrometres in three bytes are read as millimetres, both ways from nought", () => {
  const grains = [0, 1, -1, 8388607, -8388608, 1234567, -256];
  const read = numbers(`i24:${base64(3, "writeIntLE", grains)}`);
  grains.forEach((grain, k) => assert.equal(read[k], Math.fround(grain / 1000)));
});

test("whole numbers of 16 and of 32 bits are read alike", () => {
  assert.deepEqual(numbers(`u16:${base64(2, "writeUInt16LE", [0, 1, 65535])}`), Uint32Array.of(0, 1, 65535));
  assert.deepEqual(numbers(`u32:${base64(4, "writeUInt32LE", [0, 4294967295])}`), Uint32Array.of(0, 4294967295));
});

test("an empty array is one", () => {
  assert.equal(numbers("i24:").length, 0);
});

test("an array of another kind, or cut short, is refused", () => {
  assert.throws(() => numbers("f64:AAAA"), /f64/);
  assert.throws(() => numbers("f32:AAAA"), /cut short/);
});

test("things are found by their names, also by a name that objects have of their own", () => {
  const lay = readLay(JSON.stringify({ format: 1, ...EMPTY, tubes: [{ name: "a" }, { name: "constructor" }] }));
  assert.equal(lay.index.tubes.get("constructor"), 1);
  assert.equal(lay.index.tubes.get("toString"), undefined);
});

test("points are decoded where they stand, and what is missing stays missing", () => {
  const points = `f32:${base64(4, "writeFloatLE", [1, 2, 3])}`;
  const [forms, passages, tubes] = [[{ points }], [{ name: "b", lines: points }], [{ name: "c", taped: null }]];
  const lay = readLay(JSON.stringify({ format: 1, ...EMPTY, forms, passages, tubes }));
  assert.deepEqual([...lay.forms[0].points, ...lay.passages[0].lines], [1, 2, 3, 1, 2, 3]);
  assert.equal(lay.tubes[0].taped, null);
});

test("a lay of another format is refused with a sentence", () => {
  assert.throws(() => readLay(JSON.stringify({ format: 2, ...EMPTY })), /format 1.* has 2/);
});
