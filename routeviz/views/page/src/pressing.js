/** Moving parts pressed: their faces and edges are set down anew where the share of their travel has changed. */
import { carry, moved, shareOf, turnAll } from "./movements.js";

/** Get ready to press what moves. */
export function createPress(lay, solids, edges) {
  const moving = lay.solids.flatMap(({ movement }, index) => (movement ? [{ index, movement, share: 0 }] : []));
  return { moving, solids, edges, rest: null };
}

/**
 * Press all moving parts, or one of them, a share of their travel.
 * @returns {number[]} the solids that stand elsewhere now
 */
export function press(presses, share, only) {
  const changed = presses.moving.filter((one) => one.share !== shareOf(one.index, share, only));
  if (changed.length) presses.rest ??= copies(presses);
  for (const one of changed) {
    one.share = shareOf(one.index, share, only);
    setDown(presses, one.index, moved(one.movement, one.share));
  }
  return changed.map((one) => one.index);
}

const copies = ({ solids: { room }, edges }) => ({
  points: room.points.slice(),
  normals: room.normals.slice(),
  ends: edges.ends.slice(),
});

/** The corners of solids stand in the order of their triangles: one range serves for both. */
function setDown({ solids: { room, ranges }, edges, rest }, index, rows) {
  const [begin, count] = ranges.get(index);
  carry(rows, rest.points, room.points, 3 * begin, 3 * count);
  turnAll(rows, rest.normals, room.normals, 4 * begin, 4 * count);
  const [at, many] = edges.spans[index];
  carry(rows, rest.ends, edges.ends, at, many);
}
