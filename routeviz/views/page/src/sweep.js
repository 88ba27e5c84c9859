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

/** Room for many things: places, directions, whose they are, how far along (below 0: off any tube's length). */
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
  const chord = new Float64Array(3);
  const next = Float64Array.of(0, 0, 1);
  for (let i = 0; i < n; i++) {
    chord.set(next);
    if (i < n - 1) turnTo(points, 3 * i, next);
    halve(i > 0 ? chord : next, next, frames, 9 * i);
    if (i === 0 || !lay(frames, 9 * i, frames, 9 * i - 6)) layAnew(frames, 9 * i);
    cross(frames, 9 * i);
  }
  return frames;
}

/** The direction from a point to the next; where they are the same point it stays what it was. */
function turnTo(points, k, next) {
  const x = points[k + 3] - points[k];
  const y = points[k + 4] - points[k + 1];
  const z = points[k + 5] - points[k + 2];
  const s = Math.sqrt(x * x + y * y + z * z);
  if (s === 0) return;
  next[0] = x / s;
  next[1] = y / s;
  next[2] = z / s;
}

/** The direction halfway between two; the other, where they are opposite. */
function halve(one, other, frames, at) {
  const x = one[0] + other[0];
  const y = one[1] + other[1];
  const z = one[2] + other[2];
  const s = Math.sqrt(x * x + y * y + z * z);
  const turns = s <= 1e-9;
  frames[at] = turns ? other[0] : x / s;
  frames[at + 1] = turns ? other[1] : y / s;
  frames[at + 2] = turns ? other[2] : z / s;
}

/** Make a direction square to the tangent and take it as the first across; false where hardly any of it is left. */
function lay(frames, at, from, k) {
  const d = from[k] * frames[at] + from[k + 1] * frames[at + 1] + from[k + 2] * frames[at + 2];
  const x = from[k] - d * frames[at];
  const y = from[k + 1] - d * frames[at + 1];
  const z = from[k + 2] - d * frames[at + 2];
  const s = Math.sqrt(x * x + y * y + z * z);
  frames[at + 3] = x / s;
  frames[at + 4] = y / s;
  frames[at + 5] = z / s;
  return s > 1e-3;
}

const AXES = [0, 0, 1, 1, 0, 0];

/** With nothing to carry on: across from upright, or from the right where the tangent is upright. */
const layAnew = (frames, at) => lay(frames, at, AXES, Math.abs(frames[at + 2]) < 0.9 ? 0 : 3);

/** The second direction across: the tangent's and the first's vector product. */
function cross(f, at) {
  f[at + 6] = f[at + 1] * f[at + 5] - f[at + 2] * f[at + 4];
  f[at + 7] = f[at + 2] * f[at + 3] - f[at] * f[at + 5];
  f[at + 8] = f[at] * f[at + 4] - f[at + 1] * f[at + 3];
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
  const { points: places, normals, tangents } = room;
  const out = cap === 0 ? FULL : 0;
  const first = room.corner;
  for (let j = 0; j < 3; j++) {
    const tangent = frames[9 * i + j];
    const one = frames[9 * i + 3 + j];
    const other = frames[9 * i + 6 + j];
    const centre = points[3 * i + j];
    for (let k = 0; k < sides; k++) {
      const spoke = cos[k] * one + sin[k] * other;
      places[3 * (first + k) + j] = centre + radius * spoke;
      normals[4 * (first + k) + j] = out * spoke + cap * FULL * tangent;
      if (cap === 0) tangents[4 * (first + k) + j] = 127 * tangent;
    }
  }
  room.owners.fill(owner, first, first + sides);
  room.along.fill(along ? along[i] : -1, first, first + sides);
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
