"""What a centreline is: straight pieces and arcs, end to end; where it goes and how tightly it bends.

How wide its corners may be rounded is in corners.py, where it crosses a plane in crossings.py; how near it
comes to a solid in sweeps.py, to another curve in neighbours.py.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from routeviz.geometry.arrays import Floats, Ints, check_shape, frozen
from routeviz.geometry.corners import STRAIGHT, corner_turns

OVERFULL = (
    1e-5  # share of a leg: corners rounded to 1e-6 overfill legs of 3 by 3e-6; half a dozen such are let pass
)
OUTSIDE = 1e-9  # share of the length by which an arc length may miss the curve's ends: sums of lengths do


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """A tangent-continuous chain of m straight pieces and circular arcs.

    The point at arc length u into piece i is
    ``start + tangent * sin(k u)/k + normal * (1 - cos(k u))/k``, or ``start + tangent * u`` where k = 0.

    Parameters
    ----------
    starts : array, shape (m, 3)
        First point of each piece.
    tangents : array, shape (m, 3)
        Unit direction at each piece's start.
    normals : array, shape (m, 3)
        Unit vector from the start of an arc towards its centre; zeros for a straight piece.
    curvatures : array, shape (m,)
        One over the radius; 0 for a straight piece.
    lengths : array, shape (m,)
        Arc length of each piece, > 0.
    begins : array, shape (m + 1,)
        Arc length along the whole curve at which each piece begins; the last is the whole length.
    """

    starts: Floats
    tangents: Floats
    normals: Floats
    curvatures: Floats
    lengths: Floats
    begins: Floats


def rounded_polyline(corners: ArrayLike, radii: ArrayLike) -> Curve:
    """Return the curve that follows a polyline and turns each inner corner on an arc.

    At a corner that turns by less than 1e-5 (radians) there is no arc and its radius is not looked at, so it
    may be 0 or ``inf``. Where arcs fill a leg, they may overfill it by a hundred-thousandth, as rounding
    does.

    Parameters
    ----------
    corners : array, shape (n, 3)
        Ends and corners in order, n >= 2, no two neighbours equal, no turn over 120 degrees.
    radii : array, shape (n - 2,)
        Radius at each inner corner.

    Returns
    -------
    curve : Curve
        From the first corner to the last.

    Raises
    ------
    ValueError
        A shape differs, two neighbours coincide, a corner turns too far or its radius is not
        positive and finite, or an arc does not fit into its legs.
    """
    points, wanted = np.asarray(corners, np.float64), np.asarray(radii, np.float64)
    legs, directions, turns = corner_turns(points)
    bent = turns >= STRAIGHT
    _check_radii(wanted, bent)
    rounded = np.where(bent, wanted, 1.0)
    cuts = np.where(bent, rounded * np.tan(0.5 * turns), 0.0)
    straights = _straight_lengths(legs, cuts)
    normals = directions[1:] - directions[:-1] * np.cos(turns)[:, None]
    normals /= np.where(bent, np.linalg.norm(normals, axis=1), 1.0)[:, None]
    kept = np.empty(2 * len(legs) - 1, bool)
    kept[0::2], kept[1::2] = straights > OUTSIDE * legs, bent
    return _chain(
        kept,
        starts=_woven(
            points[:-1] + directions * np.append(0.0, cuts)[:, None],
            points[1:-1] - directions[:-1] * cuts[:, None],
        ),
        tangents=_woven(directions, directions[:-1]),
        normals=_woven(np.zeros_like(directions), normals),
        curvatures=_woven(np.zeros_like(legs), 1.0 / rounded),
        lengths=_woven(straights, rounded * turns),
    )


def length(curve: Curve) -> float:
    """Return the arc length of the whole curve."""
    return float(curve.begins[-1])


def tightest_bend(curve: Curve) -> tuple[float, float]:
    """Return the least radius of a curve and the arc length at the middle of the arc that has it.

    Returns
    -------
    radius : float
        ``inf`` for a straight curve.
    along : float
        Of several equal ones the first; 0 for a straight curve.
    """
    piece = int(np.argmax(curve.curvatures))
    if curve.curvatures[piece] == 0:
        return math.inf, 0.0
    return float(1 / curve.curvatures[piece]), float(curve.begins[piece] + 0.5 * curve.lengths[piece])


def points_along(curve: Curve, along: ArrayLike) -> Floats:
    """Return the points at given arc lengths.

    Parameters
    ----------
    curve : Curve
        Where the points lie.
    along : array, shape (n,)
        Arc lengths from the curve's start, 0 to its length.

    Returns
    -------
    points : array, shape (n, 3)
        In the order asked for.

    Raises
    ------
    ValueError
        An arc length is not finite or lies beyond an end by more than a billionth of the length.
    """
    piece, into = _located(curve, along)
    return np.asarray(curve.starts[piece] + _displacements(curve, piece, into))


def tangents_along(curve: Curve, along: ArrayLike) -> Floats:
    """Return the unit directions at given arc lengths; where two pieces meet, that of the later one.

    Parameters
    ----------
    curve : Curve
        Whose directions.
    along : array, shape (n,)
        Arc lengths from the curve's start, 0 to its length.

    Returns
    -------
    tangents : array, shape (n, 3)
        In the order asked for.

    Raises
    ------
    ValueError
        An arc length is not finite or lies beyond an end by more than a billionth of the length.
    """
    piece, into = _located(curve, along)
    turned = (curve.curvatures[piece] * into)[:, None]
    return np.asarray(curve.tangents[piece] * np.cos(turned) + curve.normals[piece] * np.sin(turned))


def reversed_curve(curve: Curve) -> Curve:
    """Return the same curve run from its end to its start."""
    tangents, normals = _turned_on(curve, curve.lengths)
    ends = curve.starts + _displacements(curve, slice(None), curve.lengths)
    return _chain(
        np.ones(len(curve.lengths), bool),
        starts=ends[::-1],
        tangents=-tangents[::-1],
        normals=normals[::-1],
        curvatures=curve.curvatures[::-1],
        lengths=curve.lengths[::-1],
    )


def trimmed(curve: Curve, from_start: float, from_end: float) -> Curve:
    """Return a curve without a stretch at its start and a stretch at its end.

    Parameters
    ----------
    curve : Curve
        The whole curve.
    from_start, from_end : float
        Arc lengths to leave off, >= 0.

    Returns
    -------
    curve : Curve
        What is left, > 0 long.

    Raises
    ------
    ValueError
        A negative stretch, or nothing would be left.
    """
    whole = length(curve)
    if not (from_start >= 0 and from_end >= 0 and from_start + from_end < whole * (1 - OUTSIDE)):
        raise ValueError(f"nothing is left of a curve {whole:g} long without {from_start:g} and {from_end:g}")
    begins = np.clip(curve.begins[:-1], from_start, None)
    lengths = np.clip(curve.begins[1:], None, whole - from_end) - begins
    left_off = begins - curve.begins[:-1]
    tangents, normals = _turned_on(curve, left_off)
    return _chain(
        lengths > OUTSIDE * whole,
        starts=curve.starts + _displacements(curve, slice(None), left_off),
        tangents=tangents,
        normals=normals,
        curvatures=curve.curvatures,
        lengths=lengths,
    )


def chords(curve: Curve, sagitta: float) -> tuple[Floats, Floats]:
    """Return points along a curve, close enough that the chords between them stay near it.

    Parameters
    ----------
    curve : Curve
        What is drawn.
    sagitta : float
        Largest distance between an arc and its chord, > 0.

    Returns
    -------
    points : array, shape (n, 3)
        Among them the ends of all pieces.
    along : array, shape (n,)
        Their arc lengths.

    Raises
    ------
    ValueError
        The sagitta is not above 0.
    """
    if not sagitta > 0:
        raise ValueError(f"sagitta: more than 0 wanted, {sagitta:g} given")
    # The chord of an angle a misses its arc by R (1 - cos(a/2)) = 2 R sin(a/4)^2; half a turn is the most.
    steps = 4 * np.arcsin(np.sqrt(np.minimum(0.5 * sagitta * curve.curvatures, 0.5)))
    turned = curve.curvatures * curve.lengths
    counts = np.maximum(1, np.ceil(turned / np.where(turned > 0, steps, 1) - OUTSIDE)).astype(np.int64)
    along = np.concatenate(
        [b + n * (np.arange(c) / c) for b, n, c in zip(curve.begins, curve.lengths, counts, strict=False)]
        + [curve.begins[-1:]]
    )
    return points_along(curve, along), along


def _check_radii(radii: Floats, bent: NDArray[np.bool_]) -> None:
    if radii.shape != bent.shape:
        raise ValueError(
            f"radii: one for each of {len(bent)} inner corners wanted, shape {radii.shape} given"
        )
    for corner in np.nonzero(bent & ~((radii > 0) & (radii < math.inf)))[0]:
        raise ValueError(f"corner {corner + 1} turns, but its radius is {radii[corner]:g}: give one above 0")


def _straight_lengths(legs: Floats, cuts: Floats) -> Floats:
    """Return what the arcs leave of each leg; refuse arcs that want more than there is."""
    taken = np.append(0.0, cuts) + np.append(cuts, 0.0)
    for leg in np.nonzero(taken > legs * (1 + OVERFULL))[0]:
        raise ValueError(
            f"leg {leg} is {legs[leg]:g} long, but the arcs at its ends take {taken[leg]:g} of it: "
            "smaller radii or a longer leg"
        )
    return np.asarray(np.maximum(legs - taken, 0.0))


def _woven(straight: Floats, bent: Floats) -> Floats:
    """Return straight pieces and arcs in turn: one straight more than arcs."""
    woven = np.empty((len(straight) + len(bent), *straight.shape[1:]))
    woven[0::2], woven[1::2] = straight, bent
    return woven


def _chain(kept: NDArray[np.bool_], **fields: Floats) -> Curve:
    chosen = {name: frozen(values[kept]) for name, values in fields.items()}
    return Curve(**chosen, begins=frozen(np.append(0.0, np.cumsum(chosen["lengths"]))))


def _located(curve: Curve, along: ArrayLike) -> tuple[Ints, Floats]:
    """Return for each arc length the piece it falls into, and how far into it."""
    asked = np.asarray(along, np.float64)
    check_shape("along", asked, (None,))
    whole = length(curve)
    outside = (asked < -OUTSIDE * whole) | (asked > whole * (1 + OUTSIDE))
    if outside.any():
        raise ValueError(f"along: 0 to {whole:g} wanted, {asked[outside][0]:g} given")
    piece = np.searchsorted(curve.begins[1:-1], asked, side="right")
    return piece, np.clip(asked - curve.begins[piece], 0.0, curve.lengths[piece])


def _displacements(curve: Curve, piece: Ints | slice, into: Floats) -> Floats:
    """Return the vectors from the start of each piece to the point so far into it."""
    # sin(x)/x and (1 - cos(x))/x hold at x = 0 too, so straight pieces need no case of their own.
    turned = curve.curvatures[piece] * into
    forward = into * np.sinc(turned / np.pi)
    aside = 0.5 * turned * into * np.sinc(0.5 * turned / np.pi) ** 2
    return np.asarray(curve.tangents[piece] * forward[:, None] + curve.normals[piece] * aside[:, None])


def _turned_on(curve: Curve, into: Floats) -> tuple[Floats, Floats]:
    """Return each piece's tangent and normal so far into it."""
    turned = (curve.curvatures * into)[:, None]
    sine, cosine = np.sin(turned), np.cos(turned)
    tangents = curve.tangents * cosine + curve.normals * sine
    normals = curve.normals * cosine - curve.tangents * sine
    return tangents, normals
