/** Many things drawn in two strokes: those that hide what is behind them, and those that are seen through. */
import { BufferAttribute, BufferGeometry, Mesh, Sphere } from "three";

/**
 * Make a batch of what was written into one room.
 * @param {object} room points, normals, owners, along, triangles, as sweep.js and solids3d.js fill them
 * @param {object} solid material for what hides
 * @param {object} clear material for what is seen through
 * @returns {{meshes: Mesh[], draw: function, changed: function, dispose: function}} draw takes the spans of
 *   triangles, as [begin, count], of what hides and of what is seen through, in the order in which they are drawn;
 *   null leaves a stroke as it is
 */
export function createBatch(room, solid, clear) {
  const shared = {
    position: new BufferAttribute(room.points, 3),
    normal: new BufferAttribute(room.normals, 4, true),
    owner: new BufferAttribute(room.owners, 1),
    along: new BufferAttribute(room.along, 1),
  };
  if (room.tangents) shared.tangent = new BufferAttribute(room.tangents, 4, true);
  const strokes = [solid, clear].map((material) => strokeOf(shared, material));
  return {
    meshes: strokes.map((stroke) => stroke.mesh),
    draw(hiding, through) {
      if (hiding) fill(strokes[0], room.triangles, hiding);
      if (through) fill(strokes[1], room.triangles, through);
    },
    /** Upload places and directions anew. */
    changed: () => ["position", "normal"].forEach((name) => (shared[name].needsUpdate = true)),
    dispose: () => strokes.forEach((stroke) => stroke.mesh.geometry.dispose()),
  };
}

function strokeOf(shared, material) {
  const geometry = new BufferGeometry();
  for (const [name, attribute] of Object.entries(shared)) geometry.setAttribute(name, attribute);
  geometry.boundingSphere = new Sphere(); // never asked for, but three would work it out
  const mesh = new Mesh(geometry, material);
  mesh.frustumCulled = false;
  mesh.visible = false;
  return { mesh, drawn: [] };
}

function fill(stroke, triangles, spans) {
  const { mesh, drawn } = stroke;
  if (spans.length === drawn.length && spans.every((span, k) => span === drawn[k])) return;
  stroke.drawn = spans;
  mesh.visible = spans.length > 0;
  if (!spans.length) return;
  const { geometry } = mesh;
  if (!geometry.index) geometry.setIndex(new BufferAttribute(new Uint32Array(triangles.length), 1));
  let at = 0;
  for (const [begin, count] of spans) {
    geometry.index.array.set(triangles.subarray(begin, begin + count), at);
    at += count;
  }
  geometry.index.clearUpdateRanges();
  geometry.index.addUpdateRange(0, at);
  geometry.index.needsUpdate = true;
  geometry.setDrawRange(0, at);
}
