/** The travel of moving parts: a slider that presses them, and where the clearance is least. */

import { called } from "./choosing.js";
import { h, name } from "./elements.js";
import { travelled } from "./texts.js";

/**
 * Make the group of controls.
 * @param {object} page lay, state, texts, until
 * @returns {HTMLElement|null} null where nothing moves
 */
export function travelGroup(page) {
  const { lay, state, until } = page;
  const moving = lay.solids.flatMap((solid, k) => (solid.movement ? [k] : []));
  if (!moving.length) return null;
  const which = chooser(lay, moving, state);
  const slider = h("input", {
    type: "range",
    min: 0,
    max: 100,
    step: 1,
    "aria-label": "How far along its travel",
    oninput: () => state.set({ press: { ...state.get().press, share: Number(slider.value) / 100 } }),
  });
  const where = h("output.where");
  const least = h("p.least");
  const show = () => {
    const { share, only } = state.get().press;
    const isHeld = document.activeElement === slider;
    if (!isHeld || Math.abs(Number(slider.value) / 100 - share) > 0.01) slider.value = 100 * share;
    which.value = only === null ? "" : String(only);
    where.textContent = travelled(share);
    slider.setAttribute("aria-valuetext", travelled(share));
    least.replaceChildren(...leastOf(page, moving, only));
  };
  until(state.on(["press", "unit"], show));
  show();
  return h(
    "div.group.travel",
    { role: "group", "aria-label": "Travel", "data-tool": "Travel" },
    h("span.title", {}, "Travel"),
    which,
    slider,
    where,
    least,
  );
}

function chooser(lay, moving, state) {
  const groups = new Map();
  for (const k of moving) {
    const { part } = lay.solids[k];
    groups.set(part, [...(groups.get(part) ?? []), k]);
  }
  const option = (k) => h("option", { value: k, dir: "auto" }, lay.solids[k].name);
  const listed = [...groups].map(([part, some]) =>
    some.length > 1 ? h("optgroup", { label: part }, ...some.map(option)) : option(some[0]),
  );
  const select = h(
    "select",
    {
      "aria-label": "What moves",
      onchange() {
        const only = select.value === "" ? null : Number(select.value);
        state.set({ press: { ...state.get().press, only } });
      },
    },
    h("option", { value: "" }, "All that moves"),
    ...listed,
  );
  return select;
}

function leastOf({ lay, state, texts }, moving, only) {
  const near = (only === null ? moving : [only]).filter((k) => lay.solids[k].least);
  if (!near.length) {
    const what = only === null ? "anything that moves" : "it";
    return [`No tube comes within ${texts.said(lay.reach)} of ${what}.`];
  }
  const closest = near.reduce((a, b) => (lay.solids[b].least.mm < lay.solids[a].least.mm ? b : a));
  const { least, name: solid } = lay.solids[closest];
  const share = least.travel ?? 0;
  const chosen = { kind: "tube", index: least.tube, near: true };
  const go = () => state.set({ chosen, press: { share, only: closest } });
  const between = only === null ? ["between ", name(solid), " and tube "] : ["to tube "];
  return [
    `The least clearance from ${only === null ? "all that moves" : "it"} is ${texts.said(least.mm)}, `,
    ...between,
    name(called(lay.tubes[least.tube])),
    `, ${travelled(share)}. `,
    h("button.link", { onclick: go }, "Go there"),
  ];
}
