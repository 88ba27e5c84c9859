/** Reading the lay that the page carries: arrays come as base64 of little-endian numbers. */

const KINDS = { "f32:": Float32Array, "u32:": Uint32Array };
const ARRAYS = ["points", "triangles", "bands", "lines"];
const GROUPS = ["solids", "spaces", "passages", "nipples", "tubes"];

/**
 * Decode one array.
 * @param {string} text "f32:…" or "u32:…"
 * @returns {Float32Array|Uint32Array}
 */
export function numbers(text) {
  const Kind = KINDS[text.slice(0, 4)];
  if (!Kind) throw new Error(`an array that begins with ${JSON.stringify(text.slice(0, 4))} cannot be read`);
  const raw = atob(text.slice(4));
  const bytes = Uint8Array.from(raw, (letter) => letter.charCodeAt(0));
  if (bytes.length % 4) throw new Error("an array is cut short");
  const view = new DataView(bytes.buffer);
  const read = Kind === Float32Array ? "getFloat32" : "getUint32";
  return Kind.from({ length: bytes.length / 4 }, (_, k) => view[read](4 * k, true));
}

/**
 * Read a lay: decode its arrays and index its things by name.
 * @param {string} text the JSON
 * @returns {object} the lay, with `index` {group: Map name -> place} added
 */
export function readLay(text) {
  const lay = JSON.parse(text);
  if (lay.format !== 1) throw new Error(`this page reads format 1, and the lay has ${JSON.stringify(lay.format)}`);
  for (const group of GROUPS) for (const thing of lay[group]) decode(thing);
  lay.index = Object.fromEntries(GROUPS.map((group) => [group, named(lay[group])]));
  return lay;
}

function decode(thing) {
  for (const key of ARRAYS) if (typeof thing[key] === "string") thing[key] = numbers(thing[key]);
}

function named(things) {
  return new Map(things.map((thing, k) => [thing.name, k]));
}
