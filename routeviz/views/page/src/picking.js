/** What a ray from the eye meets: tubes by their checked centrelines, solids by their triangles. Pure arithmetic. */
import { add, dot, scaled, sub } from "./vectors.js";

/**
 * What stands where, ready to be asked.
 * @param {{owner: number, points: ArrayLike<number>, radius: number}[]} runs round things
 * @param {{owner: number, points: Float32Array, begin: number, count: number}[]} bodies triangles
 * @returns {object[]} targets, each with the ball that holds it
 */
export function targetsOf(runs, bodies) {
  return [
    ...runs.map((run) => ({ ...run, round: true, ball: ballOf(run.points, 0, run.points.length, run.radius) })),
    ...bodies.map((body) => held({ ...body, round: false })),
  ];
}

/** A body with the ball that holds it where it stands now. */
export const held = (body) => ({ ...body, ball: ballOf(body.points, body.begin, body.count, 0) });

function ballOf(points, begin, count, more) {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let k = begin; k < begin + count; k++) {
    low[(k - begin) % 3] = Math.min(low[(k - begin) % 3], points[k]);
    high[(k - begin) % 3] = Math.max(high[(k - begin) % 3], points[k]);
  }
  const centre = scaled(add(low, high), 0.5);
  return { centre, radius: Math.hypot(...sub(high, centre)) + more };
}

/**
 * All that a ray meets, nearest first.
 * @param {object[]} targets
 * @param {{from: number[], along: number[]}} ray
 * @param {object} how {spread(depth): mm by which a miss still counts, keeps(point): whether it is there to be met}
 * @returns {{owner: number, depth: number, off: number, point: number[]}[]} off: by how much it was missed, 0 for a hit
 */
export function metBy(targets, ray, how) {
  const met = [];
  for (const target of targets) {
    if (!nears(target.ball, ray, how.spread)) continue;
    const hit = target.round ? metRun(target, ray, how) : metBody(target, ray, how.keeps);
    if (hit) met.push({ owner: target.owner, ...hit });
  }
  return met.sort((a, b) => a.depth - b.depth);
}

function nears({ centre, radius }, ray, spread) {
  const to = sub(centre, ray.from);
  const depth = dot(to, ray.along);
  const reach = radius + spread(Math.max(depth, 0));
  return depth > -radius && dot(to, to) - depth * depth <= reach * reach;
}

/** Where a ray meets a round thing along its points; a near miss is a hit at its nearest side. */
function metRun({ points, radius }, ray, { spread, keeps }) {
  let best = null;
  for (let k = 0; k + 5 < points.length; k += 3) {
    const hit = metRod(points, k, radius, ray);
    if (!hit || hit.off > spread(hit.depth) || !better(hit, best) || !keeps(hit.point)) continue;
    best = hit;
  }
  return best;
}

const better = (hit, best) => !best || hit.off < best.off || (hit.off === best.off && hit.depth < best.depth);

/** A ray and one straight piece: nearest approach of two lines, then in from the axis to the wall. */
function metRod(points, k, radius, { from, along }) {
  const a = [points[k], points[k + 1], points[k + 2]];
  const way = [points[k + 3] - a[0], points[k + 4] - a[1], points[k + 5] - a[2]];
  const to = sub(a, from);
  const [ww, wr, tr, tw] = [dot(way, way), dot(way, along), dot(to, along), dot(to, way)];
  const slant = ww - wr * wr;
  const share = slant > 1e-9 * ww ? Math.min(1, Math.max(0, (wr * tr - tw) / slant)) : 0;
  const axis = add(a, scaled(way, share));
  const depth = dot(sub(axis, from), along);
  if (depth <= 0) return null;
  const across = sub(axis, add(from, scaled(along, depth)));
  const miss = Math.sqrt(dot(across, across));
  if (miss >= radius) return { depth, off: miss - radius, point: add(axis, scaled(across, -radius / miss)) };
  const sine = Math.sqrt(Math.max(slant / ww, 0.05)); // hardly anyone looks a tube in the end
  const into = Math.sqrt(radius * radius - miss * miss) / sine;
  return { depth: depth - into, off: 0, point: add(from, scaled(along, depth - into)) };
}

/** Where a ray first meets triangles from whichever side (Moller and Trumbore's method). */
function metBody({ points, begin, count }, ray, keeps) {
  let best = null;
  for (let k = begin; k < begin + count; k += 9) {
    const depth = metTriangle(points, k, ray.from, ray.along);
    if (!(depth > 0) || (best && depth >= best.depth)) continue;
    const point = add(ray.from, scaled(ray.along, depth));
    if (keeps(point)) best = { depth, off: 0, point };
  }
  return best;
}

function metTriangle(p, k, from, d) {
  const [ux, uy, uz] = [p[k + 3] - p[k], p[k + 4] - p[k + 1], p[k + 5] - p[k + 2]];
  const [vx, vy, vz] = [p[k + 6] - p[k], p[k + 7] - p[k + 1], p[k + 8] - p[k + 2]];
  const [hx, hy, hz] = [d[1] * vz - d[2] * vy, d[2] * vx - d[0] * vz, d[0] * vy - d[1] * vx];
  const det = ux * hx + uy * hy + uz * hz;
  if (det === 0) return NaN;
  const [sx, sy, sz] = [from[0] - p[k], from[1] - p[k + 1], from[2] - p[k + 2]];
  const u = (sx * hx + sy * hy + sz * hz) / det;
  const [qx, qy, qz] = [sy * uz - sz * uy, sz * ux - sx * uz, sx * uy - sy * ux];
  const v = (d[0] * qx + d[1] * qy + d[2] * qz) / det;
  return u >= 0 && v >= 0 && u + v <= 1 ? (vx * qx + vy * qy + vz * qz) / det : NaN;
}

/**
 * The one that is meant: what is seen well goes before what is seen through, a hit before a near miss.
 * @param {object[]} met nearest first
 * @param {function(number): number} opacityOf an owner
 */
export function meantOf(met, opacityOf) {
  const seen = met.filter((hit) => opacityOf(hit.owner) >= 0.5);
  for (const some of [seen, met]) {
    const hit = some.find((one) => one.off === 0);
    const near = some.filter((one) => one.off > 0).sort((a, b) => a.off - b.off)[0];
    if (near && (!hit || near.depth < hit.depth)) return near;
    if (hit) return hit;
  }
  return null;
}
