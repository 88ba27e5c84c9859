/**
 * Reading the lay that the page carries: arrays come as base64 of little-endian numbers, as all that run browsers
 * have them.
 */

import { centreline } from "./centreline.js";

const READERS = {
  "f32:": (bytes) => new Float32Array(bytes.buffer),
  "u32:": (bytes) => new Uint32Array(bytes.buffer),
  "u16:": (bytes) => Uint32Array.from(new Uint16Array(bytes.buffer)),
  "i24:": micrometres,
};
const ARRAYS = ["points", "triangles", "lines", "corners", "radii", "taped"];
const GROUPS = ["solids", "spaces", "passages", "nipples", "tubes"];

/**
 * Decode one array.
 * @param {string} text "f32:…" or "i24:…" (micrometres) for lengths, "u32:…" or "u16:…" for whole numbers
 * @returns {Float32Array|Uint32Array} lengths in mm
 */
export function numbers(text) {
  const kind = text.slice(0, 4);
  if (!READERS[kind]) throw new Error(`an array that begins with ${JSON.stringify(kind)} cannot be read`);
  const raw = atob(text.slice(4));
  if (raw.length % (Number(kind.slice(1, 3)) / 8)) throw new Error("an array is cut short");
  const bytes = new Uint8Array(raw.length);
  for (let k = 0; k < raw.length; k += 1) bytes[k] = raw.charCodeAt(k);
  return READERS[kind](bytes);
}

/** The third byte carries the sign: it is moved to the top of 32 bits and back. */
function micrometres(bytes) {
  const lengths = new Float32Array(bytes.length / 3);
  for (let k = 0, at = 0; k < lengths.length; k += 1, at += 3) {
    lengths[k] = ((bytes[at] << 8) | (bytes[at + 1] << 16) | (bytes[at + 2] << 24)) / 256000;
  }
  return lengths;
}

/**
 * Read a lay: decode its arrays and index its things by name.
 * @param {string} text the JSON
 * @returns {object} the lay, with `index` {group: Map name -> place} added
 */
export function readLay(text) {
  const lay = JSON.parse(text);
  if (lay.format !== 1) throw new Error(`this page reads format 1, and the lay has ${JSON.stringify(lay.format)}`);
  for (const group of [...GROUPS, "forms"]) lay[group].forEach(decode);
  for (const tube of lay.tubes) tube.points = tube.corners ? centreline(tube.corners, tube.radii) : null;
  lay.index = Object.fromEntries(GROUPS.map((group) => [group, named(lay[group])]));
  return lay;
}

function decode(thing) {
  for (const key of ARRAYS) if (typeof thing[key] === "string") thing[key] = numbers(thing[key]);
}

function named(things) {
  return new Map(things.map((thing, k) => [thing.name, k]));
}
