/** The cut faces of everything that a plane goes through, as one batch, and their outlines as lines. */
import { acrossAxes, areaOf, outlineOf } from "./cutting.js";
import { carried } from "./movements.js";
import { roomFor } from "./sweep.js";

/**
 * Cut everything that is drawn and hides what is behind it, or once did.
 * @param {object[]} batches with room and ranges
 * @param {{axis: number, at: number, keep: number}} cut
 * @param {function(number): boolean} isCut an owner
 * @param {function(number): ?number[]} rowsOf how an owner stands
 * @returns {{room: object, ranges: Map<number, [number, number]>, lines: {lines: Float32Array, owner: number}[]}}
 */
export function openingsOf(batches, cut, isCut, rowsOf) {
  const found = [];
  for (const { room, ranges } of batches) {
    for (const [owner, range] of ranges) {
      if (!isCut(owner)) continue;
      const rows = rowsOf(owner);
      const outline = rows ? outlineMoved(room, range, cut, rows) : outlineOf(room.points, room.triangles, range, cut);
      if (outline.length) found.push({ owner, outline, area: areaOf(outline) });
    }
  }
  return laidOpen(found, cut);
}

function outlineMoved(room, [begin, count], cut, rows) {
  const points = new Float32Array(3 * count);
  for (let k = 0; k < count; k++) {
    const from = 3 * room.triangles[begin + k];
    points.set(carried(rows, room.points.subarray(from, from + 3)), 3 * k);
  }
  return outlineOf(points, Uint32Array.from({ length: count }, (_, k) => k), [0, count], cut);
}

function laidOpen(found, cut) {
  const corners = found.reduce((sum, { area }) => sum + area.length / 2, 0);
  const room = roomFor(corners, corners);
  const ranges = new Map();
  const [i, j] = acrossAxes(cut.axis);
  for (const { owner, area } of found) {
    ranges.set(owner, [room.index, area.length / 2]);
    for (let k = 0; k < area.length; k += 2) {
      const c = room.corner++;
      room.points[3 * c + i] = area[k];
      room.points[3 * c + j] = area[k + 1];
      room.points[3 * c + cut.axis] = cut.at;
      room.normals[4 * c + cut.axis] = -cut.keep * 32767;
      room.owners[c] = owner;
      room.triangles[room.index++] = c;
    }
  }
  return { room, ranges, lines: found.map(({ owner, outline }) => ({ owner, lines: raised(outline, cut) })) };
}

function raised(outline, cut) {
  const [i, j] = acrossAxes(cut.axis);
  const lines = new Float32Array((outline.length / 2) * 3);
  for (let k = 0; k < outline.length / 2; k++) {
    lines[3 * k + i] = outline[2 * k];
    lines[3 * k + j] = outline[2 * k + 1];
    lines[3 * k + cut.axis] = cut.at;
  }
  return lines;
}
