/** From what is chosen to what the 3D shows: what fades, what lights up, where the eye goes, what is pressed. */

import { viewOfTube } from "./projecting.js";
import { BEGIN } from "./state.js";
import { add, cross, scaled } from "./vectors.js";

const ACROSS = 1.7; // of a passage, how much of its surroundings is seen
const AWAY_MM = 900; // of the eye before a passage; a parallel view is the same from anywhere

/**
 * What the 3D is to show of a lay.
 * @param {object} lay
 * @param {object} now the state's fields
 * @returns {{faded: Set<string>, hidden: Set<string>, lit: Set<number>|null, chosen: object|null}}
 */
export function lookOf(lay, now) {
  const look = { faded: new Set(), hidden: new Set(), lit: null, chosen: thingOf(lay, now.chosen) };
  for (const part of lay.parts) {
    const how = now.parts[part.name];
    if (how) namesOf(lay, part).forEach((name) => look[how].add(name));
  }
  if (now.mode === "bench" && (now.laid.size || now.now !== null)) return { ...look, ...atBench(lay, now) };
  const chosen = now.chosen && CHOSEN[now.chosen.kind]?.(lay, now.chosen.index);
  if (chosen?.faded) chosen.faded.forEach((name) => look.faded.add(name));
  return { ...look, lit: chosen?.lit ?? null };
}

const CHOSEN = {
  finding: (lay, k) => ({ lit: new Set(lay.findings[k].tubes), faded: lay.findings[k].faded }),
  tube: (_, k) => ({ lit: new Set([k]) }),
  passage: (lay, k) => ({ lit: new Set(lay.passages[k].tubes) }),
};

/** At the bench: the tubes that are in, and the next. */
function atBench(lay, { laid, now }) {
  const lit = new Set(now === null ? laid : [...laid, now]);
  return { lit, chosen: now === null ? null : thingOf(lay, { kind: "tube", index: now }) };
}

/** Nothing where the lay has just changed and has fewer things than the one before. */
function thingOf(lay, chosen) {
  if (!chosen || !["tube", "solid", "passage"].includes(chosen.kind)) return null;
  const thing = lay[`${chosen.kind}s`][chosen.index];
  return thing ? { kind: chosen.kind, index: chosen.index, name: thing.name, says: "" } : null;
}

function namesOf(lay, part) {
  return ["solids", "spaces", "nipples"].flatMap((group) => part[group].map((k) => lay[group][k].name));
}

/**
 * What else has to change when a thing is chosen. What the last choice pressed or cut, and nobody has touched since,
 * ends.
 * @param {object} lay
 * @param {object} now the state's fields
 * @param {object} given what the last choice changed
 * @returns {object} a patch of the state
 */
export function patchAfter(lay, now, given) {
  const untouched = Object.keys(given).filter((key) => now[key] === given[key]);
  return { ...Object.fromEntries(untouched.map((key) => [key, BEGIN[key]])), ...patchFor(lay, now.chosen) };
}

/**
 * How far moving parts are pressed, and what is cut, for a thing that is chosen.
 * @param {object} lay
 * @param {{kind: string, index: number}|null} chosen
 * @returns {object} a patch of the state
 */
export function patchFor(lay, chosen) {
  if (chosen?.kind === "finding") {
    const { moved } = lay.findings[chosen.index];
    return { cut: null, press: moved ? { share: moved[1], only: moved[0] } : BEGIN.press };
  }
  if (chosen?.kind === "passage") return { cut: cutThrough(lay.passages[chosen.index]) };
  return {};
}

/**
 * The plane that cuts a passage open: the near side, from where its plate is seen, is taken away.
 * @param {object} passage
 * @returns {{axis: number, at: number, keep: number}}
 */
export function cutThrough({ middle, right, up }) {
  const out = cross(right, up);
  const sizes = out.map(Math.abs);
  const axis = sizes.indexOf(Math.max(...sizes));
  return { axis, at: middle[axis], keep: out[axis] > 0 ? -1 : 1 };
}

/**
 * From where a chosen thing is looked at; what was found and has no place, from where all is seen.
 * @param {object} lay
 * @param {{kind: string, index: number}|null} chosen
 * @returns {object|null} null where the eye stays
 */
export function viewFor(lay, chosen) {
  if (chosen?.kind === "finding") {
    const { eye, target, up, height } = lay.findings[chosen.index];
    return eye ? { eye, target, up, height } : lay.views[0];
  }
  return chosen?.kind === "passage" ? viewOfPassage(lay.passages[chosen.index]) : null;
}

function viewOfPassage({ middle, right, up, size: [wide, high] }) {
  const eye = add(middle, scaled(cross(right, up), AWAY_MM));
  return { eye, target: middle, up, height: ACROSS * Math.max(high, wide / 1.3), parallel: true };
}

/**
 * Let the 3D follow the state.
 * @param {object} stage
 * @param {function(): object} layNow the lay of the moment
 * @param {object} state
 * @param {HTMLCanvasElement} canvas
 * @returns {{again: function(): void}} which shows all anew
 */
export function follow(stage, layNow, state, canvas) {
  const look = () => stage.look(lookOf(layNow(), state.get()));
  const press = () => stage.press(state.get().press.share, state.get().press.only);
  const mark = () => stage.mark(spotOf(layNow(), state.get().chosen));
  const approach = (tube) => stage.flyTo(viewOfTube(layNow(), tube, canvas.clientWidth / (canvas.clientHeight || 1)));
  const bench = () => {
    const { mode, now } = state.get();
    if (mode === "bench" && now !== null) approach(now);
  };
  const chosen = () => {
    mark();
    const now = state.get().chosen;
    if (now?.stays) return;
    const view = viewFor(layNow(), now);
    if (view) stage.flyTo(view);
    else if (now?.near) approach(now.index);
  };
  state.on(["chosen", "parts", "mode", "now", "laid"], look);
  state.on("chosen", chosen);
  state.on(["mode", "now"], bench);
  new ResizeObserver(bench).observe(canvas); // a tablet that is turned round
  state.on("press", press);
  state.on("cut", () => stage.cut(state.get().cut));
  state.on("ends", () => stage.measure(state.get().ends));
  state.on("theme", () => stage.theme(state.get().theme));
  const again = () => {
    stage.theme(state.get().theme);
    look();
    press();
    mark();
    stage.cut(state.get().cut);
    stage.measure(state.get().ends);
  };
  again();
  return { again };
}

function spotOf(lay, chosen) {
  const finding = chosen?.kind === "finding" ? lay.findings[chosen.index] : null;
  return finding?.point ? { point: finding.point, severity: finding.severity } : null;
}
