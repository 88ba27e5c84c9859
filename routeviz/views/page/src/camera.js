/**
 * Where the eye is and what it sees: a pose {eye, target, up, height, parallel}, and how it moves.
 *
 * Pure arithmetic in double precision; pointers and fingers are in controls.js. `height` is what the picture holds from
 * its lower to its upper rim at the target; `aspect`, 1 where none is said, is the width over height for which that was
 * chosen, and a picture that is narrower holds as much across instead.
 */
import { framed } from "./projecting.js";
import { acrossOf, add, cross, dot, mixed, scaled, size, sub, turned, unit } from "./vectors.js";

const STEEPEST = 1e-3; // radians that are left between the line of sight and straight down or up
const NEAREST = 0.02; // of the distance to the target: nearer than this nothing is drawn
const FLAT = 0.004; // half the angle, as a tangent, at which perspective passes for parallel while flying

/** A pose of one's own, with whatever is not said taken from another. */
export function poseOf(view, before) {
  return {
    eye: [...view.eye],
    target: [...view.target],
    up: [...view.up],
    height: view.height ?? before.height,
    parallel: Boolean(view.parallel),
    aspect: view.aspect ?? 1,
  };
}

/** Directions to the picture's right, to its top and out of it. */
export function axesOf(pose) {
  const out = unit(sub(pose.eye, pose.target), [0, -1, 0]);
  const flat = cross(pose.up, out);
  const right = size(flat) > 1e-9 ? unit(flat) : acrossOf(out);
  return { right, top: cross(out, right), out };
}

/** From the lower to the upper rim at the target, on a picture of this width over height. */
export function shownHeight(pose, aspect) {
  return pose.height * Math.max(1, (pose.aspect ?? 1) / aspect);
}

/** The pose turned about its target: to the right and upwards, in radians. Never past straight down or up. */
export function orbited(pose, right, upwards) {
  const axes = axesOf(pose);
  const steep = Math.atan2(axes.out[2], Math.hypot(axes.top[2], axes.right[2]) || 1e-12);
  const most = Math.PI / 2 - STEEPEST;
  const down = Math.max(-most, Math.min(most, steep + upwards)) - steep;
  const pitched = (a) => turned(turned(a, axes.right, -down), [0, 0, 1], -right);
  const far = size(sub(pose.eye, pose.target));
  return { ...pose, eye: add(pose.target, scaled(pitched(axes.out), far)), up: pitched(axes.top) };
}

/** The pose moved sideways so that what is at the target follows the pointer: shares of the picture's height. */
export function panned(pose, right, upwards, aspect) {
  const { right: across, top } = axesOf(pose);
  const high = shownHeight(pose, aspect);
  const by = add(scaled(across, -right * high), scaled(top, -upwards * high));
  return { ...pose, eye: add(pose.eye, by), target: add(pose.target, by) };
}

/** The pose drawn together about a point, which stays where it is on the picture; a factor below 1 comes nearer. */
export function zoomed(pose, factor, about) {
  const drawn = (p) => add(about, scaled(sub(p, about), factor));
  return { ...pose, eye: drawn(pose.eye), target: drawn(pose.target), height: pose.height * factor };
}

/** The ray through a place of the picture: shares of half its width and height from its middle, right and up. */
export function rayAt(pose, x, y, aspect) {
  const { right, top, out } = axesOf(pose);
  const half = shownHeight(pose, aspect) / 2;
  const at = add(pose.target, add(scaled(right, x * half * aspect), scaled(top, y * half)));
  if (!pose.parallel) return { from: pose.eye, along: unit(sub(at, pose.eye)) };
  const far = size(sub(pose.eye, pose.target));
  return { from: add(at, scaled(out, far)), along: scaled(out, -1) };
}

/** Where a point stands: x and y as in rayAt, and its depth before the eye. */
export function placeOf(pose, point, aspect) {
  const { right, top, out } = axesOf(pose);
  const from = sub(point, pose.target);
  const far = size(sub(pose.eye, pose.target));
  const depth = far - dot(from, out);
  const shrink = pose.parallel ? 1 : far / Math.max(depth, 1e-9);
  const half = shownHeight(pose, aspect) / 2;
  return { x: (dot(from, right) * shrink) / (half * aspect), y: (dot(from, top) * shrink) / half, depth };
}

/** How many mm one share of half the picture's height is, at a depth. */
export function spanAt(pose, depth, aspect) {
  const half = shownHeight(pose, aspect) / 2;
  return pose.parallel ? half : (half * depth) / size(sub(pose.eye, pose.target));
}

/**
 * Matrices for drawing, column by column as WebGL has them, and the nearest and farthest depth that is drawn.
 * @param {[number[], number[]]} bounds lowest and highest corner of all there is
 */
