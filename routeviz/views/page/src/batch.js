/** Many things drawn in two strokes: those that hide what is behind them, and those that are seen through. */
import { BufferAttribute, BufferGeometry, Mesh, Sphere } from "three";

/**
 * Make a batch of what was written into one room.
 * @param {object} room points, normals, owners, along, triangles, as sweep.js and solids3d.js fill them
 * @param {Map<number, [number, number]>} ranges an owner's triangles: where they begin, how many numbers they are
 * @param {object} solid material for what hides
 * @param {object} clear material for what is seen through
 */
export function createBatch(room, ranges, solid, clear) {
  const shared = {
    position: new BufferAttribute(room.points, 3),
    normal: new BufferAttribute(room.normals, 4, true),
    owner: new BufferAttribute(room.owners, 1),
    along: new BufferAttribute(room.along, 1),
  };
  const strokes = [solid, clear].map((material) => strokeOf(shared, room.triangles.length, material));
  return {
    meshes: strokes.map((stroke) => stroke.mesh),
    ranges,
    room,
    /** Say which owners hide and which are seen through, the farthest of these first; others are not drawn. */
    arrange(hiding, through) {
      fill(strokes[0], room.triangles, ranges, hiding);
      fill(strokes[1], room.triangles, ranges, through);
    },
    /** Change only the order of what is seen through. */
    sort: (through) => fill(strokes[1], room.triangles, ranges, through),
    dispose: () => strokes.forEach((stroke) => stroke.mesh.geometry.dispose()),
  };
}

function strokeOf(shared, most, material) {
  const geometry = new BufferGeometry();
  for (const [name, attribute] of Object.entries(shared)) geometry.setAttribute(name, attribute);
  geometry.boundingSphere = new Sphere(); // never asked for, but three would work it out
  const mesh = new Mesh(geometry, material);
  mesh.frustumCulled = false;
  mesh.visible = false;
  return { mesh, most, drawn: "" };
}

function fill(stroke, triangles, ranges, owners) {
  const key = owners.join();
  if (key === stroke.drawn) return;
  stroke.drawn = key;
  const { geometry } = stroke.mesh;
  stroke.mesh.visible = owners.length > 0;
  if (!owners.length) return;
  if (!geometry.index) geometry.setIndex(new BufferAttribute(new Uint32Array(stroke.most), 1));
  let at = 0;
  for (const owner of owners) {
    const [begin, count] = ranges.get(owner);
    geometry.index.array.set(triangles.subarray(begin, begin + count), at);
    at += count;
  }
  geometry.index.clearUpdateRanges();
  geometry.index.addUpdateRange(0, at);
  geometry.index.needsUpdate = true;
  geometry.setDrawRange(0, at);
}
