/** Where the eye is and what it sees, held to right angles and proportions worked out here. */
import assert from "node:assert/strict";
import { test } from "node:test";
import * as camera from "../../routeviz/views/page/src/camera.js";

const FRONT = { eye: [0, -500, 0], target: [0, 0, 0], up: [0, 0, 1], height: 200, parallel: false };
const FLAT = { ...FRONT, parallel: true };
const SKEW = { eye: [310, -420, 250], target: [20, 35, -10], up: [0, 0, 1], height: 180, parallel: false };
const far = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
const near = (a, b, by = 1e-9) => assert.ok(far(a, b) <= by, `${a} is not at ${b}`);
const same = (a, b, by = 1e-9) => assert.ok(Math.abs(a - b) <= by, `${a} is not ${b}`);

test("from the front, right is to the right, top is up and out is towards the eye", () => {
  const axes = camera.axesOf(FRONT);
  near(axes.right, [1, 0, 0]);
  near(axes.top, [0, 0, 1]);
  near(axes.out, [0, -1, 0]);
});

test("what is as high as the picture at the target stands on its rim, and twice as far it is half as high", () => {
  same(camera.placeOf(FRONT, [0, 0, 100], 1.5).y, 1);
  same(camera.placeOf(FRONT, [150, 0, 0], 1.5).x, 1);
  same(camera.placeOf(FRONT, [0, 500, 100], 1.5).y, 0.5);
  same(camera.placeOf(FLAT, [0, 500, 100], 1.5).y, 1);
});

test("a picture that is narrower than it is meant to be holds as much across", () => {
  same(camera.placeOf(FRONT, [100, 0, 0], 0.5).x, 1);
  same(camera.placeOf({ ...FRONT, aspect: 1.6 }, [160, 0, 0], 0.8).x, 1);
});

test("the ray through a place meets what stands there", () => {
  for (const pose of [SKEW, { ...SKEW, parallel: true }]) {
    const point = [40, 10, 35];
    const { x, y, depth } = camera.placeOf(pose, point, 1.4);
    const { from, along } = camera.rayAt(pose, x, y, 1.4);
    const way = point.map((v, k) => v - from[k]);
    const on = way[0] * along[0] + way[1] * along[1] + way[2] * along[2];
    near(point, from.map((v, k) => v + on * along[k]));
    assert.ok(depth > 0);
  }
});

/** A point through matrices as WebGL has them, on the screen from -1 to 1. */
function projected({ view, projection }, p) {
  const times = (m, v) => [0, 1, 2, 3].map((row) => [0, 1, 2, 3].reduce((sum, k) => sum + m[4 * k + row] * v[k], 0));
  const [x, y, z, w] = times(projection, times(view, [...p, 1]));
  return [x / w, y / w, z / w];
}

test("the matrices put a point where the arithmetic has it, in perspective and to scale", () => {
  const bounds = [[-200, -200, -200], [200, 200, 200]];
  for (const pose of [SKEW, { ...SKEW, parallel: true }, { ...SKEW, aspect: 2 }]) {
    const matrices = camera.matricesOf(pose, 1.3, bounds);
    for (const point of [[0, 0, 0], [100, -50, 80], [-190, 190, -190]]) {
      const { x, y } = camera.placeOf(pose, point, 1.3);
      const [sx, sy, sz] = projected(matrices, point);
      same(sx, x);
      same(sy, y);
      assert.ok(sz > -1 && sz < 1, `${point} is drawn`);
    }
  }
});

test("a quarter of a turn to the right brings the eye from the front to the left", () => {
  near(camera.orbited(FRONT, Math.PI / 2, 0).eye, [-500, 0, 0]);
});

test("turning keeps the distance, the target and the horizon, and stops before straight down", () => {
  const raised = camera.orbited(SKEW, 0.3, 9);
  same(far(raised.eye, raised.target), far(SKEW.eye, SKEW.target));
  assert.deepEqual(raised.target, SKEW.target);
  same(camera.axesOf(raised).right[2], 0);
  assert.ok(camera.axesOf(raised).out[2] > 0.999999 && camera.axesOf(raised).top[2] > 0);
  assert.ok(camera.axesOf(camera.orbited(raised, 0, -99)).out[2] < -0.999999);
});

