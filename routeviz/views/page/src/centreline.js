/** The checked centreline of a tube: straight from corner to corner, each rounded by an arc that touches both legs. */

import { cross, dot, shifted, size, sub, unit } from "./vectors.js";

const SAGITTA_MM = 0.1; // by which a chord may leave its arc
const STRAIGHT = 1e-5; // a turn, in radians, below which there is no arc
// Points nearer than this are one: where arcs meet, writing corners in micrometres puts them out of order.
const SAME_MM = 0.01;
const NOWHERE = [0, 0, 0]; // the direction between two corners that are one: it turns nothing

/**
 * Points along a centreline, close enough that the chords between them stay near it.
 * @param {ArrayLike<number>} corners three numbers each, ends included
 * @param {ArrayLike<number>} radii one for each inner corner; 0 where it is no corner
 * @returns {Float32Array} three numbers a point, from the first corner to the last
 */
export function centreline(corners, radii) {
  const at = Array.from({ length: corners.length / 3 }, (_, k) => Array.from(corners.slice(3 * k, 3 * k + 3)));
  const points = [at[0]];
  for (let k = 1; k < at.length - 1; k++) {
    for (const point of rounded(at[k - 1], at[k], at[k + 1], radii[k - 1])) {
      if (size(sub(point, points.at(-1))) > SAME_MM) points.push(point);
    }
  }
  while (points.length > 1 && size(sub(points.at(-1), at.at(-1))) <= SAME_MM) points.pop();
  return Float32Array.from([...points, at.at(-1)].flat());
}

/** The points of the arc that rounds a corner, or the corner itself. */
function rounded(before, corner, after, radius) {
  const [ahead, on] = [unit(sub(corner, before), NOWHERE), unit(sub(after, corner), NOWHERE)];
  const turn = Math.atan2(size(cross(ahead, on)), dot(ahead, on));
  if (!(radius > 0) || turn < STRAIGHT) return [corner];
  const start = shifted(corner, ahead, -radius * Math.tan(turn / 2));
  const inwards = unit(shifted(on, ahead, -Math.cos(turn)));
  // The chord of an angle a misses its arc by R (1 - cos(a/2)) = 2 R sin(a/4)^2.
  const step = 4 * Math.asin(Math.sqrt(Math.min(SAGITTA_MM / (2 * radius), 0.5)));
  const steps = Math.ceil(turn / step);
  return Array.from({ length: steps + 1 }, (_, k) => {
    const angle = (turn * k) / steps;
    return shifted(shifted(start, ahead, radius * Math.sin(angle)), inwards, radius * (1 - Math.cos(angle)));
  });
}
