/** Mouse, pen and fingers over the case, told as what they mean: turn, move, zoom, tap, hover. */

const STILL_PX = 6; // a press that moves less is a tap
const STILL_MS = 600; // and one that lasts longer is none
const WHEEL = 0.0016; // of zooming, a pixel of wheel
const LINE_PX = 32; // a wheel that counts lines

/**
 * Hear an element's pointers.
 * @param {HTMLElement} element
 * @param {object} heard turn(dx, dy), move(dx, dy), zoom(factor, x, y), tap(x, y, isFinger), hover(x, y), left(),
 *   began(x, y)
 */
export function hearPointers(element, heard) {
  const down = new Map();
  const now = { tap: null };
  const listeners = {
    pointerdown: (event) => press(event, element, down, now, heard),
    pointermove: (event) => travel(event, element, down, now, heard),
    pointerup: (event) => release(event, element, down, now, heard),
    pointercancel: (event) => (down.delete(event.pointerId), (now.tap = null)),
    pointerleave: () => heard.left(),
    wheel: (event) => roll(event, element, heard),
    contextmenu: (event) => event.preventDefault(),
  };
  element.style.touchAction = "none";
  for (const [name, f] of Object.entries(listeners)) element.addEventListener(name, f, { passive: false });
}

function placeIn(element, event) {
  const box = element.getBoundingClientRect();
  return [event.clientX - box.left, event.clientY - box.top];
}

function press(event, element, down, now, heard) {
  const [x, y] = placeIn(element, event);
  element.setPointerCapture?.(event.pointerId);
  down.set(event.pointerId, { x, y });
  heard.began(x, y);
  now.tap = down.size === 1 && event.button === 0 ? { x, y, at: event.timeStamp } : null;
}

function travel(event, element, down, now, heard) {
  const [x, y] = placeIn(element, event);
  const before = down.get(event.pointerId);
  if (!before) {
    if (event.pointerType !== "touch") heard.hover(x, y);
    return;
  }
  if (now.tap && Math.hypot(x - now.tap.x, y - now.tap.y) < STILL_PX) return;
  now.tap = null;
  if (down.size === 1) {
    const sideways = event.shiftKey || (event.buttons & 1) === 0;
    heard[sideways ? "move" : "turn"](x - before.x, y - before.y);
  } else if (down.size === 2) pinch(down, event.pointerId, { x, y }, heard);
  down.set(event.pointerId, { x, y });
}

/** Two fingers: their middle moves the case, their distance zooms about it. */
function pinch(down, id, after, heard) {
  const before = down.get(id);
  const [, other] = [...down].find(([key]) => key !== id);
  const apart = (a) => Math.max(Math.hypot(a.x - other.x, a.y - other.y), 1);
  const middle = [(after.x + other.x) / 2, (after.y + other.y) / 2];
  heard.move((after.x - before.x) / 2, (after.y - before.y) / 2);
  heard.zoom(apart(before) / apart(after), ...middle);
}

function release(event, element, down, now, heard) {
  if (!down.delete(event.pointerId)) return;
  const tap = now.tap;
  now.tap = null;
  if (!tap || event.timeStamp - tap.at > STILL_MS) return;
  heard.tap(tap.x, tap.y, event.pointerType === "touch");
}

function roll(event, element, heard) {
  event.preventDefault();
  const pixels = event.deltaY * (event.deltaMode === 1 ? LINE_PX : event.deltaMode === 2 ? 400 : 1);
  const fine = event.ctrlKey ? 6 : 1; // fingers that pinch a touchpad come as a wheel with small steps
  const factor = Math.exp(Math.max(-120, Math.min(120, pixels)) * WHEEL * fine);
  heard.zoom(factor, ...placeIn(element, event));
}
