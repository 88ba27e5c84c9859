/** The page: lists first, so that all text is there at once; then the case in 3D, or a sentence why it is missing. */

import { mountCase } from "./case.js";
import { readLay } from "./data.js";
import { h } from "./elements.js";
import { mountLists } from "./lists.js";
import { listen } from "./live.js";
import { mountPrinting } from "./printing.js";
import { BEGIN, createState } from "./state.js";
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
  if (page.dataset.live) live([shown, ...parts], state);
}

/**
 * A living page: what was chosen is chosen again in the next lay, by its name; the eye stays where it is. No place in
 * the next lay is named before all show it; the case shows it first, as the bench then names the next tube.
 */
function live(parts, state) {
  const bar = h("div.messages", { role: "alert", hidden: true });
  document.body.append(bar);
  const say = (texts) => {
    bar.hidden = !texts;
    const close = h("button", { onclick: () => (bar.hidden = true) }, "Close");
    bar.replaceChildren(close, ...(texts ?? []).map((text) => h("p", { dir: "auto" }, text)));
  };
  listen({
    onLay(next) {
      const { cut } = state.get();
      const { chosen, press } = kept(window.routeviz.lay, next, state.get());
      // New ones outlive the choice.
      state.set({ chosen: null, press: { ...press, only: null }, cut: cut && { ...cut } });
      window.routeviz.lay = next;
      document.title = next.title;
      mountMasthead(place("masthead"), { lay: next });
      parts.forEach((part) => part.replace(next));
      state.set({ chosen, press });
    },
    onMessages: say,
    onGone: (text) => say([text]),
  });
}

/** What is chosen and what is pressed, as the next lay counts it; what is not in it is neither. */
function kept(lay, next, { chosen, press }) {
  const again = (group, index) => next.index[group]?.get(lay[group][index].name) ?? null;
  const index = chosen && again(`${chosen.kind}s`, chosen.index);
  const only = press.only === null ? null : again("solids", press.only);
  return {
    chosen: index === null ? null : { kind: chosen.kind, index, stays: true },
    press: only === null && press.only !== null ? BEGIN.press : { ...press, only },
  };
}

try {
  begin();
} catch (error) {
  place("lists").append(h("p.plain", {}, `This page cannot be shown: ${error.message}.`));
  throw error;
}
