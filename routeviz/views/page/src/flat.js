// The case without WebGL: line pictures from its sides, moved and made larger by mouse, touch and keys.

import { h } from "./elements.js";
import { emphasisOf } from "./emphasis.js";
import { handle } from "./handling.js";
import { framed, panned, placesOf, viewOfTube, zoomed } from "./projecting.js";
import { sketch } from "./sketching.js";
import { tubeAt } from "./tapping.js";

const PAPERS = {
  light: { paper: "#fbf8f0", text: "#20242a", dark: false },
  dark: { paper: "#2a2724", text: "#f2ece0", dark: true },
};
const STEP = 60; // pixels by which an arrow key moves the picture
const LARGER = 1.3; // by which a press of + enlarges it
const HEIGHTS = [5, 20000]; // mm seen from top to bottom, at least and at most

/**
 * Show the flat pictures.
 * @param {HTMLElement} element where
 * @param {object} lay the page's data
 * @param {object} state the page's store
 * @param {string} why there is no 3D, in a sentence
 * @returns {{replace: function(object): void}}
 */
export function mountFlat(element, lay, state, why) {
  const canvas = h("canvas", { tabindex: "0", role: "img" });
  const flat = { lay, state, canvas, side: 0, view: null, moved: false, drawn: false };
  const to = moves(flat);
  flat.sides = h("div.flat-sides", { role: "group", "aria-label": "Seen from" });
  const sizes = h(
    "div.flat-sizes",
    { role: "group", "aria-label": "Size" },
    h("button", { onclick: to.keys["+"], "aria-label": "Larger" }, "+"),
    h("button", { onclick: to.keys["-"], "aria-label": "Smaller" }, "−"),
    h("button", { onclick: to.keys[0] }, "Whole"),
  );
  element.classList.add("flat");
  element.replaceChildren(h("p.flat-why", {}, why), canvas, h("div.flat-controls", {}, flat.sides, sizes));
  const followed = () => {
    follow(flat);
    redraw(flat);
  };
  new ResizeObserver(followed).observe(canvas);
  handle(canvas, to);
  state.on(["chosen", "mode", "now"], followed);
  state.on(["parts", "laid", "theme", "press"], () => redraw(flat));
  followed();
  return {
    replace(next) {
      flat.lay = next;
      redraw(flat);
    },
  };
}

function moves(flat) {
  const then = (view) => {
    const fits = view.height >= HEIGHTS[0] && view.height <= HEIGHTS[1];
    if (fits) Object.assign(flat, { view, moved: true });
    redraw(flat);
  };
  return {
    pan: (right, down) => then(panned(viewOf(flat), right, down, sizeOf(flat)[1])),
    zoom: (times, at) => then(zoomed(viewOf(flat), times, at, ...sizeOf(flat))),
    tap: (at) => pick(flat, at),
    keys: {
      ArrowLeft: () => then(panned(viewOf(flat), STEP, 0, sizeOf(flat)[1])),
      ArrowRight: () => then(panned(viewOf(flat), -STEP, 0, sizeOf(flat)[1])),
      ArrowUp: () => then(panned(viewOf(flat), 0, STEP, sizeOf(flat)[1])),
      ArrowDown: () => then(panned(viewOf(flat), 0, -STEP, sizeOf(flat)[1])),
      "+": () => then(enlarged(flat, LARGER)),
      "-": () => then(enlarged(flat, 1 / LARGER)),
      0: () => turn(flat, flat.side),
    },
  };
}

/** A tube that is touched is chosen, and no longer when it is touched again; beside all tubes nothing is. */
function pick({ lay, state, ...flat }, at) {
  const now = state.get();
  if (now.mode === "bench") return;
  const { tubes } = emphasisOf(lay, now);
  const placed = (points) => placesOf(viewOf({ lay, ...flat }), points, ...sizeOf(flat));
  const index = tubeAt(lay.tubes, placed, at, (k) => tubes[k] !== "hidden");
  const again = now.chosen?.kind === "tube" && now.chosen.index === index;
  state.set({ chosen: index === null || again ? null : { kind: "tube", index } });
}

