/** All of a lay as it stands in 3D, and what changes about it: faded, hidden, lit, pressed, cut. */
import { Group } from "three";
import { createBatch } from "./batch.js";
import { leaves, planeOf } from "./cutting.js";
import { gatheredLines } from "./lines3d.js";
import { dressAll } from "./looks.js";
import { moved, shareOf } from "./movements.js";
import { openingsOf } from "./openings.js";
import { targetsOf } from "./picking.js";
import { gatheredSolids, linesOf } from "./solids3d.js";
import { createStates, place, setOpacity } from "./states.js";
import { beginOf, ownersOf } from "./things.js";
import { roundThings } from "./tubes3d.js";
import { boxOf, isBefore } from "./walls.js";

/**
 * Build everything.
 * @param {object} lay decoded
 * @param {object} materials
 * @param {object} uniforms
 */
export function createScenery(lay, materials, uniforms) {
  const owners = ownersOf(lay);
  const first = Object.fromEntries(["solid", "space", "nipple", "passage", "tube", "tie"].map((k) => [k, beginOf(owners, k)]));
  const standing = [...lay.solids, ...lay.spaces].map((one, owner) => ({ ...one, owner }));
  const solids = gatheredSolids(lay.forms, standing);
  const rounds = roundThings(lay, first);
  const batches = [
    createBatch(solids.room, solids.ranges, materials.solid, materials.clearSolid),
    createBatch(rounds.room, rounds.ranges, materials.round, materials.clearRound),
  ];
  const lines = [
    ...standing.map(({ form, at, owner }) => ({ lines: linesOf(lay.forms[form], at), owner })),
    ...lay.passages.map((passage, k) => ({ lines: passage.lines, owner: first.passage + k })),
  ];
  const scenery = {
    lay, owners, first, batches, materials, uniforms,
    group: new Group(),
    states: createStates(owners.length),
    opacities: new Float32Array(owners.length),
    boxes: new Map([...solids.ranges].map(([owner, range]) => [owner, boxOf(solids.room, range)])),
    worth: boxOf(rounds.room, [0, rounds.room.index]),
    targets: targetsFor(lay, first, solids),
    rows: new Map(),
    pressed: { share: 0, only: null },
    cut: null,
    opening: null,
    outlines: gatheredLines(lines, materials.lines),
  };
  uniforms.states.value = scenery.states.texture;
  for (const [mesh, order] of [...batches.flatMap((b) => b.meshes).map((m, k) => [m, [0, 2, 0, 3][k]]), [scenery.outlines, 1]]) {
    mesh.renderOrder = order;
    scenery.group.add(mesh);
  }
  return scenery;
}

function targetsFor(lay, first, solids) {
  const runs = lay.tubes.flatMap((tube, k) =>
    tube.points?.length >= 6 ? [{ owner: first.tube + k, points: tube.points, radius: tube.outside / 2 }] : []);
  const nipples = lay.nipples.map(({ from, to, radius }, k) => ({ owner: first.nipple + k, points: [...from, ...to], radius }));
  const bodies = [...solids.ranges].map(([owner, [begin, count]]) => ({
    owner, points: solids.room.points, begin: 3 * begin, count: 3 * count,
  }));
  const rims = lay.passages.map(({ lines }, k) => ({ owner: first.passage + k, points: lines, radius: 0.5 }));
  return targetsOf([...runs, ...nipples, ...rims], bodies);
}

/** Show things as they are wanted: shown, faded or hidden, lit, chosen. */
export function look(scenery, wanted) {
  dressAll(scenery, wanted);
  arrange(scenery);
  if (scenery.cut) open(scenery);
}

/** Deal owners out to the strokes that draw them. */
function arrange({ batches, opacities, hides }) {
  for (const { ranges, arrange: deal } of batches) {
    const drawn = [...ranges.keys()].filter((owner) => opacities[owner] > 0);
    deal(drawn.filter((owner) => hides(owner)), drawn.filter((owner) => !hides(owner)));
  }
}

/** Before a picture is drawn: what is seen through is sorted for the eye, and walls before everything step back. */
export function faceEye(scenery, eye) {
  const { batches, opacities, boxes, hides, states, lay, worth } = scenery;
  const through = [...boxes.keys()].filter((owner) => opacities[owner] > 0 && !hides(owner));
  const far = new Map(through.map((owner) => {
    const [low, high] = boxes.get(owner);
    return [owner, Math.hypot(...[0, 1, 2].map((k) => (low[k] + high[k]) / 2 - eye[k]))];
  }));
  batches[0].sort(through.sort((a, b) => far.get(b) - far.get(a)));
  for (const owner of through) {
    const isWall = isBefore(boxes.get(owner), worth, eye);
    setOpacity(states, owner, isWall ? Math.min(opacities[owner], lay.signs.opacities.wall) : opacities[owner]);
  }
}

/** Press all moving parts, or one of them, a share of their travel. */
export function press(scenery, share, only) {
  scenery.pressed = { share, only };
  scenery.lay.solids.forEach(({ movement }, k) => {
    if (!movement) return;
    const rows = moved(movement, shareOf(k, share, only));
    scenery.rows.set(scenery.first.solid + k, rows);
    place(scenery.states, scenery.first.solid + k, rows);
  });
  if (scenery.cut) open(scenery);
}

/** How an owner stands: rows as movements.js has them, or null. */
export const rowsOf = (scenery, owner) => scenery.rows.get(owner) ?? null;

/** Cut along a plane, or mend the cut. */
export function cut(scenery, wanted) {
  scenery.cut = wanted;
  scenery.uniforms.cut.value.set(...planeOf(wanted));
  close(scenery);
  if (wanted) open(scenery);
}

/** Whether a point of a thing is there to be touched. */
export const isThere = (scenery, point) => leaves(scenery.cut, point);

function close(scenery) {
  if (!scenery.opening) return;
  for (const mesh of scenery.opening) {
    scenery.group.remove(mesh);
    mesh.geometry.dispose();
  }
  scenery.opening = null;
}

function open(scenery) {
  close(scenery);
  const { owners, opacities, batches, materials, group } = scenery;
  const isCut = (owner) => owners[owner].kind !== "space" && opacities[owner] > 0 && !scenery.faded.has(owner);
  const found = openingsOf(batches, scenery.cut, isCut, (owner) => rowsOf(scenery, owner));
  found.room.owners.forEach((owner, k) => (found.room.along[k] = owners[owner].kind === "solid" ? 1 : 0));
  const faces = createBatch(found.room, found.ranges, materials.opening, materials.opening);
  faces.arrange([...found.ranges.keys()], []);
  const outlines = gatheredLines(found.lines, materials.openingLines);
  outlines.renderOrder = 1;
  scenery.opening = [faces.meshes[0], outlines];
  group.add(...scenery.opening);
}

/** Let go of what the graphics card holds. */
export function dismantle(scenery) {
  close(scenery);
  scenery.batches.forEach((batch) => batch.dispose());
  scenery.outlines.geometry.dispose();
  scenery.states.texture.dispose();
}
