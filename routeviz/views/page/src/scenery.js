/** All of a lay as it stands in 3D, and what changes about it: faded, hidden, lit, pressed, cut. */
import { Group } from "three";
import { createBatch } from "./batch.js";
import { leaves, planeOf } from "./cutting.js";
import { gatheredLines } from "./lines3d.js";
import { dressAll } from "./looks.js";
import { setCutting } from "./materials.js";
import { openingsOf } from "./openings.js";
import { held, targetsOf } from "./picking.js";
import { createPress, press as pressAll } from "./pressing.js";
import { gatheredSolids, linesOf } from "./solids3d.js";
import { createStates, setOpacity } from "./states.js";
import { createRounds, dealRounds, disposeRounds, fineOf, spansByOwner } from "./rounds.js";
import { beginOf, ownersOf } from "./things.js";
import { boxAround, boxOf, isBefore } from "./walls.js";

const KINDS = ["solid", "space", "nipple", "passage", "hatching", "tube", "tie"];

/**
 * Build everything.
 * @param {object} lay decoded
 * @param {object} materials
 * @param {object} uniforms
 */
export function createScenery(lay, materials, uniforms) {
  const owners = ownersOf(lay);
  const first = Object.fromEntries(KINDS.map((k) => [k, beginOf(owners, k)]));
  const standing = [...lay.solids, ...lay.spaces].map((one, owner) => ({ ...one, owner }));
  const group = new Group();
  const solids = gatheredSolids(lay.forms, standing);
  const rounds = createRounds(lay, first, materials, group);
  const edges = gatheredLines(lineSets(lay, first, standing), materials.lines);
  const scenery = {
    lay, owners, first, solids, rounds, materials, uniforms, group,
    batch: createBatch(solids.room, materials.solid, materials.clearSolid),
    edges,
    presses: createPress(lay, solids, edges),
    states: createStates(owners.length),
    opacities: new Float32Array(owners.length),
    boxes: new Map([...solids.ranges].map(([owner, range]) => [owner, boxOf(solids.room, range)])),
    worth: boxAround(chainsOf(lay)),
    targets: null,
    pressed: { share: 0, only: null },
    cut: null,
    opening: null,
  };
  uniforms.states.value = scenery.states.texture;
  scenery.batch.meshes.forEach((mesh, k) => (mesh.renderOrder = 2 * k));
  group.add(...scenery.batch.meshes, edges.mesh);
  return scenery;
}

/** Edges in the order of what stands there, then rims of passages, then the hatching of spaces. */
function lineSets({ forms, passages, solids }, first, standing) {
  const setOf = ({ form, at }, owner, from, to) => ({ lines: linesOf(forms[form], at, from, to), owner });
  return [
    ...standing.map((one) => setOf(one, one.owner, 0, forms[one.form].edges)),
    ...passages.map(({ lines }, k) => ({ lines, owner: first.passage + k })),
    ...standing.slice(solids.length).map((one, k) => {
      const { edges, lines } = forms[one.form];
      return setOf(one, first.hatching + k, edges, lines.length / 2);
    }),
  ];
}

/** Tubes and nipples, as points. */
function chainsOf({ tubes, nipples }) {
  const routes = tubes.map(({ points }) => points).filter((points) => points?.length);
  return [...routes, ...nipples.map(({ from, to }) => [...from, ...to])];
}

/** What can be touched; made ready when it is first asked for. */
export function targetsOfScenery(scenery) {
  scenery.targets ??= targetsFor(scenery.lay, scenery.first, scenery.solids);
  return scenery.targets;
}

