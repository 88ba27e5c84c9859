/** The case in 3D: one canvas, drawn only when something has changed. */
import { Camera, ColorManagement, LinearSRGBColorSpace, Scene, WebGLRenderer } from "three";
import { between, eased, framing, matricesOf, orbited, panned, poseOf, zoomed } from "./camera.js";
import { createMaterials, createUniforms, GROUNDS } from "./materials.js";
import { createOverlay } from "./overlay3d.js";
import { hearPointers } from "./pointers.js";
import * as scenes from "./scenery.js";
import { createSharpness, drawn, moving, ratioOf } from "./sharpness.js";
import { rgb, tellOf } from "./things.js";
import { hitAt, onTarget } from "./touching.js";
import { createTrace } from "./trace3d.js";

const FLIGHT_MS = 750;
const TURN = 2.4; // radians a share of the picture's height that is dragged
const REACH_PX = { mouse: 4, finger: 14 }; // by which a thing may be missed
const NEAREST_MM = 4; // of height that is seen, and
const FARTHEST = 12; // times the case

/**
 * Show a lay on a canvas; throws where there is no WebGL 2.
 * @param {HTMLCanvasElement} canvas
 * @param {object} lay decoded
 * @param {{calm: boolean, onPick: function, onHover: function}} heard
 */
export function createStage(canvas, lay, heard) {
  const stage = openStage(canvas, heard);
  build(stage, lay);
  home(stage, true);
  hearPointers(canvas, pointing(stage));
  hearCanvas(stage);
  return {
    look: (wanted) => changed(stage, () => { stage.wanted = wanted; dress(stage); }),
    flyTo: (view, how = {}) => flyTo(stage, view, how),
    camera: () => poseOf(stage.pose, stage.pose),
    press: (share, only) => changed(stage, () => scenes.press(stage.scenery, share, only)),
    cut: (wanted) => changed(stage, () => scenes.cut(stage.scenery, wanted)),
    mark: (mark) => changed(stage, () => { stage.marked = mark; showOverlay(stage); }),
    measure: (points) => changed(stage, () => { stage.ends = points; showOverlay(stage); }),
    theme: (name) => changed(stage, () => setTheme(stage, name)),
    replace: (next) => changed(stage, () => replace(stage, next)),
    home: () => home(stage, false),
    step: (dx, dy, kind) => step(stage, dx, dy, kind),
    stats: () => statsOf(stage),
  };
}

function openStage(canvas, heard) {
  ColorManagement.enabled = false;
  // Its size first: to change that later means to wait for all that was drawn.
  const size = sizeOf(canvas);
  [canvas.width, canvas.height] = size;
  const context = canvas.getContext("webgl2", { antialias: false, alpha: false, stencil: false });
  if (!context) throw new Error("this browser gives the page no WebGL 2");
  const renderer = new WebGLRenderer({ canvas, context });
  renderer.outputColorSpace = LinearSRGBColorSpace;
  renderer.debug.checkShaderErrors = false;
  const uniforms = createUniforms();
  const camera = new Camera();
  camera.matrixAutoUpdate = false;
  camera.matrixWorldAutoUpdate = false;
  const materials = createMaterials(uniforms);
  const stage = {
    canvas, heard, renderer, uniforms, camera, materials,
    scene: new Scene(),
    trace: createTrace(materials),
    overlay: createOverlay(uniforms),
    wanted: { faded: new Set(), hidden: new Set(), lit: null, chosen: null },
    pose: null, flight: null, waiting: 0, frames: 0, marked: null, ends: [], pivot: null, hovering: null, size,
  };
  stage.scene.matrixWorldAutoUpdate = false;
  stage.sharpness = createSharpness(() => picture(stage));
  stage.scene.add(stage.overlay.mesh, stage.trace.group);
  setTheme(stage, "light");
  return stage;
}

