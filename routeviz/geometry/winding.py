"""How often two chains of chords wind about each other, and how often they cross in a view.

Which chains are asked about, and what is too much, is not known here.
"""

import math

import numpy as np
from numpy.typing import ArrayLike

from routeviz.geometry.arrays import Floats, Ints, check_shape
from routeviz.geometry.compiled import compiled, inner

Way = tuple[float, float, float, float]  # a unit vector and how long it was

FAR = 1.5  # chords' lengths apart from which on their middles stand for them
SLIGHT = 0.1  # sine of six degrees: flatter chords lie one behind the other in a view, they do not cross


def windings(points: Floats, firsts: Ints, pairs: ArrayLike) -> Floats:
    """Return the Gauss linking integral of pairs of open or closed polylines.

    ``1/(4 pi)`` times the double integral of ``(a - b) . (da x db) / |a - b|^3``: the mean, over all
    directions of view, of half the crossings in that view, each counted +1 or -1 by its hand. A full turn
    about each other gives 1; two that cross once in every view that shows a crossing give a half at most.
    Two closed ones give a whole number. For two chords it is the area on the unit sphere of the directions
    from one to the other, a quadrilateral, over 4 pi: exact, whatever their lengths.

    Parameters
    ----------
    points : array, shape (n, 3)
        Corners of all polylines, one after the other.
    firsts : array of int, shape (c + 1,)
        Polyline i has the corners ``firsts[i]`` to ``firsts[i + 1] - 1``.
    pairs : array of int, shape (k, 2)
        Which two.

    Returns
    -------
    windings : array, shape (k,)
        Positive where they wind as a right-handed screw does. What meets in a point is of either sign.

    References
    ----------
    K. Klenin and J. Langowski, Computation of writhe in modeling of supercoiled DNA, Biopolymers 54 (2000),
    method 1a; A. van Oosterom and J. Strackee, The solid angle of a plane triangle (1983), for the area (all
    from memory).
    """
    asked = np.asarray(pairs, np.int64).reshape(-1, 2)
    check_shape("points", points, (None, 3))
    found = np.zeros(len(asked))
    _fill_windings(np.ascontiguousarray(points), firsts, asked, found)
    return found


def crossings_in_view(places: Floats, firsts: Ints, pairs: ArrayLike, apart: ArrayLike) -> Ints:
    """Return how often pairs of polylines cross as seen along the third direction, near each other.

    Parameters
    ----------
    places : array, shape (n, 3)
        Corners as the view has them: two directions across it, then how far off.
    firsts : array of int, shape (c + 1,)
        As for ``windings``.
    pairs : array of int, shape (k, 2)
        Which two.
    apart : array, shape (k,)
        What lies farther behind the other than this is not counted.

    Returns
    -------
    counts : array of int, shape (k,)
        Chords that run nearly one behind the other, ``SLIGHT``, do not cross.
    """
    asked = np.asarray(pairs, np.int64).reshape(-1, 2)
    check_shape("places", places, (None, 3))
    counts = np.zeros(len(asked), np.int64)
    _fill_crossings(np.ascontiguousarray(places), firsts, asked, np.asarray(apart, np.float64), counts)
    return counts


@compiled
def _fill_windings(points: Floats, firsts: Ints, pairs: Ints, found: Floats) -> None:
    for k in range(pairs.shape[0]):
        total = 0.0
        begin, end = firsts[pairs[k, 1]], firsts[pairs[k, 1] + 1] - 1
        for i in range(firsts[pairs[k, 0]], firsts[pairs[k, 0] + 1] - 1):
            here, on = _way(points, i, begin), _way(points, i + 1, begin)
            for j in range(begin + 1, end + 1):
                further, beyond = _way(points, i, j), _way(points, i + 1, j)
                if min(here[3], on[3], further[3], beyond[3]) > 0.0:
                    total += _half_area(here, beyond, further) + _half_area(here, on, beyond)
                here, on = further, beyond
        found[k] = total / (2.0 * math.pi)


@inner
def measure_chords(chain: Floats) -> None:
    """Set down what ``fill_row`` asks of the chords of a polyline.

    Parameters
    ----------
    chain : array, shape (7, n)
        The n corners in its first three rows. Written for each but the last: what leads on from it, and the
        square of how far off the middle of that chord stands for all of it.
    """
    for i in range(chain.shape[1] - 1):
        square = 0.0
        for k in range(3):
            chain[3 + k, i] = chain[k, i + 1] - chain[k, i]
            square += chain[3 + k, i] ** 2
        chain[6, i] = FAR * FAR * square


