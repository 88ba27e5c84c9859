/** How each thing is dressed for what is wanted: shown, faded, hidden; lit among others; chosen. */
import { dress } from "./states.js";

const FAINT = 0.14; // of tubes that are not lit
const FAINT_LINES = 0.3;
const QUIET = 0.28; // of tubes that are lit beside the chosen one: at the bench, those that are laid
const HATCHING = 0.45; // of its lines, so that it stays behind what stands there
const WIDER_PX = 1.4; // by which the lines of a chosen thing are wider

/**
 * Dress every owner.
 * @param {object} scenery whose states, opacities, faded and hides are set
 * @param {{faded: Set<string>, hidden: Set<string>, lit: ?Set<number>, chosen: ?object}} wanted
 */
export function dressAll(scenery, wanted) {
  const { owners, states, opacities, lay } = scenery;
  const { opaque, ghost } = lay.signs.opacities;
  const withParts = wantedParts(lay, wanted);
  scenery.faded = new Set();
  owners.forEach((owner, k) => {
    const how = manner(owner, withParts);
    if (how !== "shown") scenery.faded.add(k);
    const look = owner.marked ?? owner.look;
    const opacity = opacityOf(how, look, { opaque, ghost, kind: owner.kind });
    opacities[k] = opacity;
    const wider = isChosen(owner, wanted.chosen) ? WIDER_PX : 0;
    const most = owner.kind === "hatching" ? HATCHING : 1;
    const strength = most * { shown: 1, quiet: QUIET, faint: FAINT_LINES, faded: FAINT_LINES, hidden: 0 }[how];
    dress(states, k, look, { opacity, strength, wider, bands: owner.bands });
  });
  scenery.hides = (k) => opacities[k] >= opaque;
}

/** Sets of names with the names of whole parts taken apart. */
function wantedParts(lay, { faded, hidden, lit, chosen }) {
  const apart = (names) => new Set([...names].flatMap((name) => [name, ...namesIn(lay, name)]));
  const followed = isAmongOthers({ lit, chosen }) ? chosen.index : null;
  return { faded: apart(faded), hidden: apart(hidden), lit, followed };
}

function namesIn(lay, name) {
  const part = lay.parts.find((one) => one.name === name);
  return part ? [...part.solids.map((k) => lay.solids[k].name), ...part.nipples.map((k) => lay.nipples[k].name)] : [];
}

function isAmongOthers({ lit, chosen }) {
  return chosen?.kind === "tube" && lit?.size > 1;
}

function manner(owner, { faded, hidden, lit, followed }) {
  if (hidden.has(owner.name)) return "hidden";
  const isTube = owner.kind === "tube" || owner.kind === "tie";
  if (isTube && lit?.has(owner.index)) return followed === null || owner.index === followed ? "shown" : "quiet";
  if (isTube && lit) return followed === null ? "faint" : "hidden"; // what comes later would only be in the way
  return faded.has(owner.name) ? "faded" : "shown";
}

function opacityOf(how, look, { opaque, ghost, kind }) {
  if (how === "hidden") return 0;
  if (how === "faint") return FAINT;
  if (how === "quiet") return QUIET;
  if (how === "faded") return Math.min(ghost, look.opacity);
  return kind === "space" || kind === "hatching" ? look.opacity : look.opacity >= opaque ? 1 : look.opacity;
}

const isChosen = (owner, chosen) => Boolean(chosen) && chosen.kind === owner.kind && chosen.index === owner.index;
