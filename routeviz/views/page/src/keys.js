/** What keys do: the arrows in the case, and a few letters everywhere. */

import { stepFinding } from "./choosing.js";

const STEP = 0.08; // of a turn or of the picture, a key
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
const ZOOM = { "+": [0, -1], "=": [0, -1], "-": [0, 1], PageUp: [0, -1], PageDown: [0, 1] };

/**
 * Hear keys.
 * @param {function(): object} layNow
 * @param {object} state
 * @param {{stage: object, canvas: HTMLCanvasElement}|null} shown the 3D
 */
export function hearKeys(layNow, state, shown) {
  shown?.canvas.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    if (moved(event, shown.stage)) event.preventDefault();
  });
  document.addEventListener("keydown", (event) => {
    if (event.defaultPrevented || event.ctrlKey || event.altKey || event.metaKey) return;
    if (event.key === "Escape") back(state);
    else if (!isWriting(event.target) && state.get().mode !== "bench") letter(event, layNow, state);
  });
}

/**
 * What an arrow does to the eye; with Shift it moves sideways instead of round.
 * @param {KeyboardEvent} event
 * @param {object} stage
 * @returns {boolean} whether the key is one of these
 */
export function moved(event, stage) {
  const [arrow, zoom] = [ARROWS[event.key], ZOOM[event.key]];
  if (arrow) stage.step(arrow[0] * STEP, arrow[1] * STEP, event.shiftKey ? "pan" : "orbit");
  else if (zoom) stage.step(zoom[0] * STEP, zoom[1] * STEP, "zoom");
  else if (event.key === "Home") stage.home();
  return Boolean(arrow || zoom || event.key === "Home");
}

/**
 * One step back: out of measuring, of the choice, of the cut.
 * @param {object} state
 */
export function back(state) {
  const { measuring, chosen, cut } = state.get();
  if (measuring) state.set({ measuring: false, ends: [] });
  else if (chosen) state.set({ chosen: null });
  else if (cut) state.set({ cut: null });
}

function letter(event, layNow, state) {
  if (event.key === "n" || event.key === "p") stepFinding(layNow(), state, event.key === "n" ? 1 : -1);
  else if (event.key === "/") {
    event.preventDefault();
    state.set({ mode: "tubes" });
    document.getElementById("search")?.focus();
  }
}

function isWriting(element) {
  return element.matches?.("input, select, textarea") ?? false;
}