test("from straight above, turning down goes to the side from which the picture's lower rim is seen", () => {
  const above = { eye: [0, 0, 500], target: [0, 0, 0], up: [0, 1, 0], height: 200, parallel: true };
  const lower = camera.orbited(above, 0, -Math.PI / 4);
  assert.ok(lower.eye[1] < -300 && lower.eye[2] > 300, `${lower.eye}`);
});

test("what is at the target follows the pointer by the share that it moves", () => {
  const moved = camera.panned(FRONT, 0.25, -0.1, 1.5);
  same(camera.placeOf(moved, [0, 0, 0], 1.5).y, -0.2);
  same(camera.placeOf(moved, [0, 0, 0], 1.5).x * 1.5, 0.5);
});

test("zooming leaves the point that it is about where it is on the picture, and shows it nearer", () => {
  const about = [30, -20, 60];
  for (const pose of [SKEW, { ...SKEW, parallel: true }]) {
    const [before, after] = [pose, camera.zoomed(pose, 0.5, about)].map((p) => camera.placeOf(p, about, 1.5));
    same(after.x, before.x);
    same(after.y, before.y);
    same(after.depth, before.depth / 2);
  }
});

test("a flight begins where the eye is, ends exactly where it is sent, and keeps its distance between", () => {
  const to = { eye: [-400.123456789, 35, -10], target: [20, 35, -10], up: [0, 0, 1], height: 90, parallel: false };
  near(camera.between(SKEW, to, 0).eye, SKEW.eye, 1e-6);
  const end = camera.between(SKEW, to, 1);
  assert.deepEqual([end.eye, end.target, end.up, end.height], [to.eye, to.target, to.up, to.height]);
  const half = camera.between(SKEW, to, 0.5);
  const [a, b] = [SKEW, to].map((p) => far(p.eye, p.target));
  same(far(half.eye, half.target), Math.sqrt(a * b), 1e-6);
});

test("a flight from the front to the back goes round, not through", () => {
  const back = { ...FRONT, eye: [0, 500, 0] };
  const half = camera.between(FRONT, back, 0.5);
  same(far(half.eye, half.target), 500, 1e-6);
});

test("halfway round a quarter is an eighth of a turn", () => {
  const right = { ...FRONT, eye: [500, 0, 0] };
  near(camera.between(FRONT, right, 0.5).eye, [500 * Math.SQRT1_2, -500 * Math.SQRT1_2, 0], 1e-6);
});

test("a flight to a view that is to scale ends to scale, and comes there with hardly any perspective", () => {
  const end = camera.between(FRONT, { ...FLAT, eye: [500, 0, 0] }, 1);
  assert.equal(end.parallel, true);
  const late = camera.between(FRONT, { ...FLAT, eye: [500, 0, 0] }, 0.999);
  same(far(late.eye, late.target), 200 / 2 / 0.004, 500);
});

test("home holds every corner of the case in any shape of picture, and little more", () => {
  const bounds = [[0, 0, 0], [1500, 600, 1300]];
  for (const aspect of [0.5, 1, 2.2]) {
    for (const parallel of [false, true]) {
      const pose = camera.framing({ ...SKEW, parallel }, bounds, aspect);
      let most = 0;
      for (let k = 0; k < 8; k++) {
        const { x, y } = camera.placeOf(pose, [0, 1, 2].map((j) => bounds[(k >> j) & 1][j]), aspect);
        most = Math.max(most, Math.abs(x), Math.abs(y));
      }
      assert.ok(most <= 1 && most > 0.8, `${most} at ${aspect}`);
    }
  }
});

test("easing begins and ends gently and is halfway at half time", () => {
  assert.deepEqual([0, 0.5, 1].map(camera.eased), [0, 0.5, 1]);
  assert.ok(camera.eased(0.01) < 0.001 && camera.eased(0.99) > 0.999);
});