@inner
def fill_row(one: Floats, i: int, other: Floats, row: Floats) -> None:
    """Reckon how a chord winds about each of another polyline.

    Far apart it is as if all of each were in its middle: quick, and less than a fiftieth of a turn wrong for
    two that cross once.

    Parameters
    ----------
    one, other : array, shape (7, n)
        As ``measure_chords`` leaves them.
    i : int
        Which chord of the one.
    row : array, shape (n - 1,)
        Written, for each chord of the other.
    """
    x, y, z, far = one[0, i], one[1, i], one[2, i], one[6, i]
    ax, ay, az = one[3, i], one[4, i], one[5, i]
    for j in range(len(row)):
        bx, by, bz = other[3, j], other[4, j], other[5, j]
        dx = x - other[0, j] + 0.5 * (ax - bx)
        dy = y - other[1, j] + 0.5 * (ay - by)
        dz = z - other[2, j] + 0.5 * (az - bz)
        square = dx * dx + dy * dy + dz * dz
        volume = dx * (ay * bz - az * by) + dy * (az * bx - ax * bz) + dz * (ax * by - ay * bx)
        turn = volume / (4.0 * math.pi * square * math.sqrt(square))
        row[j] = turn if square > far and square > other[6, j] else math.nan
    for j in range(len(row)):
        if math.isnan(row[j]):
            row[j] = _exactly(one, i, other, j)


@inner
def _exactly(one: Floats, i: int, other: Floats, j: int) -> float:
    """Return how a chord winds about another; 0 where they meet in a corner."""
    a, b = _sight(one, i, other, j), _sight(one, i + 1, other, j)
    c, d = _sight(one, i, other, j + 1), _sight(one, i + 1, other, j + 1)
    if min(a[3], b[3], c[3], d[3]) <= 0.0:
        return 0.0
    return (_half_area(a, d, c) + _half_area(a, b, d)) / (2.0 * math.pi)


@inner
def _way(points: Floats, start: int, end: int) -> Way:
    """Return the direction from one corner to another, and how far it is."""
    x = points[end, 0] - points[start, 0]
    y = points[end, 1] - points[start, 1]
    z = points[end, 2] - points[start, 2]
    return _unit(x, y, z)


@inner
def _sight(one: Floats, i: int, other: Floats, j: int) -> Way:
    """Return the same from a corner of a measured polyline to one of another."""
    return _unit(other[0, j] - one[0, i], other[1, j] - one[1, i], other[2, j] - one[2, i])


@inner
def _unit(x: float, y: float, z: float) -> Way:
    far = math.sqrt(x * x + y * y + z * z)
    if far > 0.0:
        return x / far, y / far, z / far, far
    return 0.0, 0.0, 0.0, 0.0


@inner
def _half_area(a: Way, b: Way, c: Way) -> float:
    """Return half the signed area of a triangle on the unit sphere; 0 where its corners are in a plane."""
    volume = (
        a[0] * (b[1] * c[2] - b[2] * c[1])
        + a[1] * (b[2] * c[0] - b[0] * c[2])
        + a[2] * (b[0] * c[1] - b[1] * c[0])
    )
    if volume == 0.0:
        return 0.0
    ab = a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
    bc = b[0] * c[0] + b[1] * c[1] + b[2] * c[2]
    ca = c[0] * a[0] + c[1] * a[1] + c[2] * a[2]
    return math.atan2(volume, 1.0 + ab + bc + ca)


@compiled
def _fill_crossings(places: Floats, firsts: Ints, pairs: Ints, apart: Floats, counts: Ints) -> None:
    for k in range(pairs.shape[0]):
        for i in range(firsts[pairs[k, 0]], firsts[pairs[k, 0] + 1] - 1):
            for j in range(firsts[pairs[k, 1]], firsts[pairs[k, 1] + 1] - 1):
                if _cross(places, i, j, apart[k]):
                    counts[k] += 1


@inner
def _cross(places: Floats, i: int, j: int, apart: float) -> bool:
    """Return whether two chords cross in the view, not far behind each other."""
    ax, ay = places[i + 1, 0] - places[i, 0], places[i + 1, 1] - places[i, 1]
    bx, by = places[j + 1, 0] - places[j, 0], places[j + 1, 1] - places[j, 1]
    dx, dy = places[j, 0] - places[i, 0], places[j, 1] - places[i, 1]
    turn = ax * by - ay * bx
    if turn * turn <= SLIGHT * SLIGHT * (ax * ax + ay * ay) * (bx * bx + by * by):
        return False
    s, t = (dx * by - dy * bx) / turn, (dx * ay - dy * ax) / turn
    if s < 0.0 or s >= 1.0 or t < 0.0 or t >= 1.0:
        return False
    own = places[i, 2] + s * (places[i + 1, 2] - places[i, 2])
    other = places[j, 2] + t * (places[j + 1, 2] - places[j, 2])
    return bool(abs(own - other) <= apart)
