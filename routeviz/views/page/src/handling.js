// Moving a flat picture with fingers, mouse, wheel and keys.

const STILL_PX = 6; // by which a finger that taps may move

/**
 * Hear what is done to a picture.
 * @param {HTMLElement} element
 * @param {{pan: function(number, number): void, zoom: function(number, number[]): void,
 *   tap: function(number[]): void, keys: object}} to
 *   pixels to the right and down; how many times larger about a place; keys by their names
 */
export function handle(element, to) {
  const down = new Map();
  let began = null; // where the only finger came down
  const here = (event) => {
    const { left, top } = element.getBoundingClientRect();
    return [event.clientX - left, event.clientY - top];
  };
  const listeners = {
    pointerdown(event) {
      element.setPointerCapture?.(event.pointerId);
      down.set(event.pointerId, here(event));
      began = down.size === 1 ? here(event) : null;
    },
    pointermove(event) {
      if (!down.has(event.pointerId)) return;
      const before = spread(down);
      down.set(event.pointerId, here(event));
      felt(before, spread(down), to);
    },
    pointerup(event) {
      const [x, y] = here(event);
      if (down.size === 1 && began && Math.hypot(x - began[0], y - began[1]) < STILL_PX) to.tap([x, y]);
      down.delete(event.pointerId);
    },
    pointercancel: (event) => down.delete(event.pointerId),
    wheel(event) {
      event.preventDefault();
      to.zoom(Math.exp(-event.deltaY * (event.deltaMode ? 0.05 : 0.0015)), here(event));
    },
    keydown(event) {
      if (event.ctrlKey || event.altKey || event.metaKey || !to.keys[event.key]) return;
      event.preventDefault();
      to.keys[event.key]();
    },
  };
  element.style.touchAction = "none";
  for (const [kind, f] of Object.entries(listeners)) element.addEventListener(kind, f, { passive: false });
}

/**
 * Turn two states of the fingers on a picture into what they do to it.
 * @param {{middle: number[], apart: number}} before
 * @param {{middle: number[], apart: number}} after
 * @param {{pan: function, zoom: function}} to
 */
export function felt(before, after, to) {
  to.pan(after.middle[0] - before.middle[0], after.middle[1] - before.middle[1]);
  if (before.apart > 1 && after.apart > 1) to.zoom(after.apart / before.apart, after.middle);
}

/** The middle of all fingers, and how far the first two are apart. */
function spread(down) {
  const places = [...down.values()];
  const mean = (axis) => places.reduce((sum, place) => sum + place[axis], 0) / places.length;
  const [one, other] = places;
  return { middle: [mean(0), mean(1)], apart: other ? Math.hypot(other[0] - one[0], other[1] - one[1]) : 0 };
}
