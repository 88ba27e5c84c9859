/** All round things of a lay as one set of arrays: checked centrelines swept, sleeves, ties and nipples. */
import { cornersOf, indicesOf, lengthsAlong, roomFor, sweep } from "./sweep.js";

const TIE_HALF_MM = 3;
const TIE_OFF_MM = 0.7; // by which a tie stands off its tube

/**
 * Sweep every tube that has a route, its ties, and all nipples.
 * @param {object} lay decoded
 * @param {{tube: number, tie: number, nipple: number}} first owner of each kind
 * @returns {{room: object, ranges: Map<number, [number, number]>}}
 */
export function roundThings(lay, first) {
  const sweeps = lay.tubes.flatMap((tube, k) => (tube.points?.length >= 6 ? sweepsOf(tube, first.tube + k, first.tie + k) : []));
  lay.nipples.forEach(({ from, to, radius }, k) => {
    sweeps.push({ points: [...from, ...to], radius, owner: first.nipple + k, banded: false });
  });
  const counts = sweeps.map((s) => s.points.length / 3);
  const room = roomFor(total(counts.map(cornersOf)), total(counts.map(indicesOf)));
  const ranges = new Map();
  for (const { points, radius, owner, banded } of sweeps) {
    const [begin, count] = sweep(room, points, radius, owner, banded);
    const before = ranges.get(owner);
    ranges.set(owner, before ? [before[0], before[1] + count] : [begin, count]);
  }
  return { room, ranges };
}

const total = (numbers) => numbers.reduce((sum, n) => sum + n, 0);

/** A tube's own run first, then its sleeves, then its ties: an owner's triangles stand together. */
function sweepsOf(tube, owner, tieOwner) {
  const radius = tube.outside / 2;
  const run = { points: tube.points, radius, owner, banded: true };
  const sleeves = tube.sleeves.map((s) => ({ points: [...s.from, ...s.to], radius: s.radius, owner, banded: false }));
  const along = tube.ties.length ? lengthsAlong(tube.points) : null;
  const ties = tube.ties.map((tie) => ({
    points: stretchOf(tube.points, along, tie.along - TIE_HALF_MM, tie.along + TIE_HALF_MM),
    radius: radius + TIE_OFF_MM,
    owner: tieOwner,
    banded: false,
  }));
  return [run, ...sleeves, ...ties];
}

/** The points of a chain from one length along it to another, both ends included. */
export function stretchOf(points, along, from, to) {
  const whole = along[along.length - 1];
  const [low, high] = [Math.max(0, from), Math.min(whole, to)];
  const found = [...pointAt(points, along, low)];
  for (let i = 0; i < along.length; i++) {
    if (along[i] > low && along[i] < high) found.push(points[3 * i], points[3 * i + 1], points[3 * i + 2]);
  }
  return [...found, ...pointAt(points, along, high)];
}

/** The point of a chain at a length along it. */
export function pointAt(points, along, length) {
  let i = 1;
  while (i < along.length - 1 && along[i] < length) i++;
  const step = along[i] - along[i - 1];
  const share = step > 0 ? Math.min(1, Math.max(0, (length - along[i - 1]) / step)) : 0;
  return [0, 1, 2].map((k) => points[3 * i - 3 + k] + share * (points[3 * i + k] - points[3 * i - 3 + k]));
}
