/**
 * All round things of a lay: checked centrelines swept, sleeves, ties and nipples, in pieces and at two levels.
 *
 * The fine level goes through exactly the points that were checked. The coarse one leaves out points and sides that
 * nobody can see from afar, and is drawn only where a tube is a few pixels wide: it costs a fifth.
 */
import { cornersOf, indicesOf, lengthsAlong, roundRoom, spanOf, sweep } from "./sweep.js";

const TIE_HALF_MM = 3;
const TIE_OFF_MM = 0.7; // by which a tie stands off its tube
const STEPS = 12; // of a centreline in a piece, so that only pieces in the picture are drawn
const OFF_MM = 0.4; // by which the coarse level may leave the fine one: a quarter of a pixel where it is drawn
export const LEVELS = { fine: { sides: 14, off: 0 }, coarse: { sides: 6, off: OFF_MM } };

/**
 * List the round things of a lay, each with the owner it belongs to.
 * @param {object} lay decoded
 * @param {{tube: number, tie: number, nipple: number}} first owner of each kind
 * @returns {{points: ArrayLike<number>, radius: number, owner: number, along: ?Float64Array}[]}
 */
export function runsOf(lay, first) {
  const runs = lay.tubes.flatMap((tube, k) =>
    tube.points?.length >= 6 ? tubeRuns(tube, first.tube + k, first.tie + k) : []);
  lay.nipples.forEach(({ from, to, radius }, k) => {
    runs.push({ points: [...from, ...to], radius, owner: first.nipple + k, along: null });
  });
  return runs;
}

function tubeRuns(tube, owner, tieOwner) {
  const radius = tube.outside / 2;
  const along = lengthsAlong(tube.points);
  const sleeves = tube.sleeves.map((s) => ({ points: [...s.from, ...s.to], radius: s.radius, owner, along: null }));
  const ties = tube.ties.map((tie) => ({
    points: stretchOf(tube.points, along, tie.along - TIE_HALF_MM, tie.along + TIE_HALF_MM),
    radius: radius + TIE_OFF_MM,
    owner: tieOwner,
    along: null,
  }));
  return [{ points: tube.points, radius, owner, along }, ...sleeves, ...ties];
}

/**
 * Sweep all runs at one level.
 * @returns {{room: object, spans: [number, number][]}} spans: of each piece, in the order of piecesOf
 */
export function sweptRuns(runs, { sides, off }) {
  const kept = runs.map((run) => keptPoints(run.points, off));
  const corners = total(kept, (k) => cornersOf(k.length, sides));
  const room = roundRoom(corners, total(kept, (k) => indicesOf(k.length, sides)));
  const spans = [];
  runs.forEach((run, r) => {
    const which = kept[r];
    const whole = which.length * 3 === run.points.length;
    const points = whole ? run.points : chosenPoints(run.points, which);
    const along = run.along && (whole ? run.along : which.map((k) => run.along[k]));
    const [begin] = sweep(room, points, { radius: run.radius, owner: run.owner, along, sides });
    for (const [from, to] of stepsOf(run.points.length / 3)) {
      spans.push(spanOf(begin, which.length, sides, which.indexOf(from), which.indexOf(to)));
    }
  });
  return { room, spans };
}

/** The pieces of all runs: their owners, the balls that hold them, and how thick they are. */
export function piecesOf(runs) {
  return runs.flatMap(({ points, radius, owner }) =>
    stepsOf(points.length / 3).map(([from, to]) => ({ owner, radius, ...ballOf(points, from, to, radius) })));
}

const total = (list, f) => list.reduce((sum, one) => sum + f(one), 0);

function stepsOf(n) {
  const steps = [];
  for (let from = 0; from < n - 1; from += STEPS) steps.push([from, Math.min(n - 1, from + STEPS)]);
  return steps;
}

function ballOf(points, from, to, radius) {
  const [a, b] = [3 * from, 3 * to];
  const centre = [0, 1, 2].map((k) => (points[a + k] + points[b + k]) / 2);
  let most = 0;
  for (let i = a; i <= b; i += 3) {
    const x = points[i] - centre[0];
    const y = points[i + 1] - centre[1];
    const z = points[i + 2] - centre[2];
    most = Math.max(most, x * x + y * y + z * z);
  }
  return { centre, reach: Math.sqrt(most) + radius };
}

/** Which points stay when one may be left out that is so near the chord over it; the ends of pieces stay. */
function keptPoints(points, off) {
  const n = points.length / 3;
  if (off === 0) return Array.from({ length: n }, (_, k) => k);
  const kept = [0];
  for (const [from, to] of stepsOf(n)) {
    let last = from;
    for (let k = from + 2; k <= to; k++) {
      if (!isNear(points, last, k, off)) kept.push((last = k - 1));
    }
    kept.push(to);
  }
  return kept;
}

function isNear(points, from, to, off) {
  const [a, b] = [3 * from, 3 * to];
  const [ax, ay, az] = [points[a], points[a + 1], points[a + 2]];
  const [wx, wy, wz] = [points[b] - ax, points[b + 1] - ay, points[b + 2] - az];
  const long = wx * wx + wy * wy + wz * wz;
  for (let k = a + 3; k < b; k += 3) {
    const x = points[k] - ax;
    const y = points[k + 1] - ay;
    const z = points[k + 2] - az;
    const on = x * wx + y * wy + z * wz;
    if (x * x + y * y + z * z - (long > 0 ? (on * on) / long : 0) > off * off) return false;
  }
  return true;
}

function chosenPoints(points, which) {
  const some = new Float32Array(3 * which.length);
  which.forEach((k, at) => { for (let j = 0; j < 3; j++) some[3 * at + j] = points[3 * k + j]; });
  return some;
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
