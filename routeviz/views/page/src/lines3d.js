/**
 * Edges and outlines as thin boards that always face the eye, so that they are as wide as their look says.
 *
 * A board is four corners that know both ends of their line. They are written out, not instanced: where the processor
 * has to draw, an instance costs as much as a stroke of its own.
 */
import { BufferAttribute, BufferGeometry, InterleavedBuffer, InterleavedBufferAttribute, Mesh, Sphere } from "three";

/**
 * Gather the lines of many owners.
 * @param {{lines: ArrayLike<number>, owner: number}[]} sets pairs of points, one after the other
 * @param {object} material
 * @returns {{mesh: Mesh, ends: Float32Array, spans: [number, number][], changed: function}} ends: each pair of points
 *   four times; spans: where those of each set begin and how many numbers they are
 */
export function gatheredLines(sets, material) {
  const count = sets.reduce((sum, set) => sum + set.lines.length / 6, 0);
  const ends = new Float32Array(24 * count);
  const owners = new Uint16Array(4 * count);
  const spans = [];
  let at = 0;
  for (const { lines, owner } of sets) {
    spans.push([at, 4 * lines.length]);
    for (let k = 0; k < lines.length; k += 6, at += 24) {
      for (let j = 0; j < 24; j++) ends[at + j] = lines[k + (j % 6)];
    }
    owners.fill(owner, spans.at(-1)[0] / 6, at / 6);
  }
  const both = new InterleavedBuffer(ends, 6);
  return { mesh: meshOf(both, owners, material), ends, spans, changed: () => (both.needsUpdate = true) };
}

function meshOf(both, owners, material) {
  const geometry = new BufferGeometry();
  geometry.setIndex(new BufferAttribute(boards(owners.length / 4), 1));
  geometry.setAttribute("position", new InterleavedBufferAttribute(both, 3, 0));
  geometry.setAttribute("other", new InterleavedBufferAttribute(both, 3, 3));
  geometry.setAttribute("owner", new BufferAttribute(owners, 1));
  geometry.boundingSphere = new Sphere(); // never asked for, but three would work it out
  const mesh = new Mesh(geometry, material);
  mesh.frustumCulled = false;
  mesh.visible = owners.length > 0;
  mesh.renderOrder = 1;
  return mesh;
}

function boards(count) {
  const index = new Uint32Array(6 * count);
  for (let k = 0; k < count; k++) index.set([4 * k, 4 * k + 1, 4 * k + 2, 4 * k, 4 * k + 2, 4 * k + 3], 6 * k);
  return index;
}
