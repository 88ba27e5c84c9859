/** Where a plane cuts what is drawn: outlines, and the faces that the cut lays open. Pure arithmetic. */

const GRAIN = 1e-5; // mm: nothing is cut exactly through its corners

/** The plane of a cut as four numbers: what lies beyond, so that a.p > d, is taken away. */
export function planeOf(cut) {
  if (!cut) return [0, 0, 0, 1];
  const plane = [0, 0, 0, -cut.keep * (cut.at + GRAIN)];
  plane[cut.axis] = -cut.keep;
  return plane;
}

/** Whether a cut leaves a point. */
export const leaves = (cut, point) => !cut || cut.keep * (point[cut.axis] - cut.at) >= -1e-3;

/**
 * Where triangles cross a plane along an axis.
 * @param {Float32Array} points
 * @param {ArrayLike<number>} triangles numbers of points, from `begin`, `count` of them
 * @param {{axis: number, at: number}} cut
 * @returns {number[]} pieces of outline in the plane, four numbers each, the inside to their left
 */
export function outlineOf(points, triangles, [begin, count], cut) {
  const { axis } = cut;
  const at = cut.at + GRAIN;
  const found = [];
  for (let t = begin; t < begin + count; t += 3) {
    const [a, b, c] = [3 * triangles[t], 3 * triangles[t + 1], 3 * triangles[t + 2]];
    const [x, y, z] = [points[a + axis] > at, points[b + axis] > at, points[c + axis] > at];
    if (x === y && y === z) continue;
    // The corner that is alone on its side first, the others in their order.
    const [p, q, r, above] = x === z ? [b, c, a, y] : x === y ? [c, a, b, z] : [a, b, c, x];
    const [from, to] = [crossing(points, p, q, axis, at), crossing(points, p, r, axis, at)];
    if (above) found.push(to[0], to[1], from[0], from[1]);
    else found.push(from[0], from[1], to[0], to[1]);
  }
  return found;
}

/** The other two axes of a plane, in their right-handed order. */
export const acrossAxes = (axis) => [(axis + 1) % 3, (axis + 2) % 3];

function crossing(points, p, q, axis, at) {
  const share = (at - points[p + axis]) / (points[q + axis] - points[p + axis]);
  const [i, j] = acrossAxes(axis);
  return [i, j].map((k) => points[p + k] + share * (points[q + k] - points[p + k]));
}

/**
 * The area within outlines, as flat triangles: strips between neighbouring heights, so that holes, and pieces that
 * overlap, need no care. A place is within where the outlines wind about it.
 * @param {number[]} outline as outlineOf gives it
 * @returns {number[]} six numbers a triangle, in the plane
 */
export function areaOf(outline) {
  const sides = [];
  for (let k = 0; k < outline.length; k += 4) {
    const [x, y, u, v] = outline.slice(k, k + 4);
    if (y < v) sides.push({ x, y, u, v, turn: -1 });
    if (y > v) sides.push({ x: u, y: v, u: x, v: y, turn: 1 });
  }
  sides.sort((a, b) => a.y - b.y);
  const heights = [...new Set(sides.flatMap((s) => [s.y, s.v]))].sort((a, b) => a - b);
  const found = [];
  let active = [];
  let next = 0;
  for (let k = 0; k + 1 < heights.length; k++) {
    const [low, high] = [heights[k], heights[k + 1]];
    active = active.filter((s) => s.v > low);
    while (next < sides.length && sides[next].y <= low) active.push(sides[next++]);
    strip(active, low, high, found);
  }
  return found;
}

const acrossAt = (s, y) => s.x + ((s.u - s.x) * (y - s.y)) / (s.v - s.y);

function strip(active, low, high, found) {
  const middle = (low + high) / 2;
  const row = active.map((s) => ({ s, x: acrossAt(s, middle) })).sort((a, b) => a.x - b.x);
  let winding = 0;
  let left = null;
  for (const { s } of row) {
    const before = winding;
    winding += s.turn;
    if (before === 0) left = s;
    if (winding !== 0 || before === 0) continue;
    const [a, b, c, d] = [acrossAt(left, low), acrossAt(s, low), acrossAt(s, high), acrossAt(left, high)];
    found.push(a, low, b, low, c, high, a, low, c, high, d, high);
  }
}
