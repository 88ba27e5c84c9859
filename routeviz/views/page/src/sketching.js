// A line picture of a lay on a canvas: solids, passages, tubes as wide as they are, badges. It decides no colour.

import { carry, moved } from "./movements.js";
import { axesOf, middleOf, placesOf, scaleAt } from "./projecting.js";
import { sketchTubes } from "./sketchtubes.js";
import { sketchBadges, sketchLabels } from "./sketchwords.js";

const ALPHA = { lit: 1, plain: 1, faded: 0.22 };
const BEHIND = 0.4; // strength of edges behind the faces that one sees through
const facesOfForms = new WeakMap();

/**
 * Draw a lay.
 * @param {CanvasRenderingContext2D} ink
 * @param {object} lay the page's data, arrays decoded
 * @param {object} view eye, target, up, parallel, height
 * @param {object} how `wide`, `high` (CSS pixels), `emphasis` as `emphasisOf` gives it, `paper`, `text` (colours)
 */
export function sketch(ink, lay, view, how) {
  ink.fillStyle = how.paper;
  ink.fillRect(0, 0, how.wide, how.high);
  ink.lineJoin = "round";
  const placed = (points) => placesOf(view, points, how.wide, how.high);
  const scale = (depth) => scaleAt(view, depth, how.high);
  for (const index of farthestFirst(lay, view)) sketchSolid(ink, lay, index, placed, how);
  ink.globalAlpha = 1;
  for (const space of lay.spaces) sketchSpace(ink, lay, space, placed);
  sketchNipples(ink, lay, placed, scale);
  sketchTubes(ink, lay, { ...how, placed, scale });
  lay.passages.forEach((passage, index) => {
    const look = lay.looks[passage.marked ?? passage.look];
    strokeLines(ink, placed(passage.lines), null, { look, times: how.emphasis.passages.has(index) ? 2.5 : 1 });
  });
  sketchLabels(ink, lay, placed, how);
  sketchBadges(ink, lay, placed, how);
}

function sketchSolid(ink, lay, index, placed, { emphasis }) {
  const word = emphasis.solids[index];
  if (word === "hidden") return;
  const solid = lay.solids[index];
  const form = lay.forms[solid.form];
  const look = lay.looks[solid.marked ?? solid.look];
  const places = placed(standing(form.points, solid.at, moved(solid.movement, emphasis.shares(index))));
  const isSeen = facesSeen(form.triangles, places);
  ink.globalAlpha = ALPHA[word];
  if (word !== "faded") fillFaces(ink, form, { places, isSeen, look });
  const times = word === "lit" ? 2.5 : 1;
  const [front, back] = edgesSeen(form, isSeen);
  strokeLines(ink, places, front, { look, times });
  if (look.opacity >= lay.signs.opacities.opaque && word !== "faded") return;
  ink.globalAlpha = ALPHA[word] * BEHIND;
  strokeLines(ink, places, back, { look, times });
}

function sketchSpace(ink, lay, space, placed) {
  const form = lay.forms[space.form];
  const look = lay.looks[space.marked ?? space.look];
  const places = placed(standing(form.points, space.at, null));
  strokeLines(ink, places, form.lines.subarray(0, 2 * form.edges), { look, times: 1 });
  ink.globalAlpha = BEHIND;
  const hatching = { ...look, dashes: [] };
  strokeLines(ink, places, form.lines.subarray(2 * form.edges), { look: hatching, times: 0.7 });
  ink.globalAlpha = 1;
}

/**
 * Where the corners of a form are in the case.
 * @param {ArrayLike<number>} points relative to `at`
 * @param {number[]} at
 * @param {number[]|null} rows how the part has moved, as movements.js gives them
 * @returns {Float64Array}
 */
export function standing(points, at, rows) {
  const found = Float64Array.from(points, (value, k) => value + at[k % 3]);
  carry(rows, found, found, 0, found.length);
  return found;
}

/** On a picture, whose second coordinate goes down, faces towards the eye run clockwise. */
function facesSeen(triangles, places) {
  const seen = new Uint8Array(triangles.length / 3);
  for (let face = 0; face < seen.length; face += 1) {
    const [a, b, c] = [3 * triangles[3 * face], 3 * triangles[3 * face + 1], 3 * triangles[3 * face + 2]];
    const across = (places[b] - places[a]) * (places[c + 1] - places[a + 1]);
    seen[face] = across - (places[b + 1] - places[a + 1]) * (places[c] - places[a]) < 0 ? 1 : 0;
  }
  return seen;
}

