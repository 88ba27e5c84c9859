/** The page: lists first, so that all text is there at once; then the case in 3D, or a sentence why it is missing. */

import { mountCase } from "./case.js";
import { readLay } from "./data.js";
import { h } from "./elements.js";
import { mountLists } from "./lists.js";
import { listen } from "./live.js";
import { mountPrinting } from "./printing.js";
import { createState } from "./state.js";
import { mountMasthead } from "./summary.js";

const page = document.documentElement;
const place = (id) => document.getElementById(id);

function begin() {
  const lay = readLay(place("lay").textContent);
  const dark = matchMedia("(prefers-color-scheme: dark)");
  const state = createState({ unit: lay.units, theme: dark.matches ? "dark" : "light" });
  const tint = () => (page.dataset.theme = state.get().theme);
  state.on("theme", tint);
  tint();
  dark.addEventListener("change", () => state.set({ theme: dark.matches ? "dark" : "light" }));
  show(lay, state);
}

function show(lay, state) {
  mountMasthead(place("masthead"), { lay });
  const parts = [mountLists(place("lists"), lay, state), mountPrinting(lay, state)];
  window.routeviz = { lay, state, stage: null };
  const shown = mountCase(place("case"), lay, state);
  window.routeviz.stage = shown.stage;
  if (page.dataset.live) live([...parts, shown], state);
}

/** A living page: what was chosen is chosen again in the next lay, by its name; the eye stays where it is. */
function live(parts, state) {
  const bar = h("div.messages", { role: "alert", hidden: true });
  document.body.append(bar);
  const say = (texts) => {
    bar.hidden = !texts;
    bar.replaceChildren(...(texts ?? []).map((text) => h("p", { dir: "auto" }, text)));
  };
  listen({
    onLay(next) {
      const { cut, press } = state.get();
      const { chosen, only } = kept(window.routeviz.lay, next, state.get());
      state.set({ chosen: null, press: { ...press, only }, cut: cut && { ...cut } }); // new ones outlive the choice
      window.routeviz.lay = next;
      document.title = next.title;
      mountMasthead(place("masthead"), { lay: next });
      parts.forEach((part) => part.replace(next));
      state.set({ chosen });
    },
    onMessages: say,
    onGone: (text) => say([text]),
  });
}

function kept(lay, next, { chosen, press }) {
  const group = chosen && `${chosen.kind}s`;
  const index = group && next.index[group]?.get(lay[group][chosen.index].name);
  const only = press.only === null ? null : (next.index.solids.get(lay.solids[press.only].name) ?? null);
  return { chosen: index === undefined || index === null ? null : { kind: chosen.kind, index, stays: true }, only };
}

try {
  begin();
} catch (error) {
  place("lists").append(h("p.plain", {}, `This page cannot be shown: ${error.message}.`));
  throw error;
}
