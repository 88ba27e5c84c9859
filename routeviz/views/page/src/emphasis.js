// What the flat pictures bring forward and what they hold back, from what the page's store says.

import { shareOf } from "./movements.js";

/**
 * How each thing of a lay is drawn.
 * @param {object} lay the page's data
 * @param {object} now the store's content
 * @returns {{tubes: string[], solids: string[], passages: Set<number>, findings: Set<number>|null,
 *   labelled: Set<number>, shares: function(number): number}}
 *   tubes and solids one word each ("lit", "plain", "faded" or "hidden"), passages that are chosen, findings that
 *   have a badge (null: all that have a place), tubes whose tag is written beside them, and how far a solid has moved
 */
export function emphasisOf(lay, now) {
  const about = aboutOf(lay, now);
  const faded = new Set(about.faded);
  return {
    tubes: lay.tubes.map((_, index) => about.tube(index)),
    solids: lay.solids.map((solid, index) => solidWord(solid, index, now, faded)),
    passages: new Set(now.chosen?.kind === "passage" ? [now.chosen.index] : []),
    findings: about.findings,
    labelled: about.labelled,
    shares: (index) => (about.moved?.[0] === index ? about.moved[1] : shareOf(index, now.press.share, now.press.only)),
  };
}

function solidWord(solid, index, now, faded) {
  const said = now.parts[solid.part];
  if (said) return said;
  const { chosen } = now;
  if (chosen?.kind === "solid" && chosen.index === index) return "lit";
  return faded.has(solid.name) ? "faded" : "plain";
}

function aboutOf(lay, now) {
  if (now.mode === "bench" && now.now !== null) return atBench(now);
  const { chosen } = now;
  if (chosen?.kind === "finding" && lay.findings[chosen.index])
    return ofFinding(lay.findings[chosen.index], chosen.index);
  if (chosen?.kind === "tube") return lighting([chosen.index], { labelled: [chosen.index] });
  if (chosen?.kind === "passage" && lay.passages[chosen.index]) return lighting(lay.passages[chosen.index].tubes, {});
  return { tube: () => "plain", faded: [], findings: null, labelled: new Set() };
}

/** The next tube and those that are in; what comes later would only be in the way. */
function atBench(now) {
  return {
    tube: (index) => (index === now.now ? "lit" : now.laid.has(index) ? "plain" : "hidden"),
    faded: [],
    findings: new Set(),
    labelled: new Set([now.now]),
  };
}

function ofFinding(finding, index) {
  return {
    ...lighting(finding.tubes, { faded: finding.faded, findings: [index], labelled: finding.tubes }),
    moved: finding.moved,
  };
}

function lighting(tubes, { faded = [], findings = [], labelled = [] }) {
  const lit = new Set(tubes);
  return {
    tube: (index) => (lit.has(index) ? "lit" : "faded"),
    faded,
    findings: new Set(findings),
    labelled: new Set(labelled),
  };
}
