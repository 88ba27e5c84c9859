/** Round sections swept along exactly the given points, written into one set of arrays that many tubes share. */

const FULL = 32767; // of a direction kept in 16 bits

/** How many corners and how many numbers of triangles a sweep of so many sides along n points takes. */
export const cornersOf = (n, sides) => (n + 2) * sides;
export const indicesOf = (n, sides) => 3 * (2 * (n - 1) * sides + 2 * (sides - 2));

/** The numbers of triangles of a sweep from one point to another: lids belong to the first and the last step. */
export function spanOf(begin, n, sides, from, to) {
  const lid = 3 * (sides - 2);
  const first = from === 0 ? 0 : lid + 6 * sides * from;
  const last = lid + 6 * sides * to + (to === n - 1 ? lid : 0);
  return [begin + first, last - first];
}

/** Room for many things: places, directions, whose they are, how far along they are (below 0: off any tube's length). */
export function roomFor(corners, indices) {
  return {
    points: new Float32Array(3 * corners),
    normals: new Int16Array(4 * corners),
    owners: new Uint16Array(corners),
    along: new Float32Array(corners),
    tangents: null, // of round things, in 8 bits
    triangles: new Uint32Array(indices),
    corner: 0,
    index: 0,
  };
}

/** Lengths from the first of n points to each. */
export function lengthsAlong(points) {
  const n = points.length / 3;
  const along = new Float64Array(n);
  for (let i = 1; i < n; i++) {
    const k = 3 * i;
    const d = Math.hypot(points[k] - points[k - 3], points[k + 1] - points[k - 2], points[k + 2] - points[k - 1]);
    along[i] = along[i - 1] + d;
  }
  return along;
}

/**
 * Frames carried along points without twist: tangent, first and second direction across, nine numbers a point.
 * The tangent halves the corner; the first direction is the last one's, made square to the new tangent.
 */
export function framesAlong(points) {
  const n = points.length / 3;
  const frames = new Float64Array(9 * n);
  let chord = [0, 0, 1];
  let first = null;
  for (let i = 0; i < n; i++) {
    const next = i < n - 1 ? directionAt(points, i, chord) : chord;
    const t = i > 0 ? halved(chord, next) : next;
    const f = acrossFrom(first, t);
    const second = [t[1] * f[2] - t[2] * f[1], t[2] * f[0] - t[0] * f[2], t[0] * f[1] - t[1] * f[0]];
    for (let k = 0; k < 3; k++) {
      frames[9 * i + k] = t[k];
      frames[9 * i + 3 + k] = f[k];
      frames[9 * i + 6 + k] = second[k];
    }
    [chord, first] = [next, f];
  }
  return frames;
}

/** The direction from a point to the next; where they are the same point it stays what it was. */
function directionAt(points, i, before) {
  const k = 3 * i;
  const d = [points[k + 3] - points[k], points[k + 4] - points[k + 1], points[k + 5] - points[k + 2]];
  const s = Math.sqrt(d[0] * d[0] + d[1] * d[1] + d[2] * d[2]);
  return s > 0 ? [d[0] / s, d[1] / s, d[2] / s] : before;
}

function halved(one, other) {
  const sum = [one[0] + other[0], one[1] + other[1], one[2] + other[2]];
  const s = Math.sqrt(sum[0] * sum[0] + sum[1] * sum[1] + sum[2] * sum[2]);
  return s > 1e-9 ? [sum[0] / s, sum[1] / s, sum[2] / s] : other;
}

function acrossFrom(last, t) {
  const start = last ?? (Math.abs(t[2]) < 0.9 ? [0, 0, 1] : [1, 0, 0]);
  for (const a of [start, [1, 0, 0], [0, 1, 0]]) {
    const d = a[0] * t[0] + a[1] * t[1] + a[2] * t[2];
    const f = [a[0] - d * t[0], a[1] - d * t[1], a[2] - d * t[2]];
    const s = Math.sqrt(f[0] * f[0] + f[1] * f[1] + f[2] * f[2]);
    if (s > 1e-3) return [f[0] / s, f[1] / s, f[2] / s];
  }
  return [0, 1, 0];
}

