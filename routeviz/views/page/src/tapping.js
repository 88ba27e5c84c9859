// Which tube of a flat picture somebody has touched.

const REACH_PX = 14; // about a tube, for a finger

/**
 * The tube that lies nearest to a place on a picture.
 * @param {object[]} tubes
 * @param {function(ArrayLike<number>): Float64Array} placed where points stand on the picture
 * @param {number[]} at pixels from the left and from the top
 * @param {function(number): boolean} isThere whether a tube is drawn
 * @returns {number|null} its index; null where none is within reach of a finger
 */
export function tubeAt(tubes, placed, at, isThere) {
  let found = null;
  let least = REACH_PX;
  tubes.forEach((tube, index) => {
    if (!tube.points?.length || !isThere(index)) return;
    const apart = apartOf(placed(tube.points), at);
    if (apart < least) [found, least] = [index, apart];
  });
  return found;
}

/** How far a place is from a polyline on the picture. */
function apartOf(places, [x, y]) {
  let least = Infinity;
  for (let k = 0; k + 5 < places.length; k += 3) {
    const [dx, dy] = [places[k + 3] - places[k], places[k + 4] - places[k + 1]];
    const long = dx * dx + dy * dy;
    const share = long > 0 ? ((x - places[k]) * dx + (y - places[k + 1]) * dy) / long : 0;
    const into = Math.min(1, Math.max(0, share));
    const apart = Math.hypot(x - places[k] - into * dx, y - places[k + 1] - into * dy);
    if (apart < least) least = apart; // never for what is not before the eye
  }
  return least;
}