function build(stage, lay) {
  stage.lay = lay;
  stage.scenery = scenes.createScenery(lay, stage.materials, stage.uniforms);
  stage.scene.add(stage.scenery.group);
  dress(stage);
}

function dress({ scenery, wanted, trace, lay }) {
  scenes.look(scenery, wanted);
  trace.show(wanted.chosen?.kind === "tube" ? lay.tubes[wanted.chosen.index] : null);
}

function replace(stage, lay) {
  const { pressed, cut } = stage.scenery;
  stage.scene.remove(stage.scenery.group);
  scenes.dismantle(stage.scenery);
  build(stage, lay);
  scenes.press(stage.scenery, pressed.share, pressed.only);
  scenes.cut(stage.scenery, cut);
}

/** How many pictures were drawn, what the last one took, and whether nothing moves and no picture is to come. */
function statsOf({ frames, renderer, flight, waiting, sharpness }) {
  const { calls, triangles } = renderer.info.render;
  return { frames, calls, triangles, rests: !flight && !waiting && !sharpness.timer };
}

const aspectOf = (stage) => stage.size[0] / stage.size[1];

function changed(stage, change) {
  change();
  ask(stage);
}

/** Something has changed: ask for a picture. */
function ask(stage) {
  moving(stage.sharpness);
  picture(stage);
}

/** Several wishes in a row are one picture. */
function picture(stage) {
  if (!stage.waiting) stage.waiting = requestAnimationFrame((now) => draw(stage, now));
}

function draw(stage, now) {
  stage.waiting = 0;
  if (stage.flight) fly(stage, now);
  if (stage.renderer.getContext().isContextLost()) return;
  setRatio(stage, ratioOf(stage.sharpness));
  aim(stage);
  scenes.faceEye(stage.scenery, { pose: stage.pose, aspect: aspectOf(stage), pixels: stage.size[1] });
  stage.trace.face(stage.pose.height, stage.size[1]);
  stage.renderer.render(stage.scene, stage.camera);
  stage.frames++;
  drawn(stage.sharpness, stage.renderer.getContext());
}

function aim({ camera, pose, lay, uniforms, size }) {
  const { view, projection, near, far } = matricesOf(pose, size[0] / size[1], lay.bounds);
  camera.matrixWorldInverse.fromArray(view);
  camera.matrixWorld.copy(camera.matrixWorldInverse).invert();
  camera.projectionMatrix.fromArray(projection);
  camera.projectionMatrixInverse.copy(camera.projectionMatrix).invert();
  uniforms.haze.value.set(near, far);
  uniforms.sky.value.set(view[8], view[9], view[10]);
  uniforms.nearest.value = pose.parallel ? -1e9 : near;
}

function setTheme(stage, name) {
  const ground = rgb(GROUNDS[name]);
  stage.uniforms.ground.value.set(...ground);
  stage.uniforms.dark.value = name === "dark" ? 1 : 0;
  stage.renderer.setClearColor(parseInt(GROUNDS[name].slice(1), 16), 1);
}

function showOverlay({ overlay, marked, ends, lay }) {
  overlay.show(marked, ends, lay.signs.badges);
}

const sizeOf = (canvas) => [Math.max(canvas.clientWidth, 1), Math.max(canvas.clientHeight, 1)];

function resize(stage) {
  stage.size = sizeOf(stage.canvas);
  stage.renderer.setSize(...stage.size, false);
}

function setRatio({ canvas, renderer, uniforms }, ratio) {
  if (renderer.getPixelRatio() !== ratio) renderer.setPixelRatio(ratio);
  uniforms.ratio.value = ratio;
  uniforms.screen.value.set(canvas.width, canvas.height);
}

function hearCanvas(stage) {
  const { canvas } = stage;
  const watcher = new ResizeObserver(() => {
    const [wide, high] = stage.size;
    if (canvas.clientWidth !== wide || canvas.clientHeight !== high) changed(stage, () => resize(stage));
  });
  watcher.observe(canvas);
  canvas.addEventListener("webglcontextrestored", () => ask(stage));
}

