/** The controls along the lower edge of the case. */

import { cutGroup } from "./cut_controls.js";
import { h } from "./elements.js";
import { fine } from "./lengths.js";
import { measureGroup } from "./measure_controls.js";
import { followTexts } from "./texts.js";
import { travelGroup } from "./travel.js";

/**
 * Show the controls.
 * @param {HTMLElement} element emptied first
 * @param {object} lay
 * @param {object} state
 * @param {{fly: function(object): void}|null} camera null where there is no 3D
 * @returns {function} which ends them
 */
export function mountControls(element, lay, state, camera) {
  const texts = { ...followTexts(lay, state), said: (mm) => fine(mm, state.get().unit) };
  const ends = [texts.end];
  const page = { lay, state, texts, until: (end) => ends.push(end) };
  const inDepth = camera ? [cutGroup(page), viewGroup(lay, camera), measureGroup(page)] : [];
  const groups = [travelGroup(page), ...inDepth, switchGroup(page)].filter(Boolean);
  element.replaceChildren(tools(groups), ...groups);
  return () => ends.forEach((end) => end());
}

function viewGroup(lay, camera) {
  const buttons = lay.views.map((view) => h("button", { onclick: () => camera.fly(view) }, view.title));
  return h("div.group.views", { role: "group", "aria-label": "Views", "data-tool": "Views" }, ...buttons);
}

function switchGroup({ state, until }) {
  const pair = (key, title, values) => {
    const buttons = values.map(([value, word]) => h("button", { onclick: () => state.set({ [key]: value }) }, word));
    const show = () =>
      buttons.forEach((one, k) => one.setAttribute("aria-pressed", String(state.get()[key] === values[k][0])));
    until(state.on(key, show));
    show();
    return h("div.pair", { role: "group", "aria-label": title }, ...buttons);
  };
  const units = pair("unit", "Unit", [["mm", "mm"], ["in", "in"]]);
  const themes = pair("theme", "Light or dark", [["light", "Light"], ["dark", "Dark"]]);
  const has = { role: "group", "aria-label": "Unit and light", "data-tool": "Units" };
  return h("div.group.switches", has, units, themes);
}

/** Where there is little room, only one group is open at a time: these open them, and tell a group of it. */
function tools(groups) {
  const turn = (group) => {
    for (const [k, one] of groups.entries()) {
      const was = one.classList.contains("open");
      const on = one === group && !was;
      one.classList.toggle("open", on);
      buttons[k].setAttribute("aria-expanded", String(on));
      if (on !== was) one.dispatchEvent(new CustomEvent("opened", { detail: on }));
    }
  };
  const buttons = groups.map((group) =>
    h("button", { "aria-expanded": "false", onclick: () => turn(group) }, group.dataset.tool),
  );
  const row = h("div.tools", { role: "group", "aria-label": "More controls" }, ...buttons);
  const close = (event) => {
    const k = groups.findIndex((one) => one.classList.contains("open"));
    if (event.key !== "Escape" || k < 0 || !row.offsetParent) return;
    event.preventDefault();
    turn(null);
    buttons[k].focus();
  };
  for (const one of [row, ...groups]) one.addEventListener("keydown", close);
  return row;
}
