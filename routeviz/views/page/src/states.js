/**
 * How each owner looks and stands just now, as a small picture that the graphics card reads: one row an owner.
 *
 * Nothing else has to be uploaded when something fades, lights up or moves.
 */
import { DataTexture, FloatType, NearestFilter, RGBAFormat } from "three";
import { rgb } from "./things.js";

const WIDE = 8; // places of four numbers in a row
const PLACES = { face: 0, second: 1, line: 2, outline: 3, more: 4, rows: 5 };
const AT_REST = [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0];

/** Make the table for so many owners, all at rest. */
export function createStates(count) {
  const values = new Float32Array(Math.max(count, 1) * WIDE * 4);
  const texture = new DataTexture(values, WIDE, Math.max(count, 1), RGBAFormat, FloatType, undefined, undefined, undefined, NearestFilter, NearestFilter);
  for (let owner = 0; owner < count; owner++) values.set(AT_REST, (owner * WIDE + PLACES.rows) * 4);
  texture.needsUpdate = true;
  return { values, texture };
}

/** Write one place of an owner's row. */
function put(states, owner, place, four) {
  states.values.set(four, (owner * WIDE + PLACES[place]) * 4);
  states.texture.needsUpdate = true;
}

/** Dress an owner in a look; `opacity` is of its faces, `strength` of its lines, `px` how much wider lines are. */
export function dress(states, owner, look, { opacity, strength = 1, wider = 0, bands = [0, 0], line = look.line }) {
  put(states, owner, "face", [...rgb(look.colour), opacity]);
  put(states, owner, "second", [...rgb(look.second || look.colour), look.second ? 1 : 0]);
  put(states, owner, "line", [...rgb(line), (look.line_px ? look.line_px : 0) + wider]);
  put(states, owner, "outline", [...rgb(look.outline || look.line), look.outline_px + wider]);
  put(states, owner, "more", [bands[0], bands[1], strength, 0]);
}

/** Change only how much an owner's faces hide. */
export function setOpacity(states, owner, opacity) {
  const at = (owner * WIDE + PLACES.face) * 4 + 3;
  if (states.values[at] === Math.fround(opacity)) return false;
  states.values[at] = opacity;
  states.texture.needsUpdate = true;
  return true;
}

/** Place an owner: three rows of four numbers, as in movements.js. */
export function place(states, owner, rows) {
  put(states, owner, "rows", rows ?? AT_REST);
}
