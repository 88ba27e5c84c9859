/** Measuring from one point to another. */

import { h } from "./elements.js";
import { length } from "./lengths.js";

const WAYS = [
  ["to the right", "to the left"],
  ["back", "forward"],
  ["up", "down"],
];

/**
 * Make the group of controls.
 * @param {object} page state, until
 * @returns {HTMLElement}
 */
export function measureGroup({ state, until }) {
  const turn = (measuring) => state.set({ measuring, ends: [] });
  const button = h("button", { onclick: () => turn(!state.get().measuring) }, "Measure");
  const says = h("output.measured");
  const show = () => {
    const now = state.get();
    button.setAttribute("aria-pressed", String(now.measuring));
    says.textContent = now.measuring ? measuredSays(now.ends, now.unit) : "";
  };
  until(state.on(["measuring", "ends", "unit"], show));
  show();
  const has = {
    role: "group",
    "aria-label": "Measure",
    "data-tool": "Measure",
    onopened: ({ detail }) => turn(detail),
  };
  return h("div.group.measure", has, button, says);
}

/**
 * Take a point: the first, the second, and then a first again.
 * @param {object} state
 * @param {number[]} point
 */
export function takeEnd(state, point) {
  const { ends } = state.get();
  state.set({ ends: ends.length === 1 ? [...ends, point] : [point] });
}

/**
 * Say what was measured.
 * @param {number[][]} ends up to two points
 * @param {"mm"|"in"} unit
 * @returns {string}
 */
export function measuredSays(ends, unit) {
  if (ends.length < 2) return ends.length ? "Touch the second point." : "Touch the first point.";
  const by = ends[1].map((value, k) => value - ends[0][k]);
  const says = (mm, [ahead, back]) => `${length(Math.abs(mm), unit)} ${mm > 0 ? ahead : back}`;
  const ways = by.flatMap((mm, k) => (Math.abs(mm) < 0.05 ? [] : [says(mm, WAYS[k])]));
  return `${length(Math.hypot(...by), unit)} apart${ways.length ? `: ${ways.join(", ")}` : ""}.`;
}