/** All faces towards the eye as one path, so that no seam shows between them. */
function fillFaces(ink, { triangles, second }, { places, isSeen, look }) {
  const alpha = ink.globalAlpha;
  const change = second ?? isSeen.length;
  ink.globalAlpha = alpha * look.opacity;
  for (const [from, to, colour] of [
    [change, isSeen.length, look.second || look.colour],
    [0, change, look.colour],
  ]) {
    ink.fillStyle = colour;
    ink.beginPath();
    for (let face = from; face < to; face += 1) if (isSeen[face]) traceFace(ink, places, triangles, 3 * face);
    ink.fill();
  }
  ink.globalAlpha = alpha;
}

function traceFace(ink, places, triangles, k) {
  const [a, b, c] = [3 * triangles[k], 3 * triangles[k + 1], 3 * triangles[k + 2]];
  ink.moveTo(places[a], places[a + 1]);
  ink.lineTo(places[b], places[b + 1]);
  ink.lineTo(places[c], places[c + 1]);
  ink.closePath();
}

/** The edges before the faces that are seen, and those behind them; each pair of point numbers. */
function edgesSeen(form, isSeen) {
  if (!facesOfForms.has(form)) facesOfForms.set(form, facesAt(form));
  const [front, back] = [[], []];
  facesOfForms.get(form).forEach((faces, edge) => {
    const hidden = faces.length > 0 && !faces.some((face) => isSeen[face]);
    (hidden ? back : front).push(form.lines[2 * edge], form.lines[2 * edge + 1]);
  });
  return [front, back];
}

/** The faces that meet at each edge. */
function facesAt({ triangles, lines, edges }) {
  const met = new Map();
  for (let k = 0; k < triangles.length; k += 1) {
    const next = k % 3 === 2 ? k - 2 : k + 1;
    const key = pair(triangles[k], triangles[next]);
    if (!met.has(key)) met.set(key, []);
    met.get(key).push(Math.floor(k / 3));
  }
  return Array.from({ length: edges }, (_, edge) => met.get(pair(lines[2 * edge], lines[2 * edge + 1])) ?? []);
}

function pair(one, other) {
  return Math.min(one, other) * 0x4000000 + Math.max(one, other);
}

/** Lines between numbered places, or, without numbers, between each two places one after the other. */
function strokeLines(ink, places, numbers, { look, times }) {
  ink.strokeStyle = look.line;
  ink.lineWidth = look.line_px * times;
  if (look.dashes?.length) ink.setLineDash(look.dashes);
  ink.beginPath();
  const count = numbers ? numbers.length : places.length / 3;
  let last = -1;
  for (let k = 0; k + 1 < count; k += 2) {
    let [a, b] = numbers ? [3 * numbers[k], 3 * numbers[k + 1]] : [3 * k, 3 * k + 3];
    if (Number.isNaN(places[a]) || Number.isNaN(places[b])) continue;
    if (look.dashes?.length && b === last) [a, b] = [b, a];
    // Dashes go on round a bend: they begin anew where a path does.
    if (!look.dashes?.length || a !== last) ink.moveTo(places[a], places[a + 1]);
    ink.lineTo(places[b], places[b + 1]);
    last = b;
  }
  ink.stroke();
  if (look.dashes?.length) ink.setLineDash([]);
}

function sketchNipples(ink, lay, placed, scale) {
  ink.lineCap = "butt";
  for (const { from, to, radius, look } of lay.nipples) {
    const places = placed([...from, ...to]);
    if (places.some(Number.isNaN)) continue;
    ink.strokeStyle = lay.looks[look].colour;
    ink.lineWidth = Math.max(1, 2 * radius * scale(places[2]));
    ink.beginPath();
    ink.moveTo(places[0], places[1]);
    ink.lineTo(places[3], places[4]);
    ink.stroke();
  }
}

/**
 * In which order things hide each other, roughly: by their middles.
 * @param {object} lay
 * @param {object} view
 * @returns {number[]} places of solids, the farthest first
 */
export function farthestFirst(lay, view) {
  const out = axesOf(view)[2];
  const nearness = lay.solids.map((solid) => {
    const middle = middleOf(lay.forms[solid.form].points);
    return [0, 1, 2].reduce((sum, axis) => sum + out[axis] * (solid.at[axis] + middle[axis]), 0);
  });
  return lay.solids.map((_, index) => index).sort((a, b) => nearness[a] - nearness[b] || a - b);
}