function enlarged(flat, times) {
  const [wide, high] = sizeOf(flat);
  return zoomed(viewOf(flat), times, [wide / 2, high / 2], wide, high);
}

/** A finding is seen from its eye point, the next tube at the bench as a whole; else the reader's view stays. */
function follow(flat) {
  const view = viewAsked(flat);
  if (view || !flat.moved) Object.assign(flat, { view, moved: false });
}

function viewAsked(flat) {
  const { mode, now, chosen } = flat.state.get();
  if (mode === "bench") return now === null ? null : viewOfTube(flat.lay, now, aspectOf(flat));
  const finding = chosen?.kind === "finding" ? flat.lay.findings[chosen.index] : null;
  if (!finding?.eye) return null;
  const { eye, target, up, height } = finding;
  return { eye, target, up, height, parallel: false };
}

function sizeOf({ canvas }) {
  return [Math.max(1, canvas.clientWidth), Math.max(1, canvas.clientHeight)];
}

function aspectOf(flat) {
  const [wide, high] = sizeOf(flat);
  return wide / high;
}

function viewOf(flat) {
  return flat.view ?? wholeView(flat);
}

function wholeView(flat) {
  return wholeOf(flat.lay, flat.side, aspectOf(flat));
}

/**
 * The whole case from one of its sides, for a picture of any form.
 * @param {object} lay
 * @param {number} side which of the lay's views
 * @param {number} aspect width over height
 * @returns {object}
 */
export function wholeOf(lay, side, aspect) {
  const { eye, target, up, parallel } = lay.views[side];
  const corners = [0, 1, 2, 3, 4, 5, 6, 7].flatMap((k) => [0, 1, 2].map((axis) => lay.bounds[(k >> axis) & 1][axis]));
  return framed(
    eye.map((value, axis) => value - target[axis]),
    up,
    corners,
    aspect,
    { parallel },
  );
}

function redraw(flat) {
  if (flat.drawn) return;
  flat.drawn = true;
  requestAnimationFrame(() => {
    flat.drawn = false;
    showSides(flat);
    const [wide, high] = sizeOf(flat);
    const colours = PAPERS[flat.state.get().theme];
    drawOn(flat.canvas, flat.lay, viewOf(flat), {
      wide,
      high,
      ratio: devicePixelRatio || 1,
      state: flat.state.get(),
      ...colours,
    });
    flat.canvas.setAttribute("aria-label", `The case drawn flat. ${flat.lay.views[flat.side].title}.`);
  });
}

/**
 * Draw a lay on a canvas of a size.
 * @param {HTMLCanvasElement} canvas
 * @param {object} lay
 * @param {object} view
 * @param {object} how wide, high (CSS pixels), ratio (device pixels to one of these), state (the store's content),
 *   paper, text
 */
export function drawOn(canvas, lay, view, how) {
  canvas.width = Math.round(how.wide * how.ratio);
  canvas.height = Math.round(how.high * how.ratio);
  const ink = canvas.getContext("2d");
  ink.scale(how.ratio, how.ratio);
  sketch(ink, lay, view, { ...how, emphasis: emphasisOf(lay, how.state) });
}

function showSides(flat) {
  if (flat.sides.childElementCount !== flat.lay.views.length) {
    flat.sides.replaceChildren(
      ...flat.lay.views.map((view, side) => h("button", { onclick: () => turn(flat, side) }, view.title)),
    );
  }
  [...flat.sides.children].forEach((button, side) => {
    button.setAttribute("aria-pressed", String(side === flat.side && !flat.view));
  });
}

function turn(flat, side) {
  Object.assign(flat, { side, view: null, moved: false });
  redraw(flat);
}
