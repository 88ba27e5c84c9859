"""Where curves go through a plane, and which stretches of them lie between two parallel planes.

The pieces themselves are in pieces.py; what a plane cuts out of a solid is no matter of this file.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from routeviz.geometry.arrays import Floats, Ints, check_shape, frozen, frozen_ints
from routeviz.geometry.pieces import Pieces

ON_PLANE = 1e-9  # share of the largest height: what lies nearer counts as on the plane
LEVEL = 1e-200  # stands for no slope at all: any height but a level piece's own is beyond one of its ends


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossings:
    """The k places where curves change from one side of a plane to the other, by curve, then along it.

    Parameters
    ----------
    curves : array of int, shape (k,)
        Which curve.
    along : array, shape (k,)
        Arc length from the curve's start.
    signs : array of int, shape (k,)
        +1 where the curve goes over to the side the normal points to, -1 where it comes back.
    """

    curves: Ints
    along: Floats
    signs: Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretches:
    """The k stretches of curves that lie between two planes, by curve, then along it.

    Parameters
    ----------
    curves : array of int, shape (k,)
        Which curve.
    begins, ends : array, shape (k,)
        Arc lengths from the curve's start.
    """

    curves: Ints
    begins: Floats
    ends: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class _Climbs:
    """Stretches of pieces on which the height above a plane only rises or only falls.

    So far into its piece the height is ``base + slope u`` if straight, else ``base + swing sin(k u - lag)``.
    """

    curves: Ints
    offsets: Floats
    begins: Floats
    ends: Floats
    bends: Floats
    bases: Floats
    slopes: Floats
    swings: Floats
    lags: Floats


def plane_crossings(pieces: Pieces, point: ArrayLike, normal: ArrayLike) -> Crossings:
    """Return where curves cross a plane: closed form, straight and arc.

    A curve that touches the plane and stays on its side does not cross it; nor does one that begins or ends
    on it. One that runs in the plane for a while and leaves on the other side crosses it in the middle of
    that stretch.

    Parameters
    ----------
    pieces : Pieces
        From ``pieces.joined``.
    point, normal : array, shape (3,)
        A point of the plane, and the direction square to it; any length but 0.

    Returns
    -------
    crossings : Crossings
        By curve, then along it.

    Raises
    ------
    ValueError
        A shape differs, a number is not finite, or the normal has no length.
    """
    origin, upward = _plane(point, normal)
    climbs = _climbs(pieces, origin, upward)
    first, last = _heights(climbs, climbs.begins), _heights(climbs, climbs.ends)
    level = ON_PLANE * max(float(np.abs(first).max(initial=0.0)), float(np.abs(last).max(initial=0.0)))
    before = np.where(np.abs(first) <= level, 0, np.sign(first)).astype(np.int64)
    after = np.where(np.abs(last) <= level, 0, np.sign(last)).astype(np.int64)
    at = climbs.offsets + _reached(climbs, 0.0)
    rows: list[tuple[int, float, int]] = []
    curve, side, touched = -1, 0, 0.0
    for k in np.nonzero((before != after) | (before == 0))[0]:
        if climbs.curves[k] != curve:
            curve, side = int(climbs.curves[k]), 0
        side = before[k] or side
        if after[k] == 0 and before[k] != 0:
            touched = climbs.offsets[k] + climbs.ends[k]
        elif side * after[k] < 0:
            left = climbs.offsets[k] + climbs.begins[k]
            rows.append((curve, at[k] if before[k] else 0.5 * (touched + left), int(after[k])))
        side = after[k] or side
    return Crossings(
        curves=frozen_ints([row[0] for row in rows]),
        along=frozen([row[1] for row in rows]),
        signs=frozen_ints([row[2] for row in rows]),
    )


def stretches_between(
    pieces: Pieces, point: ArrayLike, normal: ArrayLike, low: float, high: float
) -> Stretches:
    """Return which stretches of curves lie between two parallel planes, both included.

    Parameters
    ----------
    pieces : Pieces
        From ``pieces.joined``.
    point, normal : array, shape (3,)
        Heights are counted from the point along the normal, in its unit length.
    low, high : float
        Heights of the two planes, low <= high.

    Returns
    -------
    stretches : Stretches
        Each as long as can be; one that only touches a plane from outside has no length.

    Raises
    ------
    ValueError
        A shape differs, a number is not finite, the normal has no length, or low is above high.
    """
    origin, upward = _plane(point, normal)
    if not low <= high:
        raise ValueError(f"low at most as much as high wanted, {low:g} and {high:g} given")
    climbs = _climbs(pieces, origin, upward)
    first, last = _heights(climbs, climbs.begins), _heights(climbs, climbs.ends)
    inside = (np.minimum(first, last) <= high) & (np.maximum(first, last) >= low)
    at_low, at_high = _reached(climbs, low), _reached(climbs, high)
    # An end that lies between the planes stays an end, even on a level piece that lies in one of them.
    begins = np.where((low <= first) & (first <= high), climbs.begins, np.minimum(at_low, at_high))
    ends = np.where((low <= last) & (last <= high), climbs.ends, np.maximum(at_low, at_high))
    begins, ends = climbs.offsets + begins, climbs.offsets + ends
    rows: list[list[float]] = []
    for k in np.nonzero(inside)[0]:
        goes_on = rows and rows[-1][0] == climbs.curves[k]
        if goes_on and begins[k] - rows[-1][2] <= ON_PLANE * ends[k]:
            rows[-1][2] = ends[k]
        else:
            rows.append([climbs.curves[k], begins[k], ends[k]])
    found = np.array(rows).reshape(-1, 3)
    return Stretches(curves=frozen_ints(found[:, 0]), begins=frozen(found[:, 1]), ends=frozen(found[:, 2]))


def _plane(point: ArrayLike, normal: ArrayLike) -> tuple[Floats, Floats]:
    origin, upward = np.asarray(point, np.float64), np.asarray(normal, np.float64)
    check_shape("point", origin, (3,))
    check_shape("normal", upward, (3,))
    size = math.sqrt(float((upward * upward).sum()))
    if size == 0:
        raise ValueError("normal: a direction has a length above 0")
    return origin, upward / size


def _climbs(pieces: Pieces, origin: Floats, upward: Floats) -> _Climbs:
    """Return every piece, arcs cut in two where they run level: once at most in less than half a turn."""
    height = ((pieces.starts - origin) * upward).sum(axis=1)
    ahead, aside = (pieces.tangents * upward).sum(axis=1), (pieces.normals * upward).sum(axis=1)
    bent = pieces.curvatures > 0
    radii = np.where(bent, 1 / np.where(bent, pieces.curvatures, 1.0), 0.0)
    lags = np.arctan2(aside, ahead)
    level = np.where(
        bent, np.minimum((lags + 0.5 * math.pi) % math.pi * radii, pieces.lengths), pieces.lengths
    )
    twice = np.repeat(np.arange(len(radii)), 2)
    begins, ends = np.zeros(len(twice)), pieces.lengths[twice]
    begins[1::2], ends[0::2] = level, level
    kept = ends > begins
    chosen = twice[kept]
    return _Climbs(
        curves=pieces.owners[chosen],
        offsets=pieces.begins[chosen],
        begins=begins[kept],
        ends=ends[kept],
        bends=pieces.curvatures[chosen],
        bases=(height + aside * radii)[chosen],
        slopes=ahead[chosen],
        swings=(np.hypot(ahead, aside) * radii)[chosen],
        lags=lags[chosen],
    )


def _heights(climbs: _Climbs, into: Floats) -> Floats:
    swung = climbs.swings * np.sin(climbs.bends * into - climbs.lags)
    return np.asarray(climbs.bases + np.where(climbs.bends > 0, swung, climbs.slopes * into))


def _reached(climbs: _Climbs, height: float) -> Floats:
    """Return how far into its piece each climb is at a height, or else its end that is nearer to it."""
    over = height - climbs.bases
    steep = np.where(np.abs(climbs.slopes) < LEVEL, LEVEL, climbs.slopes)
    share = np.clip(over / np.where(climbs.swings > 0, climbs.swings, 1.0), -1, 1)
    # Between two level places sin(angle) is met once: at asin, mirrored in every other half turn.
    middle = climbs.bends * 0.5 * (climbs.begins + climbs.ends) - climbs.lags
    half_turn = np.floor(middle / math.pi + 0.5)
    angle = half_turn * math.pi + np.where(half_turn % 2 == 0, 1, -1) * np.arcsin(share)
    bent = climbs.bends > 0
    into = np.where(bent, (angle + climbs.lags) / np.where(bent, climbs.bends, 1.0), over / steep)
    return np.asarray(np.clip(into, climbs.begins, climbs.ends))
