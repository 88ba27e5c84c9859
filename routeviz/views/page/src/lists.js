/** The column of text: choices at its head, and what each of them shows. All of it is there at once. */

import { mountBench } from "./bench.js";
import { h } from "./elements.js";
import { mountFindings } from "./findings.js";
import { mountParts } from "./parts_list.js";
import { mountPassages } from "./passages.js";
import { mountClosing, mountOpening } from "./summary.js";
import { followTexts } from "./texts.js";
import { mountTubes } from "./tubes_table.js";

const CHOICES = [
  ["found", "Found", (lay) => lay.findings.length, [mountOpening, mountFindings, mountClosing]],
  ["tubes", "Tubes", (lay) => lay.tubes.length, [mountTubes]],
  ["passages", "Passages", (lay) => lay.passages.length, [mountPassages]],
  ["parts", "Parts", () => null, [mountParts]],
  ["bench", "Bench", () => null, []],
];

/**
 * Show the lists of a lay.
 * @param {HTMLElement} element emptied first
 * @param {object} lay
 * @param {object} state
 * @returns {{replace: function(object): void}} `replace` shows another lay; the bench goes on where it was
 */
export function mountLists(element, lay, state) {
  const panels = Object.fromEntries(CHOICES.map(([mode, title]) => [mode, panel(mode, title)]));
  const tabs = CHOICES.map(([mode, title]) => tab(mode, title, state));
  element.replaceChildren(choices(tabs, state), ...Object.values(panels));
  const show = () => turn(tabs, panels, state.get().mode);
  state.on("mode", show); // before all others: what is hidden cannot be scrolled to
  show();
  const view = { query: "", column: null, way: 1 };
  let end = fill(panels, tabs, { lay, state, view });
  const bench = mountBench(panels.bench, lay, state);
  return {
    replace(next) {
      const places = Object.values(panels).map((one) => one.scrollTop);
      end();
      end = fill(panels, tabs, { lay: next, state, view });
      bench.replace(next);
      Object.values(panels).forEach((one, k) => (one.scrollTop = places[k]));
    },
  };
}

/** Fill all panels but the bench's, and say how many there are of what. */
function fill(panels, tabs, { lay, state, view }) {
  const texts = followTexts(lay, state);
  const ends = [texts.end];
  const page = { lay, state, view, texts, until: (end) => ends.push(end) };
  for (const [k, [mode, title, count, mounts]] of CHOICES.entries()) {
    const many = count(lay);
    tabs[k].replaceChildren(title, ...(many === null ? [] : [h("span.many", {}, ` ${many}`)]));
    if (!mounts.length) continue;
    panels[mode].replaceChildren(h("h2.unseen", {}, title));
    mounts.forEach((mount) => mount(panels[mode], page));
  }
  return () => ends.forEach((end) => end());
}

function panel(mode, title) {
  return h(`div.panel.${mode}`, { role: "tabpanel", id: `panel-${mode}`, "aria-label": title, tabindex: "0" });
}

function tab(mode, title, state) {
  return h(
    "button.choice",
    { role: "tab", id: `choice-${mode}`, "aria-controls": `panel-${mode}`, onclick: () => state.set({ mode }) },
    title,
  );
}

function choices(tabs, state) {
  return h(
    "div.choices",
    { role: "tablist", "aria-label": "What the column shows", onkeydown: (event) => step(event, tabs, state) },
    ...tabs,
  );
}

function step(event, tabs, state) {
  const by = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
  if (!by) return;
  event.preventDefault();
  const from = tabs.findIndex((one) => one.id === `choice-${state.get().mode}`);
  const to = tabs[(from + by + tabs.length) % tabs.length];
  state.set({ mode: to.id.slice("choice-".length) });
  to.focus();
}

function turn(tabs, panels, mode) {
  for (const one of tabs) {
    const on = one.id === `choice-${mode}`;
    one.setAttribute("aria-selected", String(on));
    one.tabIndex = on ? 0 : -1;
  }
  for (const [key, one] of Object.entries(panels)) one.hidden = key !== mode;
  document.body.dataset.mode = mode;
}
