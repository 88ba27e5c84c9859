// Lengths in both units, held to the inch of 25.4 mm.

import assert from "node:assert/strict";
import { test } from "node:test";

import { figure, fine, inUnit, length } from "../../routeviz/views/page/src/lengths.js";

const INCH = 25.4; // mm, by the definition of 1959
const plain = (text) => text.replaceAll("\u00a0", " ").replaceAll("\u2212", "-");
const inches = (mm) => plain(length(mm, "in"));

test("millimetres are said with one decimal", () => {
  assert.equal(plain(length(312.74, "mm")), "312.7 mm");
  assert.equal(plain(length(0, "mm")), "0.0 mm");
  assert.equal(plain(length(-2.59, "mm")), "-2.6 mm");
});

test("nothing is said to be less than nought when its decimals are noughts", () => {
  assert.equal(plain(length(-0.04, "mm")), "0.0 mm");
  assert.equal(inches(-0.3), "0 in");
});

test("inches are whole ones and a proper fraction in lowest terms", () => {
  assert.equal(inches((12 + 5 / 16) * INCH), "12 5/16 in");
  assert.equal(inches(8.5 * INCH), "8 1/2 in");
  assert.equal(inches(INCH / 8), "1/8 in");
  assert.equal(inches(3 * INCH), "3 in");
  assert.equal(inches(-1.25 * INCH), "-1 1/4 in");
});

test("what is nearest to a whole inch is one", () => {
  assert.equal(inches(4 * INCH - 0.5), "4 in");
  assert.equal(inches(INCH * (1 - 1 / 32)), "1 in");
});

test("half a sixteenth goes up, whichever the sixteenth", () => {
  for (let k = 0; k < 64; k += 1) {
    const half = ((2 * k + 1) / 32) * INCH;
    assert.equal(inches(half), inches(((k + 1) / 16) * INCH));
    assert.equal(inches(half - 0.001), inches((k / 16) * INCH));
  }
});

test("an inch length read again is at most half a sixteenth away", () => {
  for (let mm = -90; mm < 90; mm += 0.37) {
    const parts = inches(mm).match(/^(-?)(?:(\d+)(?= |$))? ?(?:(\d+)\/(\d+))? in$/) ?? [];
    const [, sign, whole = "0", over = "0", under = "1"] = parts;
    const read = (sign ? -1 : 1) * (Number(whole) + Number(over) / Number(under)) * INCH;
    assert.ok(Math.abs(read - mm) <= INCH / 32 + 1e-9, `${mm} is said ${inches(mm)}`);
    assert.ok(Number(over) < Number(under) || over === "0");
  }
});

test("a small length says millimetres beside inches, for sixteenths are coarse", () => {
  assert.equal(plain(fine(2.9, "in")), "1/8 in (2.9 mm)");
  assert.equal(plain(fine(2.9, "mm")), "2.9 mm");
  assert.equal(plain(fine(50.8, "in")), "2 in");
});

test("lengths in a sentence follow the unit", () => {
  const says = "comes within 0.5 mm of keys 1, 730 mm along; 3.0 mm wanted";
  assert.equal(plain(inUnit(says, "mm")), says);
  assert.equal(plain(inUnit(says, "in")), "comes within 0.5 mm of keys 1, 28 3/4 in along; 1/8 in (3.0 mm) wanted");
});

test("no line ends between a number and its unit", () => {
  const says = "runs 2.0 mm into rail, 180 mm along, at 6.2 kPa";
  for (const unit of ["mm", "in"]) assert.doesNotMatch(inUnit(says, unit), /\d (mm|in|kPa)\b/);
});

test("a length in a name stays as it was written", () => {
  const says = "bends 12.7 mm off 12.7 mm rail, 25.4 mm along";
  assert.equal(plain(inUnit(says, "in", ["12.7 mm rail"])), "bends 1/2 in (12.7 mm) off 12.7 mm rail, 1 in along");
});

test("a column's figures carry no unit", () => {
  assert.equal(figure(100.06, "mm"), "100.1");
  assert.equal(plain(figure(100, "in")), "3 15/16");
});
