/** What is chosen: how it is set, stepped through and said. */

import { doubtOf, doubtSays, told as toldStatus } from "./known.js";
import { counted } from "./texts.js";

const GROUPS = { tube: "tubes", solid: "solids", passage: "passages", part: "parts", finding: "findings" };
const MODES = { finding: "found", tube: "tubes", passage: "passages" };

/**
 * Choose a thing, and turn to the list that it stands in.
 * @param {object} state
 * @param {string} kind
 * @param {number} index
 */
export function choose(state, kind, index) {
  const { mode } = state.get();
  state.set({ chosen: { kind, index }, mode: mode === "bench" ? mode : (MODES[kind] ?? mode) });
}

/**
 * Choose a thing, or nothing if it was chosen.
 * @param {object} state
 * @param {string} kind
 * @param {number} index
 */
export function toggle(state, kind, index) {
  if (isChosen(state.get(), kind, index)) state.set({ chosen: null });
  else choose(state, kind, index);
}

/**
 * Tell whether a thing is chosen.
 * @param {object} now the state's fields
 * @param {string} kind
 * @param {number} index
 * @returns {boolean}
 */
export function isChosen(now, kind, index) {
  return now.chosen?.kind === kind && now.chosen.index === index;
}

/**
 * Choose the next or the previous finding; before the first comes the last.
 * @param {object} lay
 * @param {object} state
 * @param {1|-1} by
 */
export function stepFinding(lay, state, by) {
  const many = lay.findings.length;
  if (!many) return;
  const { chosen } = state.get();
  const from = chosen?.kind === "finding" ? chosen.index : by > 0 ? -1 : 0;
  choose(state, "finding", (from + by + many) % many);
}

/**
 * Tell what is chosen, in words.
 * @param {object} lay
 * @param {{kind: string, index: number}|null} chosen
 * @returns {string} "Fault 3: …"; nothing when nothing is
 */
export function told(lay, chosen) {
  const thing = chosen && lay[GROUPS[chosen.kind]]?.[chosen.index];
  if (!thing) return "";
  return TELL[chosen.kind](thing, lay);
}

const TELL = {
  finding: (one) => `${severityWord(one)} ${one.number}: ${one.subject} \u2013 ${one.says}`,
  tube: (one, lay) => joined(`Tube ${called(one)}, from ${one.from} to ${one.to}`, toldStatus(lay, one.status)),
  passage: (one) => `Passage ${one.name}, ${counted(one.tubes.length, "tube")}`,
  part: (one, lay) => joined(`Part ${one.name}`, doubtOf(lay, one.name)),
  solid: (one, lay) => joined(solidSays(one), doubtSays(lay, one.part)),
};

const joined = (...words) => words.filter(Boolean).join(" \u2013 ");

/**
 * A severity as a word that begins a line.
 * @param {object} finding
 * @returns {string}
 */
export function severityWord(finding) {
  return { fault: "Fault", caution: "Caution", note: "Note" }[finding.severity];
}

/**
 * What a tube is called: its tag, and its name where that is another.
 * @param {object} tube
 * @returns {string}
 */
export function called(tube) {
  return !tube.tag || tube.tag === tube.name ? tube.name : `${tube.tag} (${tube.name})`;
}

function solidSays(solid) {
  const part = solid.part && !solid.name.startsWith(solid.part) ? ` of ${solid.part}` : "";
  return `${solid.name}${part}, ${solid.kind.replaceAll("_", " ")}${solid.movement ? ", which moves" : ""}`;
}
