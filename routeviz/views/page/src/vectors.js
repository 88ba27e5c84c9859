/** Arithmetic of points and directions as plain arrays of three numbers, in double precision. */

export const add = (a, b) => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
export const sub = (a, b) => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
export const scaled = (a, s) => [a[0] * s, a[1] * s, a[2] * s];
export const shifted = (a, way, times) => [a[0] + times * way[0], a[1] + times * way[1], a[2] + times * way[2]];
export const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
export const cross = (a, b) => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];
export const size = (a) => Math.hypot(a[0], a[1], a[2]);
export const mixed = (a, b, s) => [a[0] + (b[0] - a[0]) * s, a[1] + (b[1] - a[1]) * s, a[2] + (b[2] - a[2]) * s];

/** The direction of a vector; of no vector at all, `otherwise`. */
export function unit(a, otherwise = [0, 0, 1]) {
  const s = size(a);
  return s > 0 ? scaled(a, 1 / s) : [...otherwise];
}

/** Some unit direction at right angles to a unit direction. */
export function acrossOf(a) {
  const least = Math.abs(a[2]) < 0.9 ? [0, 0, 1] : [1, 0, 0];
  return unit(cross(least, a));
}

/** A vector turned about a unit axis, right-handed (Rodrigues' formula). */
export function turned(a, axis, angle) {
  const c = Math.cos(angle);
  const s = Math.sin(angle);
  const k = dot(axis, a) * (1 - c);
  const w = cross(axis, a);
  return [a[0] * c + w[0] * s + axis[0] * k, a[1] * c + w[1] * s + axis[1] * k, a[2] * c + w[2] * s + axis[2] * k];
}
