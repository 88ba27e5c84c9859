/** Solids and keep-clear spaces as one set of arrays: forms that are alike are worked out once, then set down. */
import { roomFor } from "./sweep.js";

const FULL = 32767; // of a direction kept in 16 bits
const SHARP = Math.cos(Math.PI / 6); // faces that turn by less are one bent face: a round thing's sides

/**
 * Set down everything that has a form.
 * @param {object[]} forms of the lay: points, triangles (numbers of points), second (first triangle of that colour)
 * @param {{form: number, at: number[], owner: number}[]} standing
 * @returns {{room: object, ranges: Map<number, [number, number]>}}
 */
export function gatheredSolids(forms, standing) {
  const skins = forms.map(skinOf);
  const corners = standing.reduce((sum, { form }) => sum + forms[form].triangles.length, 0);
  const room = roomFor(corners, corners);
  const ranges = new Map();
  for (const { form, at, owner } of standing) {
    ranges.set(owner, [room.index, forms[form].triangles.length]);
    setDown(room, skins[form], at, owner);
  }
  return { room, ranges };
}

function setDown(room, { points, normals, bands }, at, owner) {
  const first = room.corner;
  const count = bands.length;
  for (let k = 0; k < 3 * count; k += 3) {
    for (let j = 0; j < 3; j++) room.points[3 * first + k + j] = points[k + j] + at[j];
  }
  room.normals.set(normals, 4 * first);
  room.along.set(bands, first);
  room.owners.fill(owner, first, first + count);
  for (let k = 0; k < count; k++) room.triangles[first + k] = first + k;
  room.corner += count;
  room.index += count;
}

/**
 * The corners of a form's triangles one by one: place, direction, and 1 where they have the second colour.
 * A corner's direction is shared by the faces there that turn by less than 30 degrees.
 */
export function skinOf({ points, triangles, second }) {
  const faces = facesOf(points, triangles);
  const around = facesAround(points.length / 3, triangles);
  const skin = {
    points: new Float32Array(3 * triangles.length),
    normals: new Int16Array(4 * triangles.length),
    bands: new Float32Array(triangles.length),
  };
  for (let k = 0; k < triangles.length; k++) {
    const face = Math.floor(k / 3);
    const from = 3 * triangles[k];
    for (let j = 0; j < 3; j++) skin.points[3 * k + j] = points[from + j];
    skin.bands[k] = second != null && face >= second ? 1 : 0;
    pack(skin.normals, 4 * k, sharedDirection(faces, face, around, triangles[k]));
  }
  return skin;
}

/** Twice the area of each triangle as a vector along its normal, and that as a number. */
function facesOf(points, triangles) {
  const faces = new Float64Array((triangles.length / 3) * 4);
  for (let t = 0, f = 0; t < triangles.length; t += 3, f += 4) {
    const [a, b, c] = [3 * triangles[t], 3 * triangles[t + 1], 3 * triangles[t + 2]];
    const [ux, uy, uz] = [points[b] - points[a], points[b + 1] - points[a + 1], points[b + 2] - points[a + 2]];
    const [vx, vy, vz] = [points[c] - points[a], points[c + 1] - points[a + 1], points[c + 2] - points[a + 2]];
    faces[f] = uy * vz - uz * vy;
    faces[f + 1] = uz * vx - ux * vz;
    faces[f + 2] = ux * vy - uy * vx;
    faces[f + 3] = Math.sqrt(faces[f] ** 2 + faces[f + 1] ** 2 + faces[f + 2] ** 2);
  }
  return faces;
}

/** For each point the faces about it: where its list begins, and all lists one after the other. */
function facesAround(count, triangles) {
  const begins = new Uint32Array(count + 1);
  for (const point of triangles) begins[point + 1]++;
  for (let k = 0; k < count; k++) begins[k + 1] += begins[k];
  const next = begins.slice();
  const faces = new Uint32Array(triangles.length);
  for (let k = 0; k < triangles.length; k++) faces[next[triangles[k]]++] = Math.floor(k / 3);
  return { begins, faces };
}

function sharedDirection(faces, face, around, point) {
  const own = 4 * face;
  const sum = [0, 0, 0];
  for (let k = around.begins[point]; k < around.begins[point + 1]; k++) {
    const f = 4 * around.faces[k];
    const along = faces[own] * faces[f] + faces[own + 1] * faces[f + 1] + faces[own + 2] * faces[f + 2];
    if (along >= SHARP * faces[own + 3] * faces[f + 3]) for (let j = 0; j < 3; j++) sum[j] += faces[f + j];
  }
  return sum;
}

function pack(normals, at, [x, y, z]) {
  const s = FULL / (Math.sqrt(x * x + y * y + z * z) || 1);
  normals[at] = x * s;
  normals[at + 1] = y * s;
  normals[at + 2] = z * s;
}

/** Some lines of a form where it stands, from one on to before another: pairs of places, one after the other. */
export function linesOf({ points, lines }, at, from, to) {
  const ends = new Float32Array(6 * (to - from));
  for (let k = 0; k < 2 * (to - from); k++) {
    const point = 3 * lines[2 * from + k];
    for (let j = 0; j < 3; j++) ends[3 * k + j] = points[point + j] + at[j];
  }
  return ends;
}
