/** What is under the pointer: from a place on the canvas to a thing, and to a point of the case. */
import { axesOf, placeOf, rayAt, spanAt } from "./camera.js";
import { meantOf, metBy } from "./picking.js";
import { isThere, targetsOfScenery } from "./scenery.js";
import { add, dot, scaled } from "./vectors.js";

const aspectOf = ({ size }) => size[0] / size[1];
const shares = ({ size }, x, y) => [(2 * x) / size[0] - 1, 1 - (2 * y) / size[1]];

/** The point at the depth of the target under a place on the canvas. */
export function onTarget(stage, x, y) {
  const ray = rayAt(stage.pose, ...shares(stage, x, y), aspectOf(stage));
  const { out } = axesOf(stage.pose);
  const depth = placeOf(stage.pose, stage.pose.target, aspectOf(stage)).depth;
  const sink = -dot(out, ray.along);
  return add(ray.from, scaled(ray.along, depth / Math.max(sink, 1e-3)));
}

/** What is meant by a place on the canvas, missed by so many pixels at most. */
export function hitAt(stage, x, y, reachPx) {
  const { pose, scenery, size } = stage;
  const aspect = aspectOf(stage);
  const met = metBy(targetsOfScenery(scenery), rayAt(pose, ...shares(stage, x, y), aspect), {
    spread: (depth) => (spanAt(pose, depth, aspect) * 2 * reachPx) / size[1],
    keeps: (point) => isThere(scenery, point),
  });
  return meantOf(met.filter(({ owner }) => scenery.opacities[owner] > 0), (owner) => scenery.opacities[owner]);
}
