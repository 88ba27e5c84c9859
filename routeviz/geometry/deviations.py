"""How far two rounded polylines that run beside each other lie apart: a proven bound, stretch by stretch.

How such a curve is tabled stands in rounds.py. Between two places on each of two curves, at equal shares of
the arc length, both are drawn linearly: a curve leaves the straight line by h^2 k / 8 at most, where h is the
arc length between and k the largest curvature. So the curves are at most max(d, d') + (h^2 k + H^2 K) / 8
apart, where d and d' are the distances at the ends. It holds from each curve to the other, since the places
on either follow each other without a gap. Stretches are halved until the bound is within the room.
"""

import math
from typing import NamedTuple

from routeviz.geometry.arrays import Floats
from routeviz.geometry.cells import dot
from routeviz.geometry.compiled import inner
from routeviz.geometry.rounds import (
    CURVATURE,
    LENGTH,
    RADIUS,
    TURN,
    into_piece,
    less,
    piece_begin,
    place_in,
    walked,
)

SHORTEST = 0.02  # arc length: below it an arc of radius 5 leaves its chord by 1e-5


class Use(NamedTuple):
    """How far curves may be apart near each corner of the old one, and what share of that is used.

    Parameters
    ----------
    rooms : array, shape (n,)
        A straight piece has the lesser room of its two corners.
    shares : array, shape (n,)
        Largest proven distance over the room; above 1 where it is not proven to be within.
    """

    rooms: Floats
    shares: Floats


class Rounded(NamedTuple):
    """A rounded polyline for compiled loops.

    Parameters
    ----------
    table : array, shape (m, 18)
        The rows of rounds.py; the first ``bends + 1`` count.
    bends : int
        Inner corners.
    """

    table: Floats
    bends: int


@inner
def shares_of_room(old: Rounded, new: Rounded, use: Use) -> float:
    """Write how much of each room is used; return the largest distance itself.

    Parameters
    ----------
    old, new : Rounded
        With common ends; the new one runs beside the old.
    use : Use
        For each corner of the old curve; its shares are written.

    Returns
    -------
    most : float
        No point of either curve is farther from the other.
    """
    rooms, shares, most, piece = use.rooms, use.shares, 0.0, 0
    for k in range(old.bends + 2):
        shares[k] = 0.0
    for walk in range(2 * old.bends + 1):
        row = walk // 2
        room = min(rooms[row], rooms[row + 1]) if walk % 2 == 0 else rooms[row + 1]
        bound, piece = _along(old, new, walk, piece, room)
        most = max(most, bound)
        shares[row + 1] = max(shares[row + 1], bound / room)
        if walk % 2 == 0:
            shares[row] = max(shares[row], bound / room)
    if piece < 2 * new.bends:
        # The walk was lost on the way: nothing is proven of the rest.
        shares[old.bends + 1] = math.inf
    return most


@inner
def largest(values: Floats, count: int) -> float:
    """Return the largest of so many numbers, or 0."""
    most = 0.0
    for k in range(count):
        most = max(most, values[k])
    return most


@inner
def _along(old: Rounded, new: Rounded, walk: int, piece: int, room: float) -> tuple[float, int]:
    """Return how far a piece of the old curve is from what is beside it at most, and where that ends."""
    row = walk // 2
    whole = old.table[row, LENGTH] if walk % 2 == 0 else old.table[row, RADIUS] * old.table[row, TURN]
    bending = old.table[row, CURVATURE] if walk % 2 == 1 else 0.0
    piece, place, distance = _beside(old, new, walk, 0.0, piece)
    into, step, worst = 0.0, whole, 0.0
    while into < whole:
        step = min(step, whole - into)
        next_piece, next_place, next_distance = _beside(old, new, walk, into + step, piece)
        apart, run = max(distance, next_distance), next_place - place
        bound = apart + 0.125 * (step * step * bending + run * run * _most_bent(new, piece, next_piece))
        if bound > room and apart <= room and step > SHORTEST:
            step *= 0.5
            continue
        worst = max(worst, bound)
        into, step = (whole, step) if into + step >= whole - 1e-12 else (into + step, 2.0 * step)
        piece, place, distance = next_piece, next_place, next_distance
    return worst, piece


@inner
def _beside(old: Rounded, new: Rounded, walk: int, into: float, piece: int) -> tuple[int, float, float]:
    """Return the new curve's piece and arc length beside a place on the old one, and how far that is."""
    here = place_in(old.table, walk, into)
    piece = walked(new.table, new.bends, piece, here)
    there = into_piece(new.table, piece, here)
    gap = less(here, place_in(new.table, piece, there))
    return piece, piece_begin(new.table, piece) + there, math.sqrt(dot(gap, gap))


@inner
def _most_bent(curve: Rounded, first: int, last: int) -> float:
    """Return the largest curvature among neighbouring pieces."""
    most = 0.0
    for row in range(first // 2, (last + 1) // 2):
        most = max(most, curve.table[row, CURVATURE])
    return most
