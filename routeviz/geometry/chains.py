"""Pieces of many curves made at once: stretches cut out of curves, polylines; and places along all of them.

What a piece is stands in pieces.py; one curve by itself is in curves.py.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from routeviz.geometry.arrays import Floats, Ints, frozen, frozen_ints
from routeviz.geometry.pieces import Pieces, points_in

NO_LENGTH = 1e-9  # shorter pieces have no direction; the unit is far above


@dataclass(frozen=True, slots=True, kw_only=True)
class Samples:
    """Places along curves, curve after curve, each curve's in order.

    Parameters
    ----------
    points : array, shape (n, 3)
        The places.
    tangents : array, shape (n, 3)
        Unit directions there; where two pieces meet, that of the later one.
    along : array, shape (n,)
        Arc lengths, counted as the pieces' ``begins`` are.
    owners : array of int, shape (n,)
        The curve of each.
    firsts : array of int, shape (c + 1,)
        The places of curve i are ``firsts[i]`` to ``firsts[i + 1] - 1``.
    """

    points: Floats
    tangents: Floats
    along: Floats
    owners: Ints
    firsts: Ints


def stretches(pieces: Pieces, which: ArrayLike, begins: ArrayLike, ends: ArrayLike) -> Pieces:
    """Return stretches of curves as curves of their own; arc lengths are still counted on the whole curve.

    Parameters
    ----------
    pieces : Pieces
        The whole curves.
    which : array of int, shape (n,)
        Of which curve each stretch is.
    begins, ends : array, shape (n,)
        Where on it; what lies beyond the curve's ends is left off.

    Returns
    -------
    pieces : Pieces
        n curves; one without length has no pieces.
    """
    curves = np.asarray(which, np.int64)
    counts = pieces.firsts[curves + 1] - pieces.firsts[curves]
    chosen = _counted(pieces.firsts[curves], counts)
    owners = np.repeat(np.arange(len(curves)), counts)
    low = np.maximum(np.asarray(begins, np.float64)[owners], pieces.begins[chosen])
    high = np.minimum(np.asarray(ends, np.float64)[owners], pieces.begins[chosen] + pieces.lengths[chosen])
    kept = high - low > NO_LENGTH
    chosen, owners, low, high = chosen[kept], owners[kept], low[kept], high[kept]
    into = low - pieces.begins[chosen]
    tangents, normals = _turned(pieces, chosen, into)
    return Pieces(
        starts=frozen(points_in(pieces, chosen, into)),
        tangents=frozen(tangents),
        normals=frozen(normals),
        curvatures=frozen(pieces.curvatures[chosen]),
        lengths=frozen(high - low),
        begins=frozen(low),
        owners=frozen_ints(owners),
        firsts=_firsts(owners, len(curves)),
    )


def polylines(points: Floats, along: Floats, firsts: ArrayLike) -> Pieces:
    """Return polylines as straight pieces; neighbours in one place count as one.

    Parameters
    ----------
    points : array, shape (n, 3)
        Corners of all polylines, one after the other.
    along : array, shape (n,)
        The arc length that each corner is said to have.
    firsts : array of int, shape (c + 1,)
        Polyline i has the corners ``firsts[i]`` to ``firsts[i + 1] - 1``.

    Returns
    -------
    pieces : Pieces
        c curves.
    """
    bounds = np.asarray(firsts, np.int64)
    runs = np.repeat(np.arange(len(bounds) - 1), np.diff(bounds))
    steps = np.diff(points, axis=0)
    lengths = np.sqrt((steps * steps).sum(axis=1))
    kept = (runs[1:] == runs[:-1]) & (lengths > NO_LENGTH)
    owners = runs[:-1][kept]
    return Pieces(
        starts=frozen(points[:-1][kept]),
        tangents=frozen(steps[kept] / lengths[kept][:, None]),
        normals=frozen(np.zeros((len(owners), 3))),
        curvatures=frozen(np.zeros(len(owners))),
        lengths=frozen(lengths[kept]),
        begins=frozen(along[:-1][kept]),
        owners=frozen_ints(owners),
        firsts=_firsts(owners, len(bounds) - 1),
    )


def one_after_the_other(first: Pieces, *others: Pieces) -> Pieces:
    """Return the curves of all in one, in order."""
    chains = (first, *others)
    curves = np.cumsum([0, *(len(chain.firsts) - 1 for chain in chains)])
    count = np.cumsum([0, *(len(chain.lengths) for chain in chains)])
    owners = [chain.owners + curves[i] for i, chain in enumerate(chains)]
    firsts = [chain.firsts[:-1] + count[i] for i, chain in enumerate(chains)]
    return Pieces(
        starts=frozen(np.concatenate([chain.starts for chain in chains])),
        tangents=frozen(np.concatenate([chain.tangents for chain in chains])),
        normals=frozen(np.concatenate([chain.normals for chain in chains])),
        curvatures=frozen(np.concatenate([chain.curvatures for chain in chains])),
        lengths=frozen(np.concatenate([chain.lengths for chain in chains])),
        begins=frozen(np.concatenate([chain.begins for chain in chains])),
        owners=frozen_ints(np.concatenate(owners)),
        firsts=frozen_ints(np.concatenate([*firsts, count[-1:]])),
    )


def sampled(pieces: Pieces, sagitta: float, longest: float) -> Samples:
    """Return places along curves: the ends of all pieces, and between them as many as are asked for.

    Parameters
    ----------
    pieces : Pieces
        Whose places.
    sagitta : float
        How far an arc may leave the chord between two places, > 0.
    longest : float
        How long a chord may be at most, > 0.

    Returns
    -------
    samples : Samples
        Of every curve; none of a curve without pieces.
    """
    # The chord of an angle a misses its arc by R (1 - cos(a/2)) = 2 R sin(a/4)^2; half a turn is the most.
    steps = 4 * np.arcsin(np.sqrt(np.minimum(0.5 * sagitta * pieces.curvatures, 0.5)))
    turned = pieces.curvatures * pieces.lengths
    parts = np.maximum(np.ceil(turned / np.where(turned > 0, steps, 1.0) - NO_LENGTH), 1.0)
    parts = np.maximum(parts, np.ceil(pieces.lengths / longest - NO_LENGTH)).astype(np.int64)
    final = np.append(pieces.owners[1:] != pieces.owners[:-1], True)[: len(parts)]
    counts = parts + final
    which = np.repeat(np.arange(len(parts)), counts)
    share = _counted(np.zeros(len(parts), np.int64), counts) / parts[which]
    return _samples(pieces, which, share * pieces.lengths[which])


def places_on(pieces: Pieces, which: ArrayLike, along: ArrayLike) -> Samples:
    """Return the places at given arc lengths of given curves.

    Parameters
    ----------
    pieces : Pieces
        Each curve with a piece at least, and without gaps.
    which : array of int, shape (n,)
        Curves, ascending.
    along : array, shape (n,)
        Arc lengths, counted as the pieces' ``begins`` are; cut at the curve's ends.

    Returns
    -------
    samples : Samples
        In the order asked for.
    """
    curves, asked = np.asarray(which, np.int64), np.asarray(along, np.float64)
    last = pieces.firsts[1:] - 1
    span = float(np.max(pieces.begins + pieces.lengths, initial=0.0) - np.min(pieces.begins, initial=0.0))
    shift = 2.0 * (span + 1.0)  # what lies on different curves must not be mixed up
    place = np.searchsorted(pieces.begins + shift * pieces.owners, asked + shift * curves, side="right") - 1
    place = np.clip(place, pieces.firsts[curves], last[curves])
    return _samples(pieces, place, np.clip(asked - pieces.begins[place], 0.0, pieces.lengths[place]))


def _samples(pieces: Pieces, which: Ints, into: Floats) -> Samples:
    owners = pieces.owners[which]
    return Samples(
        points=frozen(points_in(pieces, which, into)),
        tangents=frozen(_turned(pieces, which, into)[0]),
        along=frozen(pieces.begins[which] + into),
        owners=frozen_ints(owners),
        firsts=_firsts(owners, len(pieces.firsts) - 1),
    )


def _turned(pieces: Pieces, which: Ints, into: Floats) -> tuple[Floats, Floats]:
    """Return the tangents and normals of pieces so far into them."""
    turned = (pieces.curvatures[which] * into)[:, None]
    tangents, normals = pieces.tangents[which], pieces.normals[which]
    if not turned.any():
        return tangents, normals
    sine, cosine = np.sin(turned), np.cos(turned)
    return tangents * cosine + normals * sine, normals * cosine - tangents * sine


def _counted(begins: Ints, counts: Ints) -> NDArray[np.int64]:
    """Return for each row its numbers from a begin on, so many, row after row."""
    ends = np.cumsum(counts)
    return np.asarray(np.arange(int(counts.sum())) + np.repeat(begins - (ends - counts), counts))


def _firsts(owners: Ints, count: int) -> Ints:
    return frozen_ints(np.searchsorted(owners, np.arange(count + 1)))
