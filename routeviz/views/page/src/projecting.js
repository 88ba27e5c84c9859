// From a view to places on a picture and back; the arithmetic of the flat pictures and of the bench's eye points.

import { add, cross, dot, scaled, shifted, size, sub, unit } from "./vectors.js";

const SLOPE = Math.tan((12 * Math.PI) / 180); // of half the picture, as the 3D's camera has it: 24 degrees in all
const MARGIN = 1.12; // of a tube that is framed
const ENOUGH = 0.6; // of a tube's length that is left when it is seen from a side
const ROUNDS = 12; // of framing: each comes several times nearer
const NEAR = 1; // mm before the eye from which on things are drawn

/**
 * The picture's directions: to its right, to its top, and out of it towards the eye.
 * @param {{eye: number[], target: number[], up: number[]}} view
 * @returns {number[][]}
 */
export function axesOf(view) {
  const out = unit(sub(view.eye, view.target));
  const right = unit(cross(view.up, out));
  return [right, cross(out, right), out];
}

/**
 * Where points stand on a picture.
 * @param {object} view
 * @param {ArrayLike<number>} points x, y, z one after the other
 * @param {number} wide of the picture
 * @param {number} high of the picture
 * @returns {Float64Array} from the left, from the top, and the depth before the eye: not a number (all three) where a
 *   point is not before the eye of a perspective view
 */
export function placesOf(view, points, wide, high) {
  const [right, up, out] = axesOf(view);
  const distance = size(sub(view.eye, view.target));
  const scale = high / view.height;
  const places = new Float64Array(points.length);
  for (let k = 0; k + 2 < points.length; k += 3) {
    const from = [points[k] - view.target[0], points[k + 1] - view.target[1], points[k + 2] - view.target[2]];
    const depth = distance - dot(from, out);
    const shrink = view.parallel ? scale : depth > NEAR ? (scale * distance) / depth : NaN;
    places[k] = wide / 2 + shrink * dot(from, right);
    places[k + 1] = high / 2 - shrink * dot(from, up);
    places[k + 2] = Number.isNaN(shrink) ? NaN : depth;
  }
  return places;
}

/**
 * How many pixels a millimetre has at a depth.
 * @param {object} view
 * @param {number} depth before the eye
 * @param {number} high of the picture
 * @returns {number}
 */
export function scaleAt(view, depth, high) {
  const distance = size(sub(view.eye, view.target));
  return (high / view.height) * (view.parallel ? 1 : distance / depth);
}

/**
 * The view whose picture is shifted by some pixels.
 * @param {object} view
 * @param {number} right pixels by which what is shown goes right
 * @param {number} down pixels by which it goes down
 * @param {number} high of the picture
 * @returns {object}
 */
export function panned(view, right, down, high) {
  const [x, y] = axesOf(view);
  const mm = view.height / high;
  const shift = (point) => shifted(shifted(point, x, -right * mm), y, down * mm);
  return { ...view, eye: shift(view.eye), target: shift(view.target) };
}

/**
 * The view that shows things nearer, while what is at a place of the picture stays there.
 * @param {object} view
 * @param {number} times larger
 * @param {number[]} at pixels from the left and the top
 * @param {number} wide of the picture
 * @param {number} high of the picture
 * @returns {object}
 */
export function zoomed(view, times, at, wide, high) {
  const [x, y] = axesOf(view);
  const share = (view.height / high) * (1 - 1 / times);
  const step = shifted(scaled(x, (at[0] - wide / 2) * share), y, -(at[1] - high / 2) * share);
  const target = add(view.target, step);
  const back = sub(view.eye, view.target);
  return { ...view, target, eye: shifted(target, back, 1 / times), height: view.height / times };
}

