/** Edges and outlines as thin boards that always face the eye, so that they are as wide as their look says. */
import {
  BufferAttribute,
  InstancedBufferAttribute,
  InstancedBufferGeometry,
  InstancedInterleavedBuffer,
  InterleavedBufferAttribute,
  Mesh,
  Sphere,
} from "three";

const BOARD = new Float32Array([0, -1, 1, -1, 1, 1, 0, 1]);

/**
 * Gather the lines of many owners.
 * @param {{lines: ArrayLike<number>, owner: number}[]} sets pairs of points, one after the other
 * @param {object} material
 * @returns {Mesh}
 */
export function gatheredLines(sets, material) {
  const whole = sets.reduce((sum, set) => sum + set.lines.length, 0);
  const ends = new Float32Array(whole);
  const owners = new Uint16Array(whole / 6);
  let at = 0;
  for (const { lines, owner } of sets) {
    ends.set(lines, at);
    owners.fill(owner, at / 6, (at + lines.length) / 6);
    at += lines.length;
  }
  const geometry = new InstancedBufferGeometry();
  const both = new InstancedInterleavedBuffer(ends, 6, 1);
  geometry.setIndex(new BufferAttribute(new Uint16Array([0, 1, 2, 0, 2, 3]), 1));
  geometry.setAttribute("position", new BufferAttribute(BOARD, 2));
  geometry.setAttribute("one", new InterleavedBufferAttribute(both, 3, 0));
  geometry.setAttribute("other", new InterleavedBufferAttribute(both, 3, 3));
  geometry.setAttribute("owner", new InstancedBufferAttribute(owners, 1));
  geometry.instanceCount = whole / 6;
  geometry.boundingSphere = new Sphere(); // never asked for, but three would work it out
  const mesh = new Mesh(geometry, material);
  mesh.frustumCulled = false;
  mesh.visible = whole > 0;
  return mesh;
}
