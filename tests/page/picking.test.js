/** What a ray meets, held to circles and boxes worked out here. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { meantOf, metBy, targetsOf } from "../../routeviz/views/page/src/picking.js";

const TUBE = { owner: 1, points: [0, 0, 0, 100, 0, 0, 200, 0, 0], radius: 3 };
const SQUARE = [-50, 40, -50, 250, 40, -50, 250, 40, 50, -50, 40, -50, 250, 40, 50, -50, 40, 50];
const BOARD = { owner: 2, points: Float32Array.from(SQUARE), begin: 0, count: 18 };
const ALL = { spread: () => 0, keeps: () => true };
const ahead = (x, z) => ({ from: [x, -500, z], along: [0, 1, 0] });
const met = (ray, how = {}) => metBy(targetsOf([TUBE], [BOARD]), ray, { ...ALL, ...how });
const near = (found, wanted, by = 1e-6) =>
  wanted.forEach((v, k) => assert.ok(Math.abs(found[k] - v) <= by, `${found}`));

test("a ray through a tube's middle meets it on its near side, then the board behind", () => {
  const [first, second] = met(ahead(130, 0));
  assert.deepEqual([first.owner, second.owner], [1, 2]);
  near(first.point, [130, -3, 0]);
  near(second.point, [130, 40, 0]);
  assert.equal(second.depth, 540);
});

test("off the middle it meets the wall where the circle is", () => {
  near(met(ahead(130, 1.8))[0].point, [130, -2.4, 1.8]); // 1.8, 2.4, 3: a right triangle
});

test("aslant it meets the wall where the cylinder is", () => {
  const along = [Math.SQRT1_2, Math.SQRT1_2, 0];
  const [{ point }] = metBy(targetsOf([TUBE], []), { from: [0, -100, 0], along }, ALL);
  near(point, [97, -3, 0]);
});

test("a near miss counts as far as it may, and then lies on the tube's nearest side", () => {
  assert.deepEqual(met(ahead(130, 8)).map((hit) => hit.owner), [2]);
  const [hit] = met(ahead(130, 8), { spread: () => 6 });
  assert.equal(hit.owner, 1);
  assert.equal(hit.off, 5);
  near(hit.point, [130, 0, 3]);
});

test("a miss that may be wider far away is wider there", () => {
  const spread = (depth) => depth / 100;
  assert.equal(met(ahead(130, 7.5), { spread })[0].owner, 1);
  const close = { from: [130, -50, 7.5], along: [0, 1, 0] };
  assert.deepEqual(met(close, { spread }).map((hit) => hit.owner), [2]);
});

test("what the cut takes away is not met", () => {
  const keeps = (point) => point[0] > 150;
  assert.deepEqual(met(ahead(130, 0), { keeps }), []);
  assert.equal(met(ahead(160, 0), { keeps }).length, 2);
});

test("what is behind the eye is not met", () => {
  assert.deepEqual(met({ from: [130, 100, 0], along: [0, 1, 0] }), []);
});

test("a board is met from either side", () => {
  near(metBy(targetsOf([], [BOARD]), { from: [0, 500, 0], along: [0, -1, 0] }, ALL)[0].point, [0, 40, 0]);
});

const hit = (owner, depth, off = 0) => ({ owner, depth, off });
const opacities = [1, 1, 0.3];

test("the nearest of what is seen well is meant, before what is seen through in front of it", () => {
  assert.equal(meantOf([hit(2, 10), hit(1, 20), hit(0, 30)], (k) => opacities[k]).owner, 1);
  assert.equal(meantOf([hit(2, 10)], (k) => opacities[k]).owner, 2);
  assert.equal(meantOf([], (k) => opacities[k]), null);
});

test("a tube that is nearly met before a board is meant, one behind the board is not", () => {
  assert.equal(meantOf([hit(1, 20, 2), hit(0, 30)], (k) => opacities[k]).owner, 1);
  assert.equal(meantOf([hit(0, 10), hit(1, 20, 2)], (k) => opacities[k]).owner, 0);
});
