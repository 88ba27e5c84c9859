/** Round sections swept along exactly the given points, written into one set of arrays that many tubes share. */

export const SIDES = 14; // corners of a section: its silhouette is within 2.5 % of its radius
const FULL = 32767; // of a direction kept in 16 bits

/** How many corners and how many numbers of triangles a sweep along n points takes. */
export const cornersOf = (n) => (n + 2) * SIDES;
export const indicesOf = (n) => 3 * (2 * (n - 1) * SIDES + 2 * (SIDES - 2));

/** Room for sweeps: places, directions, whose they are, how far along they are (below 0: off any tube's length). */
export function roomFor(corners, indices) {
  return {
    points: new Float32Array(3 * corners),
    normals: new Int16Array(4 * corners),
    owners: new Uint16Array(corners),
    along: new Float32Array(corners),
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
  const chord = [0, 0, 1];
  const before = [0, 0, 0];
  let first = null;
  for (let i = 0; i < n; i++) {
    for (let k = 0; k < 3; k++) before[k] = i > 0 ? chord[k] : 0;
    if (i < n - 1) turnTo(points, i, chord);
    const tangent = i < n - 1 ? halved(before, chord) : [...chord];
    first = acrossFrom(first, tangent);
    const [t, f] = [tangent, first];
    frames.set([
      t[0], t[1], t[2], f[0], f[1], f[2],
      t[1] * f[2] - t[2] * f[1], t[2] * f[0] - t[0] * f[2], t[0] * f[1] - t[1] * f[0],
    ], 9 * i);
  }
  return frames;
}

/** The direction from a point to the next; where they are the same point it stays what it was. */
function turnTo(points, i, chord) {
  const k = 3 * i;
  const d = [points[k + 3] - points[k], points[k + 4] - points[k + 1], points[k + 5] - points[k + 2]];
  const s = Math.hypot(d[0], d[1], d[2]);
  if (s > 0) for (let j = 0; j < 3; j++) chord[j] = d[j] / s;
}

function halved(one, other) {
  const sum = [one[0] + other[0], one[1] + other[1], one[2] + other[2]];
  const s = Math.hypot(sum[0], sum[1], sum[2]);
  return s > 1e-9 ? sum.map((v) => v / s) : [...other];
}

function acrossFrom(last, t) {
  const start = last ?? (Math.abs(t[2]) < 0.9 ? [0, 0, 1] : [1, 0, 0]);
  for (const a of [start, [1, 0, 0], [0, 1, 0]]) {
    const d = a[0] * t[0] + a[1] * t[1] + a[2] * t[2];
    const f = [a[0] - d * t[0], a[1] - d * t[1], a[2] - d * t[2]];
    const s = Math.hypot(f[0], f[1], f[2]);
    if (s > 1e-3) return f.map((v) => v / s);
  }
  return [0, 1, 0];
}

const COS = Float64Array.from({ length: SIDES }, (_, k) => Math.cos((2 * Math.PI * k) / SIDES));
const SIN = Float64Array.from({ length: SIDES }, (_, k) => Math.sin((2 * Math.PI * k) / SIDES));

/**
 * Write a round thing along points, with flat ends, into room; `banded` says whether bands may stand on it.
 * @returns {[number, number]} where its triangles begin and how many numbers they are
 */
export function sweep(room, points, radius, owner, banded) {
  const n = points.length / 3;
  const frames = framesAlong(points);
  const along = banded ? lengthsAlong(points) : new Float64Array(n).fill(-1);
  const first = room.corner;
  const begin = room.index;
  for (let i = 0; i < n; i++) ring(room, points, frames, i, { radius, owner, along: along[i], cap: 0 });
  wall(room, first, n);
  for (const [i, side] of [[0, -1], [n - 1, 1]]) {
    const corner = room.corner;
    ring(room, points, frames, i, { radius, owner, along: along[i], cap: side });
    lid(room, corner, side);
  }
  return [begin, room.index - begin];
}

function ring(room, points, frames, i, { radius, owner, along, cap }) {
  const f = 9 * i;
  const p = 3 * i;
  let corner = room.corner;
  for (let k = 0; k < SIDES; k++, corner++) {
    const at = 3 * corner;
    const to = 4 * corner;
    for (let j = 0; j < 3; j++) {
      const spoke = COS[k] * frames[f + 3 + j] + SIN[k] * frames[f + 6 + j];
      room.points[at + j] = points[p + j] + radius * spoke;
      room.normals[to + j] = FULL * (cap === 0 ? spoke : cap * frames[f + j]);
    }
    room.owners[corner] = owner;
    room.along[corner] = along;
  }
  room.corner = corner;
}

function wall(room, first, n) {
  const { triangles } = room;
  let at = room.index;
  for (let i = 0; i < n - 1; i++) {
    for (let k = 0; k < SIDES; k++) {
      const a = first + i * SIDES + k;
      const b = first + i * SIDES + ((k + 1) % SIDES);
      triangles[at++] = a;
      triangles[at++] = b;
      triangles[at++] = a + SIDES;
      triangles[at++] = b;
      triangles[at++] = b + SIDES;
      triangles[at++] = a + SIDES;
    }
  }
  room.index = at;
}

function lid(room, corner, side) {
  for (let k = 1; k < SIDES - 1; k++) {
    const [b, c] = side > 0 ? [k, k + 1] : [k + 1, k];
    room.triangles.set([corner, corner + b, corner + c], room.index);
    room.index += 3;
  }
}
