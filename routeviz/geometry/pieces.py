"""The pieces of many curves in flat arrays, for use inside compiled loops: where one goes, its box.

What one curve is stands in curves.py.
"""

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

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


def joined(curves: Sequence[Curve] | Pieces) -> Pieces:
    """Return the pieces of all curves in flat arrays, in order, read-only; joined ones as they are."""
    if isinstance(curves, Pieces):
        return curves
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


def chosen(pieces: Pieces, kept: NDArray[np.bool_]) -> Pieces:
    """Return some of the pieces, shape (m,) says which; curves keep their numbers and may have gaps."""
    if kept.all():
        return pieces
    count = len(pieces.firsts) - 1
    owners = pieces.owners[kept]
    return Pieces(
        starts=frozen(pieces.starts[kept]),
        tangents=frozen(pieces.tangents[kept]),
        normals=frozen(pieces.normals[kept]),
        curvatures=frozen(pieces.curvatures[kept]),
        lengths=frozen(pieces.lengths[kept]),
        begins=frozen(pieces.begins[kept]),
        owners=frozen_ints(owners),
        firsts=frozen_ints(np.searchsorted(owners, np.arange(count + 1))),
    )


def piece_boxes(pieces: Pieces) -> tuple[Floats, Floats]:
    """Return the exact axis-aligned box round each piece: lows (m, 3) and highs (m, 3)."""
    last = end_points(pieces)
    lows, highs = np.minimum(pieces.starts, last), np.maximum(pieces.starts, last)
    bent = np.nonzero(pieces.curvatures > 0)[0]
    tangents, normals, radii = pieces.tangents[bent], pieces.normals[bent], 1 / pieces.curvatures[bent, None]
    turns = (pieces.curvatures * pieces.lengths)[bent, None]
    # An arc runs square to an axis where t cos(a) + n sin(a) = 0. There it reaches farthest, R hypot(t, n)
    # from its centre: towards higher values at the one angle, towards lower ones half a turn on.
    centres, reaches = pieces.starts[bent] + normals * radii, radii * np.hypot(tangents, normals)
    highest = np.arctan2(tangents, -normals) % (2 * math.pi)
    lowest = (highest + math.pi) % (2 * math.pi)
    highs[bent] = np.where(highest < turns, centres + reaches, highs[bent])
    lows[bent] = np.where(lowest < turns, centres - reaches, lows[bent])
    return lows, highs


def points_in(pieces: Pieces, which: Ints, into: Floats) -> Floats:
    """Return for each of k pieces named by index the point so far into it, shape (k, 3)."""
    turned = pieces.curvatures[which] * into
    if not turned.any():
        return np.asarray(pieces.starts[which] + pieces.tangents[which] * into[:, None])
    # sin(x)/x and (1 - cos(x))/x hold at x = 0 too, so straight pieces need no case of their own.
    forward = into * np.sinc(turned / math.pi)
    aside = 0.5 * turned * into * np.sinc(0.5 * turned / math.pi) ** 2
    points = pieces.starts[which] + pieces.tangents[which] * forward[:, None]
    return np.asarray(points + pieces.normals[which] * aside[:, None])


def end_points(pieces: Pieces) -> Floats:
    """Return the last point of each piece, shape (m, 3)."""
    return points_in(pieces, np.arange(len(pieces.lengths)), pieces.lengths)


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
