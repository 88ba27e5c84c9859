/** The round things on the graphics card: which pieces are drawn, and how finely, as they stand before the eye. */
import { axesOf, shownHeight } from "./camera.js";
import { createBatch } from "./batch.js";
import { LEVELS, piecesOf, runsOf, sweptRuns } from "./tubes3d.js";
import { dot, size, sub } from "./vectors.js";

const FINE_PX = 3.2; // half as wide as a thing from which on it is drawn finely

/** Sweep the coarse level now, and the fine one when it is first wanted. */
export function createRounds(lay, first, materials, group) {
  const runs = runsOf(lay, first);
  const rounds = { runs, pieces: piecesOf(runs), materials, group, coarse: null, fine: null };
  rounds.coarse = levelOf(rounds, "coarse");
  return rounds;
}

function levelOf({ runs, materials, group }, name) {
  const { room, spans } = sweptRuns(runs, LEVELS[name]);
  const batch = createBatch(room, materials.round, materials.clearRound);
  batch.meshes.forEach((mesh, k) => (mesh.renderOrder = 3 * k));
  group.add(...batch.meshes);
  return { room, spans, batch };
}

/** The fine level, swept when it is first asked for. */
export function fineOf(rounds) {
  rounds.fine ??= levelOf(rounds, "fine");
  return rounds.fine;
}

/** All triangles of each owner, finely: spans by owner. */
export function spansByOwner(rounds) {
  const found = new Map();
  const { spans } = fineOf(rounds);
  rounds.pieces.forEach(({ owner }, k) => found.set(owner, [...(found.get(owner) ?? []), spans[k]]));
  return found;
}

/**
 * Deal the pieces out for a picture.
 * @param {object} rounds
 * @param {{pose: object, aspect: number, pixels: number}} eye pixels: the picture's height
 * @param {Float32Array} opacities of owners
 * @param {function(number): boolean} hides an owner what is behind it
 */
export function dealRounds(rounds, eye, opacities, hides) {
  const dealt = { coarse: [[], []], fine: [[], []] };
  const see = seenFrom(eye);
  rounds.pieces.forEach((piece, k) => {
    if (opacities[piece.owner] === 0) return;
    const px = see(piece);
    if (px < 0) return;
    const level = px < FINE_PX ? "coarse" : "fine";
    const { spans } = level === "fine" ? fineOf(rounds) : rounds.coarse;
    dealt[level][hides(piece.owner) ? 0 : 1].push(spans[k]);
  });
  rounds.coarse.batch.draw(...dealt.coarse);
  rounds.fine?.batch.draw(...dealt.fine);
}

/** How wide a piece is at most, half of it, in pixels; below 0 for one outside the picture. */
function seenFrom({ pose, aspect, pixels }) {
  const { right, top, out } = axesOf(pose);
  const distance = size(sub(pose.eye, pose.target));
  const half = shownHeight(pose, aspect) / 2;
  const slopes = pose.parallel ? [0, 0] : [(half * aspect) / distance, half / distance];
  const [wide, high] = pose.parallel ? [half * aspect, half] : [0, 0];
  return ({ centre, reach, radius }) => {
    const from = sub(centre, pose.eye);
    const depth = -dot(from, out);
    if (!pose.parallel && depth < -reach) return -1;
    const [x, y] = [Math.abs(dot(from, right)), Math.abs(dot(from, top))];
    if (x - wide - slopes[0] * depth > reach * Math.hypot(1, slopes[0])) return -1;
    if (y - high - slopes[1] * depth > reach * Math.hypot(1, slopes[1])) return -1;
    const span = pose.parallel ? half : slopes[1] * Math.max(depth - reach, 1e-3);
    return (radius / span) * (pixels / 2);
  };
}

export function disposeRounds({ coarse, fine }) {
  coarse.batch.dispose();
  fine?.batch.dispose();
}
