// Tubes on a flat picture: as wide as they are, the nearer over the farther, banded where something is wrong.

const STRETCH = 5; // chords drawn at a time: tubes that cross within fewer are drawn one over the other as wholes
const DOT_PX = 2; // half the width of a taped point
const LEAST_PX = 1.6; // width of the thinnest tube
const RIM_PX = 0.8; // of the dark line on either side
const LIT_RIM_PX = 2.4; // of it, where a few tubes are lit; a whole bundle would be all rims
const FEW = 3;
const ALPHA = { lit: 1, plain: 1, faded: 0.16 };
const TIE = { half: 3, colour: "#2e2e2e" }; // mm along the tube to either side

/**
 * Draw all tubes.
 * @param {CanvasRenderingContext2D} ink
 * @param {object} lay
 * @param {object} how emphasis, `placed(points)`, `scale(depth)` in pixels a millimetre, `text` (colour)
 */
export function sketchTubes(ink, lay, how) {
  const few = how.emphasis.tubes.filter((word) => word === "lit").length <= FEW;
  const stretches = lay.tubes.flatMap((tube, index) => stretchesOf(lay, tube, how.emphasis.tubes[index], how));
  // What is held back lies below all else, what is lit above it: it is drawn to be followed.
  const rank = { faded: 0, plain: 1, lit: 2 };
  stretches.sort((a, b) => rank[a.word] - rank[b.word] || b.depth - a.depth);
  for (const stretch of stretches) drawStretch(ink, stretch, { ...how, few });
  ink.setLineDash([]);
  lay.tubes.forEach((tube, index) => sketchTaped(ink, tube, how.emphasis.tubes[index], how));
  ink.globalAlpha = 1;
}

/** The points that were taped on a tube as it was found. */
function sketchTaped(ink, { taped }, word, { placed, text }) {
  if (word === "hidden" || !taped) return;
  const places = placed(taped);
  ink.globalAlpha = ALPHA[word];
  ink.fillStyle = text;
  for (let k = 0; k < places.length; k += 3) {
    ink.beginPath();
    ink.arc(places[k], places[k + 1], DOT_PX, 0, 2 * Math.PI);
    ink.fill();
  }
}

function stretchesOf(lay, tube, word, how) {
  if (word === "hidden" || !tube.points?.length) return [];
  const look = lay.looks[tube.marked ?? tube.look];
  const shared = { word, look, bands: bandsOf(lay, tube) };
  const places = how.placed(tube.points);
  const along = alongPicture(places);
  const found = [];
  for (let from = 0; from < along.length - 1; from += STRETCH) {
    const to = Math.min(from + STRETCH, along.length - 1);
    const depth = (places[3 * from + 2] + places[3 * to + 2]) / 2;
    if (Number.isNaN(depth)) continue;
    found.push({
      ...shared,
      places,
      along,
      from,
      to,
      depth,
      wide: Math.max(LEAST_PX, tube.outside * how.scale(depth)),
    });
  }
  return [...found, ...sleevesOf(tube, shared, how), ...tiesOf(tube, shared, how)];
}

/** Second colour and first along a tube in which something is wrong or not sure, in widths of the tube. */
function bandsOf(lay, tube) {
  const bands = tube.marked === null ? lay.signs.doubts?.[tube.status] : lay.signs.bands[tube.severity];
  return bands ? [bands.every * bands.share, bands.every * (1 - bands.share)] : null;
}

function sleevesOf(tube, shared, how) {
  return tube.sleeves.flatMap(({ from, to, radius }) =>
    shortPiece([...from, ...to], 2 * radius, { ...shared, bands: null }, how),
  );
}

function tiesOf(tube, shared, how) {
  const look = { ...shared.look, colour: TIE.colour };
  return tube.ties.flatMap(({ along }) => {
    const points = between(tube.points, along - TIE.half, along + TIE.half);
    return points.length < 6 ? [] : shortPiece(points, 1.25 * tube.outside, { ...shared, look, bands: null }, how);
  });
}

function shortPiece(points, wideMm, shared, how) {
  const places = how.placed(points);
  const along = alongPicture(places);
  const depth = places[2] - 0.01; // over the tube itself
  if (places.some(Number.isNaN)) return [];
  return [
    {
      ...shared,
      places,
      along,
      from: 0,
      to: along.length - 1,
      depth,
      wide: Math.max(LEAST_PX, wideMm * how.scale(depth)),
    },
  ];
}

/**
 * The part of a polyline between two lengths along it.
 * @param {ArrayLike<number>} points x, y, z one after the other
 * @param {number} low mm
 * @param {number} high mm
 * @returns {number[]} points, both ends included; none where it does not reach there
 */
export function between(points, low, high) {
  const found = [];
  let along = 0;
  for (let k = 0; k + 5 < points.length; k += 3) {
    const long = Math.hypot(points[k + 3] - points[k], points[k + 4] - points[k + 1], points[k + 5] - points[k + 2]);
    const [from, to] = [Math.max(low, along), Math.min(high, along + long)];
    if (from <= to && long > 0) {
      if (!found.length) found.push(...at(points, k, (from - along) / long));
      found.push(...at(points, k, (to - along) / long));
    }
    along += long;
  }
  return found;
}

function at(points, k, share) {
  return [0, 1, 2].map((axis) => points[k + axis] + share * (points[k + 3 + axis] - points[k + axis]));
}

/** How far along on the picture each point is. */
function alongPicture(places) {
  const along = new Float64Array(places.length / 3);
  for (let k = 1; k < along.length; k += 1) {
    const step = Math.hypot(places[3 * k] - places[3 * k - 3], places[3 * k + 1] - places[3 * k - 2]);
    along[k] = along[k - 1] + (Number.isNaN(step) ? 0 : step);
  }
  return along;
}

function drawStretch(ink, stretch, how) {
  const { look, word, wide, from, to, bands, along } = stretch;
  ink.globalAlpha = ALPHA[word];
  ink.lineCap = "butt";
  ink.setLineDash([]);
  const followed = word === "lit" && how.few;
  if (followed) trace(ink, stretch, from, to, { colour: how.paper, wide: wide + 4 * LIT_RIM_PX });
  const rim = followed ? { colour: how.text, px: LIT_RIM_PX } : { colour: look.outline, px: RIM_PX };
  trace(ink, stretch, from, to, { colour: rim.colour, wide: wide + 2 * rim.px });
  // A little further at both ends than its rim, so that no rim crosses the tube where stretches meet.
  const [first, last] = [Math.max(0, from - 1), Math.min(along.length - 1, to + 1)];
  trace(ink, stretch, first, last, { colour: look.colour, wide });
  if (!bands) return;
  ink.setLineDash(bands.map((widths) => widths * wide));
  ink.lineDashOffset = along[first];
  trace(ink, stretch, first, last, { colour: look.second, wide });
}

function trace(ink, { places }, from, to, { colour, wide }) {
  ink.strokeStyle = colour;
  ink.lineWidth = wide;
  ink.beginPath();
  for (let k = from; k <= to; k += 1) {
    if (Number.isNaN(places[3 * k])) continue;
    ink.lineTo(places[3 * k], places[3 * k + 1]);
  }
  ink.stroke();
}