export function matricesOf(pose, aspect, bounds) {
  const { right, top, out } = axesOf(pose);
  const rows = [right, top, out];
  const view = [];
  for (let k = 0; k < 3; k++) view.push(right[k], top[k], out[k], 0);
  view.push(...rows.map((row) => -dot(row, pose.eye)), 1);
  const { near, far } = depthsOf(pose, out, bounds);
  const half = shownHeight(pose, aspect) / 2;
  return { view, projection: projectionOf(pose, half, aspect, near, far), near, far };
}

function depthsOf(pose, out, bounds) {
  let near = Infinity;
  let far = -Infinity;
  for (let corner = 0; corner < 8; corner++) {
    const p = [0, 1, 2].map((k) => bounds[(corner >> k) & 1][k]);
    const depth = dot(sub(pose.eye, p), out);
    near = Math.min(near, depth);
    far = Math.max(far, depth);
  }
  const distance = size(sub(pose.eye, pose.target));
  const pad = 0.02 * (far - near) + 1;
  if (pose.parallel) return { near: near - pad, far: far + pad };
  const least = Math.max(NEAREST * distance, 0.05);
  return { near: Math.max(near - pad, least), far: Math.max(far + pad, 2 * least) };
}

function projectionOf(pose, half, aspect, near, far) {
  const wide = half * aspect;
  if (pose.parallel) {
    const deep = far - near;
    return [1 / wide, 0, 0, 0, 0, 1 / half, 0, 0, 0, 0, -2 / deep, 0, 0, 0, -(far + near) / deep, 1];
  }
  const distance = size(sub(pose.eye, pose.target));
  const deep = far - near;
  return [
    distance / wide, 0, 0, 0, 0, distance / half, 0, 0,
    0, 0, -(far + near) / deep, -1, 0, 0, (-2 * far * near) / deep, 0,
  ];
}

/** The pose that looks the same way and just holds a box, in a picture of this width over height. */
export function framing(view, bounds, aspect) {
  const corners = [...Array(8).keys()].flatMap((c) => [0, 1, 2].map((k) => bounds[(c >> k) & 1][k]));
  return framed(sub(view.eye, view.target), [...view.up], corners, aspect, { parallel: view.parallel });
}

/** The pose a share of the way from one to another, 0 to 1: round the target rather than through it. */
export function between(one, other, share) {
  if (share >= 1) return poseOf(other, other);
  const [a, b] = [flightOf(one), flightOf(other)];
  const height = a.height * (b.height / a.height) ** share;
  const slope = a.slope * (b.slope / a.slope) ** share;
  const [out, top] = turnedBetween(a, b, share);
  const target = mixed(one.target, other.target, share);
  const aspect = a.aspect + (b.aspect - a.aspect) * share;
  return { eye: add(target, scaled(out, height / (2 * slope))), target, up: top, height, parallel: false, aspect };
}

function flightOf(pose) {
  const far = size(sub(pose.eye, pose.target));
  const slope = pose.parallel ? FLAT : pose.height / (2 * far);
  return { ...axesOf(pose), height: pose.height, aspect: pose.aspect ?? 1, slope };
}

/** Out and top a share of the way: turned about the one axis that carries all three directions over. */
function turnedBetween(a, b, share) {
  const q = quaternionOf(a, b);
  const s = Math.hypot(q[1], q[2], q[3]);
  if (s < 1e-12) return [a.out, a.top];
  const axis = [q[1] / s, q[2] / s, q[3] / s];
  const angle = 2 * Math.atan2(s, q[0]) * share;
  return [turned(a.out, axis, angle), turned(a.top, axis, angle)];
}

/** The turn from one triad of directions to another as a unit quaternion with w >= 0 (Shepperd's method). */
function quaternionOf(a, b) {
  const m = (i, j) => b.right[i] * a.right[j] + b.top[i] * a.top[j] + b.out[i] * a.out[j];
  const squares = [
    1 + m(0, 0) + m(1, 1) + m(2, 2), 1 + m(0, 0) - m(1, 1) - m(2, 2),
    1 - m(0, 0) + m(1, 1) - m(2, 2), 1 - m(0, 0) - m(1, 1) + m(2, 2),
  ];
  const k = squares.indexOf(Math.max(...squares));
  const r = Math.sqrt(squares[k]);
  const [x, y, z] = [m(2, 1) - m(1, 2), m(0, 2) - m(2, 0), m(1, 0) - m(0, 1)];
  const [xy, yz, zx] = [m(0, 1) + m(1, 0), m(1, 2) + m(2, 1), m(2, 0) + m(0, 2)];
  const all = [[r * r, x, y, z], [x, r * r, xy, zx], [y, xy, r * r, yz], [z, zx, yz, r * r]][k];
  const sign = all[0] < 0 ? -1 : 1;
  return all.map((v) => (sign * v) / (2 * r));
}

/** A share of the time as a share of the way: off gently, on gently. */
export const eased = (t) => (t < 0.5 ? 4 * t * t * t : 1 - (2 - 2 * t) ** 3 / 2);
