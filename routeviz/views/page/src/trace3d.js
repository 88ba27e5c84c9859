/** The chosen tube's centreline above everything, while the tube itself is too thin in the picture to be followed. */
import { Group } from "three";
import { gatheredLines } from "./lines3d.js";

const THIN_PX = 7;

/** Make the layer; `show` takes the tube to be traced or null, `face` how it is looked at before each picture. */
export function createTrace(materials) {
  const group = new Group();
  let outside = 0;
  return {
    group,
    show(tube) {
      group.children.forEach((mesh) => mesh.geometry.dispose());
      group.clear();
      outside = tube?.points?.length >= 6 ? tube.outside : 0;
      if (!outside) return;
      const lines = [{ lines: pairsOf(tube.points), owner: 0 }];
      for (const [order, material] of [materials.traceRim, materials.trace].entries()) {
        const { mesh } = gatheredLines(lines, material);
        mesh.renderOrder = 7 + order;
        group.add(mesh);
      }
    },
    face: (height, pixels) => (group.visible = isThin(outside, height, pixels)),
  };
}

/** Whether a tube is to be traced where a picture so many pixels high shows so much of height. */
export const isThin = (outside, height, pixels) => (outside / height) * pixels < THIN_PX;

/** Both ends of each piece of a chain of points, one after the other. */
export function pairsOf(points) {
  const pairs = new Float32Array(2 * (points.length - 3));
  for (let k = 0; k + 3 < points.length; k += 3) {
    for (let j = 0; j < 6; j++) pairs[2 * k + j] = points[k + j];
  }
  return pairs;
}