function targetsFor(lay, first, solids) {
  const runs = lay.tubes.flatMap((tube, k) =>
    tube.points?.length >= 6 ? [{ owner: first.tube + k, points: tube.points, radius: tube.outside / 2 }] : []);
  const nipples = lay.nipples.map(({ from, to, radius }, k) => ({
    owner: first.nipple + k, points: [...from, ...to], radius,
  }));
  const bodies = [...solids.ranges].map(([owner, [begin, count]]) => ({
    owner, points: solids.room.points, begin: 3 * begin, count: 3 * count,
  }));
  const rims = lay.passages.map(({ lines }, k) => ({ owner: first.passage + k, points: lines, radius: 0.5 }));
  return targetsOf([...runs, ...nipples, ...rims], bodies);
}

/** Show things as they are wanted: shown, faded or hidden, lit, chosen. */
export function look(scenery, wanted) {
  dressAll(scenery, wanted);
  if (scenery.cut) open(scenery);
}

/** Before a picture is drawn: deal out what is in it, sort what is seen through, let walls in front step back. */
export function faceEye(scenery, eye) {
  const { batch, solids, rounds, opacities, boxes, hides } = scenery;
  dealRounds(rounds, eye, opacities, hides);
  const drawn = [...boxes.keys()].filter((owner) => opacities[owner] > 0);
  const through = drawn.filter((owner) => !hides(owner));
  const far = new Map(through.map((owner) => [owner, farFrom(boxes.get(owner), eye.pose.eye)]));
  through.sort((a, b) => far.get(b) - far.get(a));
  const spans = (some) => some.map((owner) => solids.ranges.get(owner));
  batch.draw(spans(drawn.filter(hides)), spans(through));
  stepBack(scenery, through, eye.pose.eye);
}

const farFrom = ([low, high], eye) => Math.hypot(...[0, 1, 2].map((k) => (low[k] + high[k]) / 2 - eye[k]));

function stepBack({ states, opacities, boxes, worth, lay }, through, eye) {
  const { wall } = lay.signs.opacities;
  for (const owner of through) {
    const isWall = isBefore(boxes.get(owner), worth, eye);
    setOpacity(states, owner, isWall ? Math.min(opacities[owner], wall) : opacities[owner]);
  }
}

/** Press all moving parts, or one of them, a share of their travel. */
export function press(scenery, share, only) {
  scenery.pressed = { share, only };
  const changed = new Set(pressAll(scenery.presses, share, only));
  if (!changed.size) return;
  scenery.batch.changed();
  scenery.edges.changed();
  scenery.targets = scenery.targets?.map((target) => (changed.has(target.owner) ? held(target) : target)) ?? null;
  if (scenery.cut) open(scenery);
}

/** Cut along a plane, or mend the cut. */
export function cut(scenery, wanted) {
  scenery.cut = wanted;
  scenery.uniforms.cut.value.set(...planeOf(wanted));
  setCutting(scenery.materials, Boolean(wanted));
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
  const { owners, opacities, solids, rounds, materials, group } = scenery;
  const isCut = (owner) => owners[owner].kind !== "space" && opacities[owner] > 0 && !scenery.faded.has(owner);
  const sources = [
    ...[...solids.ranges].map(([owner, span]) => ({ owner, room: solids.room, spans: [span] })),
    ...[...spansByOwner(rounds)].map(([owner, spans]) => ({ owner, room: fineOf(rounds).room, spans })),
  ].filter(({ owner }) => isCut(owner));
  const found = openingsOf(sources, scenery.cut);
  found.room.owners.forEach((owner, k) => (found.room.along[k] = owners[owner].kind === "solid" ? 1 : 0));
  const faces = createBatch(found.room, materials.opening, materials.opening);
  faces.draw([[0, found.room.index]], []);
  const outlines = gatheredLines(found.lines, materials.openingLines);
  scenery.opening = [faces.meshes[0], outlines.mesh];
  group.add(...scenery.opening);
}

/** Let go of what the graphics card holds. */
export function dismantle(scenery) {
  close(scenery);
  scenery.batch.dispose();
  disposeRounds(scenery.rounds);
  scenery.edges.mesh.geometry.dispose();
  scenery.states.texture.dispose();
}
