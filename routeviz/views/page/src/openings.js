/** The cut faces of everything that a plane goes through, as one batch, and their outlines as lines. */
import { acrossAxes, areaOf, outlineOf } from "./cutting.js";
import { roomFor } from "./sweep.js";

/**
 * Cut things open.
 * @param {{owner: number, room: object, spans: [number, number][]}[]} sources triangles of each thing
 * @param {{axis: number, at: number, keep: number}} cut
 * @returns {{room: object, lines: {lines: Float32Array, owner: number}[]}}
 */
export function openingsOf(sources, cut) {
  const found = [];
  for (const { owner, room, spans } of sources) {
    const outline = spans.flatMap((span) => outlineOf(room.points, room.triangles, span, cut));
    if (outline.length) found.push({ owner, outline, area: areaOf(outline) });
  }
  return laidOpen(found, cut);
}

function laidOpen(found, cut) {
  const corners = found.reduce((sum, { area }) => sum + area.length / 2, 0);
  const room = roomFor(corners, corners);
  const [i, j] = acrossAxes(cut.axis);
  for (const { owner, area } of found) {
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
  return { room, lines: found.map(({ owner, outline }) => ({ owner, lines: raised(outline, cut) })) };
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
