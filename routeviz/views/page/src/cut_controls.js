/** The cutting plane: along which axis, where, and which side stays. */

import { h } from "./elements.js";
import { length } from "./lengths.js";

const AXES = [
  { title: "Left to right", way: "right", sides: ["left", "right"] },
  { title: "Front to back", way: "back", sides: ["front", "back"] },
  { title: "Up and down", way: "up", sides: ["lower part", "upper part"] },
];

/**
 * Make the group of controls.
 * @param {object} page lay, state, until
 * @returns {HTMLElement}
 */
export function cutGroup({ lay, state, until }) {
  const axis = h(
    "select",
    {
      "aria-label": "Cut along",
      onchange: () => state.set({ cut: axis.value === "" ? null : middle(lay, Number(axis.value)) }),
    },
    h("option", { value: "" }, "Whole"),
    ...AXES.map(({ title }, k) => h("option", { value: k }, title)),
  );
  const slider = h("input", {
    type: "range",
    "aria-label": "Where it is cut",
    oninput: () => state.set({ cut: { ...state.get().cut, at: Number(slider.value) } }),
  });
  const where = h("output.where");
  const side = h("button", { onclick: () => state.set({ cut: { ...state.get().cut, keep: -state.get().cut.keep } }) });
  const more = h("span.more", {}, slider, where, side);
  const show = () => draw({ axis, slider, where, side, more }, lay, state.get());
  until(state.on(["cut", "unit"], show));
  show();
  const has = { role: "group", "aria-label": "Cut", "data-tool": "Cut" };
  return h("div.group.cut", has, h("span.title", {}, "Cut"), axis, more);
}

function draw({ axis, slider, where, side, more }, lay, { cut, unit }) {
  more.hidden = !cut;
  axis.value = cut ? String(cut.axis) : "";
  if (!cut) return;
  const [low, high] = [lay.bounds[0][cut.axis], lay.bounds[1][cut.axis]];
  Object.assign(slider, { min: low, max: high, step: Math.max((high - low) / 400, 0.1) });
  slider.value = cut.at;
  const said = `${length(cut.at, unit)} ${AXES[cut.axis].way}`;
  where.textContent = said;
  slider.setAttribute("aria-valuetext", said);
  side.textContent = `Keeps the ${AXES[cut.axis].sides[cut.keep > 0 ? 1 : 0]}`;
}

function middle(lay, axis) {
  const at = (lay.bounds[0][axis] + lay.bounds[1][axis]) / 2;
  return { axis, at, keep: axis === 1 ? 1 : -1 };
}
