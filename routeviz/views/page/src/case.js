/** The case: the 3D, or flat pictures where there is none, with the controls along its lower edge. */

import { announce } from "./announce.js";
import { choose, told } from "./choosing.js";
import { mountControls } from "./controls.js";
import { h, name } from "./elements.js";
import { mountFlat } from "./flat.js";
import { hearKeys } from "./keys.js";
import { inUnit } from "./lengths.js";
import { takeEnd } from "./measure_controls.js";
import { createStage } from "./stage.js";
import { follow, patchAfter } from "./staging.js";

const KEYS_SAY =
  "The case in 3D. Arrow keys turn it, with Shift they move it, plus and minus come nearer and go away, " +
  "Home shows all.";

/**
 * Show the case.
 * @param {HTMLElement} element
 * @param {object} lay
 * @param {object} state
 * @returns {{stage: object|null, replace: function(object): void}} `stage` is null where there is no 3D
 */
export function mountCase(element, lay, state) {
  let now = lay;
  const layNow = () => now;
  const stageBox = h("div.stage");
  const edge = h("div.controls");
  element.replaceChildren(stageBox, edge);
  let given = {};
  state.on("chosen", ({ chosen }) => {
    if (chosen?.stays) return;
    given = patchAfter(now, state.get(), given);
    state.set(given);
  });
  announce(document.getElementById("announce"), layNow, state);
  let shown = null;
  const flight = { fly: (view) => shown.stage.flyTo(view) };
  const controls = () => mountControls(edge, now, state, shown?.stage === null ? null : flight);
  let end = controls(); // before the canvas is drawn on, which thereby has its size
  shown = shownIn(stageBox, layNow, state);
  if (!shown.stage) {
    end();
    end = controls();
  }
  hearKeys(layNow, state, shown.stage ? shown : null);
  return {
    stage: shown.stage,
    replace(next) {
      now = next;
      shown.replace(next);
      end();
      end = controls();
    },
  };
}

function shownIn(box, layNow, state) {
  try {
    return solid(box, layNow, state);
  } catch (error) {
    return flat(box, layNow(), state, error.message);
  }
}

function solid(box, layNow, state) {
  const canvas = h("canvas", { tabindex: "0", role: "application", "aria-label": KEYS_SAY });
  const under = h("p.under", { "aria-hidden": "true" });
  box.replaceChildren(canvas, under);
  const heard = {
    calm: matchMedia("(prefers-reduced-motion: reduce)").matches,
    onPick: (thing, point) => pick(thing, point, state),
    onHover: (thing) => say(under, thing, layNow(), state),
  };
  const stage = createStage(canvas, layNow(), heard);
  state.on(["chosen", "unit"], () => say(under, null, layNow(), state));
  const following = follow(stage, layNow, state, canvas);
  return {
    canvas,
    stage,
    replace(next) {
      stage.replace(next);
      following.again();
    },
  };
}

function flat(box, lay, state, reason) {
  const why = `There is no 3D here: ${reason}. All lists and plates are there, and the case is drawn flat.`;
  box.replaceChildren();
  const { replace } = mountFlat(box, lay, state, why);
  return { stage: null, replace };
}

function pick(thing, point, state) {
  if (state.get().measuring) {
    if (point) takeEnd(state, [...point]);
  } else if (!thing) state.set({ chosen: null });
  else if (["tube", "tie"].includes(thing.kind)) choose(state, "tube", thing.index);
  else if (["solid", "passage"].includes(thing.kind)) choose(state, thing.kind, thing.index);
}

/** What is under the pointer, else what is chosen. */
function say(under, thing, lay, state) {
  const { chosen, unit } = state.get();
  const kind = thing?.kind === "tie" ? "tube" : thing?.kind;
  const plain = [thing?.name, thing?.says].filter(Boolean).join(" \u2013 ");
  const text = told(lay, thing ? { kind, index: thing.index } : chosen) || plain;
  under.replaceChildren(...(text ? [name(inUnit(text, unit))] : []));
}
