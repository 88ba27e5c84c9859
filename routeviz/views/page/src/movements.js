/** How moving parts stand at a share of their travel, as three rows of four numbers: the turn, then the shift. */
import { unit } from "./vectors.js";

/**
 * Where a movement has brought its part.
 * @param {object|null} movement {kind: "hinge", at, axis, deg} or {kind: "slide", axis, mm}
 * @param {number} share of its travel, 0 at rest, 1 at full travel
 * @returns {number[]|null} null for what stands as it was measured
 */
export function moved(movement, share) {
  if (!movement || share === 0) return null;
  const axis = unit(movement.axis);
  if (movement.kind === "slide") {
    const by = movement.mm * share;
    return [1, 0, 0, by * axis[0], 0, 1, 0, by * axis[1], 0, 0, 1, by * axis[2]];
  }
  return hinged(axis, movement.at, (movement.deg * share * Math.PI) / 180);
}

/** A turn about an axis through a point (Rodrigues' formula as a matrix). */
function hinged([x, y, z], at, angle) {
  const c = Math.cos(angle);
  const s = Math.sin(angle);
  const k = 1 - c;
  const turn = [
    [c + x * x * k, x * y * k - z * s, x * z * k + y * s],
    [y * x * k + z * s, c + y * y * k, y * z * k - x * s],
    [z * x * k - y * s, z * y * k + x * s, c + z * z * k],
  ];
  return turn.flatMap((row, i) => [...row, at[i] - row[0] * at[0] - row[1] * at[1] - row[2] * at[2]]);
}

/** Some points of a list as the rows place them, written into another list; as they were where there are no rows. */
export function carry(rows, from, to, begin, count) {
  if (!rows) {
    for (let k = begin; k < begin + count; k++) to[k] = from[k];
    return;
  }
  for (let k = begin; k < begin + count; k += 3) {
    const [x, y, z] = [from[k], from[k + 1], from[k + 2]];
    to[k] = rows[0] * x + rows[1] * y + rows[2] * z + rows[3];
    to[k + 1] = rows[4] * x + rows[5] * y + rows[6] * z + rows[7];
    to[k + 2] = rows[8] * x + rows[9] * y + rows[10] * z + rows[11];
  }
}

/** Directions kept in 16 bits, four numbers each, as the rows turn them. */
export function turnAll(rows, from, to, begin, count) {
  for (let k = begin; k < begin + count; k += 4) {
    const [x, y, z] = [from[k], from[k + 1], from[k + 2]];
    for (let j = 0; j < 3; j++) {
      to[k + j] = rows ? rows[4 * j] * x + rows[4 * j + 1] * y + rows[4 * j + 2] * z : from[k + j];
    }
  }
}

/** Which of many parts moves how far, when all or only one is pressed. */
export const shareOf = (index, share, only) => (only === null || only === undefined || only === index ? share : 0);