/**
 * The view from a direction that just holds all points.
 * @param {number[]} out from the points to the eye
 * @param {number[]} up
 * @param {ArrayLike<number>} points x, y, z one after the other, at least one
 * @param {number} aspect width over height of the picture
 * @param {{parallel?: boolean, least?: number}} [how] to scale or not; the least height of what is seen, in mm
 * @returns {{eye: number[], target: number[], up: number[], height: number, parallel: boolean, aspect: number}}
 */
export function framed(out, up, points, aspect, { parallel = false, least = 60 } = {}) {
  const towards = unit(out);
  let middle = middleOf(points);
  let height = 4 * Math.max(extentOf(points), least);
  for (let round = 0; round < ROUNDS; round += 1) {
    const view = lookingAt(middle, towards, up, height, parallel);
    const { centre, reach } = reachOf(placesOf(view, points, 2, 2), height);
    const [x, y] = axesOf(view);
    middle = shifted(shifted(middle, x, centre[0]), y, centre[1]);
    height = MARGIN * 2 * Math.max(reach[1], reach[0] / aspect, least / 2 / MARGIN);
  }
  return { ...lookingAt(middle, towards, up, height, parallel), aspect };
}

/**
 * An eye point from which the whole of a tube is seen, from the side from which it shows best.
 * @param {object} lay the page's data, arrays decoded
 * @param {number} index the tube's
 * @param {number} aspect width over height of the picture
 * @returns {object|null} null for a tube without a route
 */
export function viewOfTube(lay, index, aspect) {
  const points = lay.tubes[index]?.points;
  if (!points?.length) return null;
  const sides = lay.views.map((view) => ({ out: sub(view.eye, view.target), up: view.up }));
  if (!sides.length) sides.push({ out: [0.5, -1, 0.36], up: [0, 0, 1] });
  const shown = sides.map((side) => shareSeen(points, side));
  // The overview comes first, from where the worker stands: another side only where it shows too little of the tube.
  const best = shown.indexOf(Math.max(...shown));
  const side = shown[0] < ENOUGH ? sides[best] : sides[0];
  return framed(side.out, side.up, points, aspect, { least: 150 });
}

function lookingAt(target, towards, up, height, parallel) {
  return { eye: shifted(target, towards, height / 2 / SLOPE), target, up, height, parallel };
}

/**
 * The middle of the box about points.
 * @param {ArrayLike<number>} points x, y, z one after the other
 * @returns {number[]}
 */
export function middleOf(points) {
  return [0, 1, 2].map((axis) => {
    const [low, high] = rangeOf(points, axis);
    return (low + high) / 2;
  });
}

function extentOf(points) {
  return Math.hypot(...[0, 1, 2].map((axis) => rangeOf(points, axis)[1] - rangeOf(points, axis)[0]));
}

function rangeOf(points, axis) {
  let low = Infinity;
  let high = -Infinity;
  for (let k = axis; k < points.length; k += 3) {
    low = Math.min(low, points[k]);
    high = Math.max(high, points[k]);
  }
  return [low, high];
}

/** Middle and half extent of places on a picture of 2 by 2, in mm at the target: half its height is 1. */
function reachOf(places, height) {
  const [left, right] = rangeOf(places, 0);
  const [top, bottom] = rangeOf(places, 1);
  const mm = height / 2;
  return {
    centre: [((left + right) / 2 - 1) * mm, (1 - (top + bottom) / 2) * mm],
    reach: [((right - left) / 2) * mm, ((bottom - top) / 2) * mm],
  };
}

/** The share of a tube's length that is left when it is seen from a side. */
function shareSeen(points, side) {
  const out = unit(side.out);
  let whole = 0;
  let seen = 0;
  for (let k = 3; k + 2 < points.length; k += 3) {
    const chord = [points[k] - points[k - 3], points[k + 1] - points[k - 2], points[k + 2] - points[k - 1]];
    const long = size(chord);
    whole += long;
    seen += Math.sqrt(Math.max(0, long ** 2 - dot(chord, out) ** 2));
  }
  return whole > 0 ? seen / whole : 1;
}