/** Room for sweeps, which keep their tangents, too. */
export const roundRoom = (corners, indices) => ({ ...roomFor(corners, indices), tangents: new Int8Array(4 * corners) });

const circles = new Map();

function circleOf(sides) {
  if (!circles.has(sides)) {
    const at = (f) => Float64Array.from({ length: sides }, (_, k) => f((2 * Math.PI * k) / sides));
    circles.set(sides, { cos: at(Math.cos), sin: at(Math.sin) });
  }
  return circles.get(sides);
}

/**
 * Write a round thing along points, with flat ends, into room.
 * @param {object} room
 * @param {ArrayLike<number>} points
 * @param {{radius: number, owner: number, along: ArrayLike<number>, sides: number}} how along: how far each point is
 * @returns {[number, number]} where its triangles begin and how many numbers they are
 */
export function sweep(room, points, how) {
  const n = points.length / 3;
  const frames = framesAlong(points);
  const begin = room.index;
  const lids = room.corner;
  ring(room, points, frames, 0, { ...how, cap: -1 });
  ring(room, points, frames, n - 1, { ...how, cap: 1 });
  const first = room.corner;
  for (let i = 0; i < n; i++) ring(room, points, frames, i, how);
  lid(room, lids, how.sides, -1);
  wall(room, first, n, how.sides);
  lid(room, lids + how.sides, how.sides, 1);
  return [begin, room.index - begin];
}

/** One circle; that of a lid faces along the thing and has no tangent, others face outwards. */
function ring(room, points, frames, i, { radius, owner, along, sides, cap = 0 }) {
  const { cos, sin } = circleOf(sides);
  const [tx, ty, tz, fx, fy, fz, sx, sy, sz] = frames.subarray(9 * i, 9 * i + 9);
  const [x, y, z] = [points[3 * i], points[3 * i + 1], points[3 * i + 2]];
  const { points: places, normals, tangents } = room;
  const out = cap === 0 ? FULL : 0;
  const on = cap * FULL;
  let at = 3 * room.corner;
  let to = 4 * room.corner;
  for (let k = 0; k < sides; k++, at += 3, to += 4) {
    const [c, s] = [cos[k], sin[k]];
    const [ux, uy, uz] = [c * fx + s * sx, c * fy + s * sy, c * fz + s * sz];
    places[at] = x + radius * ux;
    places[at + 1] = y + radius * uy;
    places[at + 2] = z + radius * uz;
    normals[to] = out * ux + on * tx;
    normals[to + 1] = out * uy + on * ty;
    normals[to + 2] = out * uz + on * tz;
    if (cap === 0) tangents.set([127 * tx, 127 * ty, 127 * tz], to);
  }
  room.owners.fill(owner, room.corner, room.corner + sides);
  room.along.fill(along ? along[i] : -1, room.corner, room.corner + sides);
  room.corner += sides;
}

function wall(room, first, n, sides) {
  const { triangles } = room;
  let at = room.index;
  for (let i = 0; i < n - 1; i++) {
    for (let k = 0; k < sides; k++) {
      const a = first + i * sides + k;
      const b = k + 1 < sides ? a + 1 : a + 1 - sides;
      triangles[at] = a;
      triangles[at + 1] = b;
      triangles[at + 2] = a + sides;
      triangles[at + 3] = b;
      triangles[at + 4] = b + sides;
      triangles[at + 5] = a + sides;
      at += 6;
    }
  }
  room.index = at;
}

function lid(room, corner, sides, side) {
  for (let k = 1; k < sides - 1; k++) {
    const [b, c] = side > 0 ? [k, k + 1] : [k + 1, k];
    room.triangles.set([corner, corner + b, corner + c], room.index);
    room.index += 3;
  }
}
