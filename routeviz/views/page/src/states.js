/**
 * How each owner looks just now, as a small picture that the graphics card reads: one row an owner.
 *
 * Nothing else has to be uploaded when something fades or lights up. A colour is one number, as in a style sheet.
 */
import { DataTexture, FloatType, NearestFilter, RGBAFormat } from "three";

// Places of four numbers: [face, opacity, second, outline], [every, share, outline px, -],
// [line, px, strength, dashes].
const WIDE = 3;

/** Make the table for so many owners. */
export function createStates(count) {
  const rows = Math.max(count, 1);
  const values = new Float32Array(rows * WIDE * 4);
  const texture = new DataTexture(values, WIDE, rows, RGBAFormat, FloatType);
  texture.minFilter = NearestFilter;
  texture.magFilter = NearestFilter;
  texture.needsUpdate = true;
  return { values, texture };
}

const numberOf = (colour) => parseInt(colour.slice(1), 16);

/** What is drawn and left out in turn of a broken line, up to 63 pixels each, as one number; 0 for a whole line. */
export function dashesOf({ dashes }) {
  if (!dashes?.length) return 0;
  const [drawn, left, again = drawn, last = left] = dashes;
  return ((drawn * 64 + left) * 64 + again) * 64 + last;
}

/** Dress an owner in a look; `opacity` is of its faces, `strength` of its lines, `wider` how many pixels they gain. */
export function dress(states, owner, look, { opacity, strength, wider, bands }) {
  const face = numberOf(look.colour);
  const line = numberOf(look.line);
  const second = look.second ? numberOf(look.second) : -1;
  const outline = look.outline_px || wider ? numberOf(look.outline) : line;
  states.values.set([
    face, opacity, second, outline,
    bands[0], bands[1], look.outline_px + wider, 0,
    line, look.line_px > 0 ? look.line_px + wider : 0, strength, dashesOf(look),
  ], owner * WIDE * 4);
  states.texture.needsUpdate = true;
}

/** Change only how much an owner's faces hide. */
export function setOpacity(states, owner, opacity) {
  const at = owner * WIDE * 4 + 1;
  if (states.values[at] === Math.fround(opacity)) return;
  states.values[at] = opacity;
  states.texture.needsUpdate = true;
}