/* The eye */

function flyTo(stage, view, { instant = false } = {}) {
  if (!view) return Promise.resolve();
  land(stage);
  const whole = stage.lay.views.includes(view) ? { aspect: stage.lay.aspect } : {};
  const to = poseOf({ ...whole, ...view }, stage.pose ?? view);
  if (instant || stage.heard.calm || !stage.pose) {
    setPose(stage, to);
    return Promise.resolve();
  }
  return new Promise((resolve) => {
    stage.flight = { from: stage.pose, to, began: null, resolve };
    ask(stage);
  });
}

function fly(stage, now) {
  const { flight } = stage;
  flight.began ??= now;
  const share = Math.min(1, (now - flight.began) / FLIGHT_MS);
  stage.pose = between(flight.from, flight.to, eased(share));
  if (share >= 1) land(stage);
  else ask(stage);
}

/** End a flight where it is. */
function land(stage) {
  const { flight } = stage;
  stage.flight = null;
  flight?.resolve();
}

function setPose(stage, pose) {
  stage.pose = pose;
  ask(stage);
}

function home(stage, instant) {
  const view = stage.lay.views[0];
  return flyTo(stage, framing(view, stage.lay.bounds, aspectOf(stage)), { instant });
}

function step(stage, dx, dy, kind) {
  land(stage);
  const { pose } = stage;
  if (kind === "pan") setPose(stage, panned(pose, dx, -dy, aspectOf(stage)));
  else if (kind === "zoom") setPose(stage, zoomed(pose, within(stage, Math.exp(2 * dy)), pose.target));
  else setPose(stage, orbited(pose, dx * TURN, dy * TURN));
}

/** A factor of zooming that neither loses the case nor goes through it. */
function within({ pose, lay }, factor) {
  const most = FARTHEST * Math.hypot(...[0, 1, 2].map((k) => lay.bounds[1][k] - lay.bounds[0][k]));
  return Math.min(most, Math.max(NEAREST_MM, pose.height * factor)) / pose.height;
}

/* Pointers */

function pointing(stage) {
  const high = () => stage.size[1];
  return {
    began: (x, y) => { land(stage); stage.pivot = null; hover(stage, null, x, y); },
    turn: (dx, dy) => setPose(stage, orbited(stage.pose, (dx / high()) * TURN, (dy / high()) * TURN)),
    move: (dx, dy) => setPose(stage, panned(stage.pose, dx / high(), -dy / high(), aspectOf(stage))),
    zoom: (factor, x, y) => zoomAt(stage, factor, x, y),
    tap: (x, y, finger) => {
      const hit = hitAt(stage, x, y, finger ? REACH_PX.finger : REACH_PX.mouse);
      stage.heard.onPick?.(hit && tellOf(stage.scenery.owners[hit.owner]), hit?.point ?? null);
    },
    hover: (x, y) => hoverSoon(stage, x, y),
    left: () => { stage.hovering = null; hover(stage, null, 0, 0); },
  };
}

function zoomAt(stage, factor, x, y) {
  land(stage);
  const key = `${x},${y}`;
  if (stage.pivot?.key !== key) stage.pivot = { key, point: hitAt(stage, x, y, 0)?.point ?? onTarget(stage, x, y) };
  setPose(stage, zoomed(stage.pose, within(stage, factor), stage.pivot.point));
}

function hoverSoon(stage, x, y) {
  const first = !stage.hovering;
  stage.hovering = [x, y];
  if (!first) return;
  requestAnimationFrame(() => {
    if (!stage.hovering) return;
    const at = stage.hovering;
    stage.hovering = null;
    const hit = hitAt(stage, ...at, REACH_PX.mouse);
    hover(stage, hit && tellOf(stage.scenery.owners[hit.owner]), ...at);
  });
}

function hover(stage, thing, x, y) {
  stage.heard.onHover?.(thing, x, y);
}
