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

/** A point as the rows place it. */
export function carried(rows, p) {
  if (!rows) return p;
  const at = (k) => rows[k] * p[0] + rows[k + 1] * p[1] + rows[k + 2] * p[2] + rows[k + 3];
  return [at(0), at(4), at(8)];
}

/** The rows that undo others; turns are undone by their transpose. */
export function undone(rows) {
  if (!rows) return null;
  const back = (k) => -(rows[k] * rows[3] + rows[4 + k] * rows[7] + rows[8 + k] * rows[11]);
  return [rows[0], rows[4], rows[8], back(0), rows[1], rows[5], rows[9], back(1), rows[2], rows[6], rows[10], back(2)];
}

/** Which of many parts moves how far, when all or only one is pressed. */
export const shareOf = (index, share, only) => (only === null || only === undefined || only === index ? share : 0);
