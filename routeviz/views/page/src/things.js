/**
 * Everything that is drawn, in one row: who owns which triangles and lines, what it is called and how it looks.
 *
 * An owner's number is its row in the table of states (states.js), which the graphics card reads.
 */

import { doubtOf } from "./known.js";

const TIE = {
  colour: "#2e2e2e", second: "", opacity: 1, line: "#101010", line_px: 0, outline: "#101010", outline_px: 0.7,
};

/**
 * Name the owners of a lay.
 * @param {object} lay decoded
 * @returns {object[]} {kind, index, name, says, part, look, marked, severity, bands, thing}
 */
export function ownersOf(lay) {
  const lookOf = (thing) => lay.looks[thing.look];
  const own = (kind, says) => (thing, index) => ({
    kind,
    index,
    name: thing.name,
    says: says(thing),
    part: thing.part ?? null,
    look: lookOf(thing),
    marked: thing.marked == null ? null : lay.looks[thing.marked],
    severity: thing.severity ?? null,
    bands: [0, 0],
    thing,
  });
  const tubes = lay.tubes.map(own("tube", tubeSays)).map((owner) => banded(owner, lay.signs));
  const known = (said, part) => [said, doubtOf(lay, part)].filter(Boolean).join(", ");
  return [
    ...lay.solids.map(own("solid", (s) => known(s.part && s.part !== s.name ? s.part : "", s.part))),
    ...lay.spaces.map(own("space", (s) => known(s.why ?? "", s.part))),
    ...lay.nipples.map(own("nipple", (n) => known(n.part ?? "", n.part))),
    ...lay.passages.map(own("passage", (p) => p.says ?? "")),
    ...lay.spaces.map(own("hatching", (s) => s.why ?? "")).map(unbroken),
    ...tubes,
    ...tubes.map((tube) => ({
      ...tube, kind: "tie", says: tiesSay(tube.thing), look: TIE, marked: null, bands: [0, 0],
    })),
  ];
}

const unbroken = (owner) => ({ ...owner, marked: null, look: { ...owner.look, dashes: [] } });

const tubeSays = (tube) => [tube.from, tube.to].filter(Boolean).join(" – ");

function tiesSay(tube) {
  const held = [...new Set(tube.ties.map((tie) => tie.to).filter(Boolean))];
  return held.length ? `tied to ${held.join(", ")}` : "";
}

/** The bands of a tube: of its worst finding, else of how it is known. */
function banded(owner, { bands, doubts }) {
  const pattern = owner.marked ? bands[owner.severity] : doubts?.[owner.thing.status];
  return pattern ? { ...owner, bands: [pattern.every * owner.thing.outside, pattern.share] } : owner;
}

/** The row of the first owner of a kind: owners of a kind stand in the order of the lay. */
export function beginOf(owners, kind) {
  const at = owners.findIndex((owner) => owner.kind === kind);
  return at < 0 ? owners.length : at;
}

/** What callers are told about an owner. */
export const tellOf = ({ kind, index, name, says }) => ({ kind, index, name, says });

/** Red, green and blue, 0 to 1, of six hex digits. */
export function rgb(colour) {
  const value = parseInt(colour.slice(1), 16);
  return [(value >> 16) / 255, ((value >> 8) & 255) / 255, (value & 255) / 255];
}
