"""Where the surface of a solid has edges, for line drawings: between pieces that abut there is none.

What hides them is in hiding.py; what a solid looks like in 3D is in skins.py.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.shapes import Pieces, rims
from routeviz.geometry.skins import SHARP, SIDES, meeting, plate_rings, plates

PROBES = 16  # directions round an edge in which it is asked for wood: half of them are a flat face
PROBE_MM = 2e-3  # how far from the edge: far below what can be seen, far above rounding
SLACK_MM = 1e-5  # by which a probe may lie outside a piece and still count as in it


@dataclass(frozen=True, slots=True, kw_only=True)
class Edges:
    """Straight edges between two faces each.

    Parameters
    ----------
    ends : array, shape (k, 2, 3)
        Both ends.
    normals : array, shape (k, 2, 3)
        Unit normals of the two faces, outwards; at a border of a surface the second is minus the first.
    sharp : array of bool, shape (k,)
        Whether the faces turn by more than a bent face's do: seen from everywhere. Others are seen only
        where one face looks to the eye and the other does not.
    """

    ends: Floats
    normals: Floats
    sharp: NDArray[np.bool_]


def edges_of(pieces: Pieces) -> Edges:
    """Return the edges of the solid that pieces make up together.

    Parameters
    ----------
    pieces : Pieces
        Of one body; flat ones are a surface.

    Returns
    -------
    edges : Edges
        Without what lies inside, or in a face that goes on in another piece.
    """
    thin = pieces.halves == 0.0
    groups = list(plates(pieces, np.flatnonzero(~thin)))
    found = [_plate_edges(ring) for group in groups for ring in plate_rings(pieces, group)]
    if thin.any():
        found.append(_surface_edges(pieces, np.flatnonzero(thin)))
    edges = _joined(found)
    return edges if len(groups) < 2 else _on_surface(edges, pieces, np.flatnonzero(~thin))


def edges_of_all(solids: Sequence[Pieces]) -> list[Edges]:
    """Return the edges of each of many solids; those that are alike but for their place are worked out once.

    Parameters
    ----------
    solids : sequence of Pieces
        One a solid.

    Returns
    -------
    edges : list of Edges
        In the same order.
    """
    known: dict[bytes, Edges] = {}
    found = []
    for pieces in solids:
        base = pieces.origins[0]
        shape = [pieces.rotations, pieces.origins - base, pieces.halves, pieces.radii, pieces.corners]
        key = b"".join(np.round(part, 6).tobytes() for part in shape) + pieces.begins.tobytes()
        if key not in known:
            edges = edges_of(pieces)
            known[key] = Edges(ends=edges.ends - base, normals=edges.normals, sharp=edges.sharp)
        edges = known[key]
        found.append(Edges(ends=edges.ends + base, normals=edges.normals, sharp=edges.sharp))
    return found


def _joined(some: Sequence[Edges]) -> Edges:
    nothing = np.zeros((0, 2, 3))
    return Edges(
        ends=np.concatenate([nothing, *(one.ends for one in some)]),
        normals=np.concatenate([nothing, *(one.normals for one in some)]),
        sharp=np.concatenate([np.zeros(0, dtype=bool), *(one.sharp for one in some)]),
    )


def _plate_edges(ring: Floats) -> Edges:
    """Return the edges of one outline of a plate: round both faces, and between its sides."""
    low, high = ring
    ahead = np.roll(low, -1, axis=0) - low
    sides = np.cross(ahead, high - low)
    sides /= np.linalg.norm(sides, axis=1, keepdims=True)
    up = (high[0] - low[0]) / np.linalg.norm(high[0] - low[0])
    caps = np.broadcast_to(up, sides.shape)
    before = np.roll(sides, 1, axis=0)
    rounds = np.ones(len(low), dtype=bool)
    return Edges(
        ends=np.concatenate(
            [
                np.stack([low, np.roll(low, -1, axis=0)], axis=1),
                np.stack([high, np.roll(high, -1, axis=0)], axis=1),
                np.stack([low, high], axis=1),
            ]
        ),
        normals=np.concatenate(
            [
                np.stack([-caps, sides], axis=1),
                np.stack([caps, sides], axis=1),
                np.stack([before, sides], axis=1),
            ]
        ),
        sharp=np.concatenate([rounds, rounds, np.einsum("ij,ij->i", before, sides) < SHARP]),
    )


def _surface_edges(pieces: Pieces, which: Ints) -> Edges:
    """Return the edges of a surface of flat pieces, each once, with both faces that meet there."""
    sides, normals = [], []
    for index in which.tolist():
        ring = rims(pieces, index, SIDES)[0]
        sides.append(np.stack([ring, np.roll(ring, -1, axis=0)], axis=1))
        normals.append(np.broadcast_to(pieces.rotations[index][:, 2], ring.shape))
    ends, facing = np.concatenate(sides), np.concatenate(normals)
    first, last, count = meeting(ends)
    other = np.where((count == 2)[:, None], facing[last], -facing[first])
    sharp = (count != 2) | (np.einsum("ij,ij->i", facing[first], other) < SHARP)
    return Edges(ends=ends[first], normals=np.stack([facing[first], other], axis=1), sharp=sharp)


def _on_surface(edges: Edges, pieces: Pieces, which: Ints) -> Edges:
    """Leave out what lies inside another piece or in a flat face that goes on there.

    Lines beside each edge, all round it, are clipped by every piece. Between two places where one of them
    enters or leaves a piece nothing changes: an edge it is unless there is wood all round, or half round.

    Returns
    -------
    edges : Edges
        Cut where they end.
    """
    probes = _probes(edges, pieces)
    spans = np.stack([_inside(probes, pieces, index) for index in which.tolist()])
    kept: list[tuple[int, float, float]] = []
    for k in range(len(edges.ends)):
        kept += [(k, begin, end) for begin, end in _true_stretches(spans[:, k], bool(edges.sharp[k]))]
    index = np.array([k for k, _, _ in kept], dtype=np.int64)
    shares = np.array([[begin, end] for _, begin, end in kept]).reshape(-1, 2, 1)
    starts, steps = edges.ends[index, 0][:, None], (edges.ends[index, 1] - edges.ends[index, 0])[:, None]
    return Edges(ends=starts + shares * steps, normals=edges.normals[index], sharp=edges.sharp[index])


def _probes(edges: Edges, pieces: Pieces) -> Floats:
    """Return lines beside each edge, shape (k, PROBES, 2, 3)."""
    ahead = edges.ends[:, 1] - edges.ends[:, 0]
    ahead = ahead / np.linalg.norm(ahead, axis=1, keepdims=True)
    first = edges.normals[:, 1] - np.einsum("ij,ij->i", edges.normals[:, 1], ahead)[:, None] * ahead
    first /= np.linalg.norm(first, axis=1, keepdims=True)
    second = np.cross(ahead, first)
    turns = (np.arange(PROBES) + 0.5) * (2.0 * np.pi / PROBES)
    aside = np.cos(turns)[None, :, None] * first[:, None] + np.sin(turns)[None, :, None] * second[:, None]
    return np.asarray(edges.ends[:, None] + PROBE_MM * aside[:, :, None])


def _inside(lines: Floats, pieces: Pieces, index: int) -> Floats:
    """Return from where to where, as shares, lines are in a piece; where begin > end, nowhere."""
    local = (lines - pieces.origins[index]) @ pieces.rotations[index]
    half = float(pieces.halves[index])
    outline = (rims(pieces, index, SIDES)[0] - pieces.origins[index]) @ pieces.rotations[index][:, :2]
    ahead = np.roll(outline, -1, axis=0) - outline
    inward = np.column_stack([-ahead[:, 1], ahead[:, 0]]) / np.linalg.norm(ahead, axis=1, keepdims=True)
    heights = local[..., :2] @ inward.T - np.einsum("ij,ij->i", outline, inward)
    heights = np.concatenate([heights, half - local[..., 2:], half + local[..., 2:]], axis=-1) + SLACK_MM
    start, step = heights[..., 0, :], heights[..., 1, :] - heights[..., 0, :]
    with np.errstate(divide="ignore", invalid="ignore"):
        at = -start / step
    level = np.abs(step) < 1e-12
    lows = np.where(level, np.where(start < 0.0, 2.0, 0.0), np.where(step > 0.0, at, 0.0))
    highs = np.where(level | (step > 0.0), 1.0, at)
    return np.stack([lows.max(axis=-1).clip(0.0), highs.min(axis=-1).clip(max=1.0)], axis=-1)


def _true_stretches(spans: Floats, sharp: bool) -> list[tuple[float, float]]:
    """Return where an edge is one, from where its probes (pieces, PROBES, 2) are in wood."""
    real = spans[spans[..., 0] < spans[..., 1]]
    cuts = np.unique(np.round(np.append(real.ravel(), (0.0, 1.0)), 9))
    middles = 0.5 * (cuts[1:] + cuts[:-1])
    held = (spans[..., 0, None] < middles) & (middles < spans[..., 1, None])
    wood = held.any(axis=0)
    count = wood.sum(axis=0)
    turns = (wood != np.roll(wood, 1, axis=0)).sum(axis=0)
    flat = (count == PROBES // 2) & (turns == 2)
    kept = (count < PROBES) & ~(flat & sharp)
    found: list[tuple[float, float]] = []
    for (begin, end), here in zip(pairwise(cuts.tolist()), kept.tolist(), strict=True):
        if here and found and found[-1][1] == begin:
            found[-1] = (found[-1][0], end)
        elif here and end - begin > 1e-6:
            found.append((begin, end))
    return found
