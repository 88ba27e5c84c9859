// How things are dressed: faded, hidden, lit and chosen.

import assert from "node:assert/strict";
import { test } from "node:test";

import { dressAll } from "../../routeviz/views/page/src/looks.js";
import { createStates } from "../../routeviz/views/page/src/states.js";

const LOOK = {
  colour: "#7fb6e6",
  opacity: 1,
  second: "",
  line: "#000000",
  line_px: 1,
  outline: "#274a68",
  outline_px: 1,
};

/** How much each of three tubes hides when this is wanted. */
function opacities(wanted) {
  const owners = [0, 1, 2].map((index) => ({
    kind: "tube",
    index,
    name: `t ${index}`,
    look: LOOK,
    marked: null,
    bands: [0, 0],
  }));
  const lay = { signs: { opacities: { opaque: 0.8, ghost: 0.1 } }, parts: [] };
  const scenery = { owners, states: createStates(3), opacities: [], lay };
  dressAll(scenery, { faded: new Set(), hidden: new Set(), lit: null, chosen: null, ...wanted });
  return scenery.opacities;
}

test("at the bench the next tube stands out from those that are laid, and those to come are not there yet", () => {
  const [laid, next, later] = opacities({ lit: new Set([0, 1]), chosen: { kind: "tube", index: 1 } });
  assert.equal(next, 1);
  assert.ok(laid > 0.1 && laid < 0.5);
  assert.equal(later, 0);
});

test("tubes through a chosen passage are all as they are, and so is a tube that is chosen alone", () => {
  assert.deepEqual(opacities({ lit: new Set([0, 1]), chosen: { kind: "passage", index: 1 } }).slice(0, 2), [1, 1]);
  assert.equal(opacities({ lit: new Set([1]), chosen: { kind: "tube", index: 1 } })[1], 1);
  assert.deepEqual(opacities({}), [1, 1, 1]);
});
