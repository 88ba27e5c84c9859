"""The pieces of many curves in flat arrays, for use inside compiled loops: where one goes, its box.

What one curve is stands in curves.py.
"""

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from routeviz.geometry.arrays import Floats, Ints, frozen, frozen_ints
from routeviz.geometry.compiled import compiled
from routeviz.geometry.curves import Curve


class Pieces(NamedTuple):
    """All m pieces of c curves, curve after curve; a named tuple because compiled loops take it whole.

    Parameters
    ----------
    starts, tangents, normals, curvatures, lengths
        As in ``Curve``; shapes (m, 3), (m, 3), (m, 3), (m,), (m,).
    begins : array, shape (m,)
        Arc length along its own curve at which each piece begins.
    owners : array of int, shape (m,)
        The curve to which each piece belongs.
    firsts : array of int, shape (c + 1,)
        The pieces of curve i are ``firsts[i]`` to ``firsts[i + 1] - 1``.
    """

    starts: Floats
    tangents: Floats
    normals: Floats
    curvatures: Floats
    lengths: Floats
    begins: Floats
    owners: Ints
    firsts: Ints


def joined(curves: Sequence[Curve]) -> Pieces:
    """Return the pieces of all curves in flat arrays, in order, read-only."""
    counts = [len(curve.lengths) for curve in curves]
    empty, none = np.empty((0, 3)), np.empty(0)
    return Pieces(
        starts=frozen(np.concatenate([empty, *(curve.starts for curve in curves)])),
        tangents=frozen(np.concatenate([empty, *(curve.tangents for curve in curves)])),
        normals=frozen(np.concatenate([empty, *(curve.normals for curve in curves)])),
        curvatures=frozen(np.concatenate([none, *(curve.curvatures for curve in curves)])),
        lengths=frozen(np.concatenate([none, *(curve.lengths for curve in curves)])),
        begins=frozen(np.concatenate([none, *(curve.begins[:-1] for curve in curves)])),
        owners=frozen_ints(np.repeat(np.arange(len(curves)), counts)),
        firsts=frozen_ints(np.append(0, np.cumsum(np.array(counts, np.int64)))),
    )


def piece_boxes(pieces: Pieces) -> tuple[Floats, Floats]:
    """Return the exact axis-aligned box round each piece: lows (m, 3) and highs (m, 3)."""
    lows, highs = np.empty_like(pieces.starts), np.empty_like(pieces.starts)
    _fill_boxes(pieces, lows, highs)
    return lows, highs


@compiled
def point_in(pieces: Pieces, piece: int, into: float) -> tuple[float, float, float]:
    """Return the point so far into a piece; for use inside compiled loops."""
    bend = pieces.curvatures[piece]
    forward, aside = into, 0.0
    if bend > 0:
        half = math.sin(0.5 * bend * into)
        forward, aside = math.sin(bend * into) / bend, 2 * half * half / bend
    starts, tangents, normals = pieces.starts, pieces.tangents, pieces.normals
    return (
        starts[piece, 0] + tangents[piece, 0] * forward + normals[piece, 0] * aside,
        starts[piece, 1] + tangents[piece, 1] * forward + normals[piece, 1] * aside,
        starts[piece, 2] + tangents[piece, 2] * forward + normals[piece, 2] * aside,
    )


@compiled
def direction_in(pieces: Pieces, piece: int, into: float) -> tuple[float, float, float]:
    """Return the unit direction so far into a piece; for use inside compiled loops."""
    turned = pieces.curvatures[piece] * into
    ahead, aside = math.cos(turned), math.sin(turned)
    tangents, normals = pieces.tangents, pieces.normals
    return (
        tangents[piece, 0] * ahead + normals[piece, 0] * aside,
        tangents[piece, 1] * ahead + normals[piece, 1] * aside,
        tangents[piece, 2] * ahead + normals[piece, 2] * aside,
    )


@compiled
def _fill_boxes(pieces: Pieces, lows: Floats, highs: Floats) -> None:
    for piece in range(pieces.lengths.shape[0]):
        first = point_in(pieces, piece, 0.0)
        last = point_in(pieces, piece, pieces.lengths[piece])
        for axis in range(3):
            lows[piece, axis] = min(first[axis], last[axis])
            highs[piece, axis] = max(first[axis], last[axis])
            if pieces.curvatures[piece] > 0:
                _widen(pieces, piece, axis, lows, highs)


@compiled
def _widen(pieces: Pieces, piece: int, axis: int, lows: Floats, highs: Floats) -> None:
    """Take in the places where an arc runs square to the axis: direction = t cos(a) + n sin(a) = 0."""
    angle = math.atan2(-pieces.tangents[piece, axis], pieces.normals[piece, axis])
    bend = pieces.curvatures[piece]
    for turn in (angle, angle + math.pi, angle + 2 * math.pi):
        if 0 < turn < bend * pieces.lengths[piece]:
            reached = point_in(pieces, piece, turn / bend)[axis]
            lows[piece, axis] = min(lows[piece, axis], reached)
            highs[piece, axis] = max(highs[piece, axis], reached)
