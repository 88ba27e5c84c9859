"""How the corners and radii of a rounded polyline are pulled so that its curve follows samples best.

Gauss and Newton's least squares: a corner carries the points of its two legs and three arcs in shares, a
radius moves its arc along the arc's own normals. Two corners farther apart have nothing to do with each
other, so the equations are banded. Which corners there are is decided in tangents.py.
"""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.cells import dot, moved
from routeviz.geometry.compiled import inner
from routeviz.geometry.corners import STRAIGHT
from routeviz.geometry.deviations import Rounded
from routeviz.geometry.distances import Point
from routeviz.geometry.rounds import (
    CENTRE,
    INWARD,
    RADIUS,
    SLACK,
    TURN,
    WAY,
    cut_rate,
    half_turn,
    into_piece,
    lay_out,
    less,
    place_in,
    put3,
    row3,
    unit,
    walked,
)
from routeviz.geometry.tangents import LARGEST_COSINE, Fine

BAND = 12  # unknowns of a corner and of the two before it: a corner's place and its arc's depth
STEPS = 8  # rounds at most, no source: what they leave is within the room, or the room's proof says so
GAIN = 0.01  # share by which the misses must shrink for another round
DAMPING = 1e-3  # share of an unknown's own weight: where a radius hardly shows, it stays as it is
STRONGER = 30.0  # what damping is multiplied by after a step that gained nothing
FREE_ROOM = 1.0  # length: a room larger than that asks for no less care


class Carried(NamedTuple):
    """How a point of the curve moves with each unknown that moves it, row by row; and which those are."""

    columns: Floats
    places: Ints


class Chain(NamedTuple):
    """A rounded polyline on its way; its first corners count, and one inner corner less than two fewer.

    Parameters
    ----------
    corners : array, shape (n, 3)
        Ends and corners.
    radii, floors : array, shape (n,)
        Of each inner corner the radius, and the least that is asked for.
    held : array of bool, shape (n,)
        Inner corners that stay as they are.
    ends : array, shape (2,)
        The straight lengths to keep at both ends.
    legs : array, shape (2,)
        How far the outermost corners must be from the ends.
    """

    corners: Floats
    radii: Floats
    floors: Floats
    held: NDArray[np.bool_]
    ends: Floats
    legs: Floats


@inner
def leg_of(chain: Chain, leg: int) -> tuple[float, Point]:
    """Return a leg's length and direction."""
    return unit(less(row3(chain.corners, leg + 1, 0), row3(chain.corners, leg, 0)))


@inner
def fit_radii(chain: Chain, bends: int, least_leg: float) -> int:
    """Make every radius fit its legs, none below its floor; return a corner where this cannot be, or -1.

    Parameters
    ----------
    chain : Chain
        Its radii are written: what they take of a leg beyond the floors is cut in proportion.
    bends : int
        Inner corners.
    least_leg : float
        How far apart corners must be.

    Returns
    -------
    corner : int
        An inner corner, or -1.
    """
    rates, scales = np.empty(bends + 2), np.ones(bends + 2)
    rates[0] = rates[bends + 1] = 0.0
    length, way = leg_of(chain, 0)
    for k in range(bends):
        next_length, next_way = leg_of(chain, k + 1)
        least, next_least = (
            (chain.legs[0] if k == 0 else 0.0),
            (chain.legs[1] if k + 1 == bends else least_leg),
        )
        if dot(way, next_way) < LARGEST_COSINE or length < least or next_length < next_least:
            return k
        rates[k + 1] = cut_rate(length, half_turn(way, next_way), next_length)
        chain.radii[k] = max(chain.radii[k], chain.floors[k])
        length, way = next_length, next_way
    for leg in range(bends + 1):
        room = leg_of(chain, leg)[0] - _kept(chain, leg, bends)
        floors, more = 0.0, 0.0
        for k in range(max(leg - 1, 0), min(leg + 1, bends)):
            floors += chain.floors[k] * rates[k + 1]
            more += (chain.radii[k] - chain.floors[k]) * rates[k + 1]
        if floors > room + 1e-9:
            return min(leg, bends - 1)
        if floors + more > room:
            scale = max((room - floors) / more, 0.0) if more > 0.0 else 0.0
            scales[leg], scales[leg + 1] = min(scales[leg], scale), min(scales[leg + 1], scale)
    for k in range(bends):
        chain.radii[k] = chain.floors[k] + scales[k + 1] * (chain.radii[k] - chain.floors[k])
    return -1


@inner
def _kept(chain: Chain, leg: int, bends: int) -> float:
    """Return what arcs may not take of a leg."""
    if leg == 0:
        return float(chain.ends[0] + 0.5 * SLACK)
    return float(chain.ends[1] + 0.5 * SLACK) if leg == bends else SLACK


@inner
def follow(fine: Fine, chain: Chain, bends: int, least_leg: float, table: Floats) -> None:
    """Pull a chain's corners and radii so that its curve follows the samples; it can always be written.

    Parameters
    ----------
    fine : Fine
        Samples and rooms; a miss counts as a share of the room.
    chain : Chain
        Written. It can be written as it is given.
    bends : int
        Inner corners.
    least_leg : float
        How far apart corners must be.
    table : array, shape (n, 18)
        Written; of the chain at the end.
    """
    kept_corners, kept_radii = np.empty((bends + 2, 3)), np.empty(bends)
    matrix, right = np.empty((4 * bends, BAND)), np.empty(4 * bends)
    kept, damping = math.inf, DAMPING
    for _ in range(STEPS):
        lay_out(chain.corners, chain.radii, bends, table)
        misses = _equations(fine, chain, bends, table, matrix, right)
        gained = kept - misses > GAIN * misses
        if misses < kept:
            kept = misses
            copy(chain.corners, chain.radii, kept_corners, kept_radii)
            if not gained:
                break
        else:
            # Too far, or radii had to be cut: back, and a shorter step in which corners mind their legs.
            copy(kept_corners, kept_radii, chain.corners, chain.radii)
            lay_out(chain.corners, chain.radii, bends, table)
            _equations(fine, chain, bends, table, matrix, right)
            damping *= STRONGER
        solve(matrix, right, damping)
        move(chain, bends, table, right)
        if fit_radii(chain, bends, least_leg) >= 0:
            break
    copy(kept_corners, kept_radii, chain.corners, chain.radii)
    lay_out(chain.corners, chain.radii, bends, table)


@inner
def copy(corners: Floats, radii: Floats, to_corners: Floats, to_radii: Floats) -> None:
    """Copy corners and radii, as many as both have."""
    for k in range(min(corners.shape[0], to_corners.shape[0])):
        put3(to_corners, k, 0, row3(corners, k, 0))
    for k in range(min(radii.shape[0], to_radii.shape[0])):
        to_radii[k] = radii[k]


@inner
def _equations(fine: Fine, chain: Chain, bends: int, table: Floats, matrix: Floats, right: Floats) -> float:
    """Write the normal equations; return the sum of squared misses."""
    for row in range(4 * bends):
        right[row] = 0.0
        for column in range(BAND):
            matrix[row, column] = 0.0
    carried = Carried(np.empty((10, 3)), np.empty(10, np.int64))
    new, piece, total = Rounded(table, bends), 0, 0.0
    for k in range(fine.samples.shape[0]):
        point = row3(fine.samples, k, 0)
        piece = walked(table, bends, piece, point)
        foot = place_in(table, piece, into_piece(table, piece, point))
        miss, weight = less(point, foot), min(fine.rooms[k], FREE_ROOM) ** -2
        total += weight * dot(miss, miss)
        count = carry(chain, new, piece, foot, carried)
        for a in range(count):
            one, row = row3(carried.columns, a, 0), carried.places[a]
            right[row] += weight * dot(one, miss)
            for b in range(count):
                if carried.places[b] <= row:
                    matrix[row, row - carried.places[b]] += weight * dot(one, row3(carried.columns, b, 0))
    return total


@inner
def carry(chain: Chain, new: Rounded, piece: int, foot: Point, carried: Carried) -> int:
    """Write how a point in a piece moves with each unknown; return how many move it."""
    row, bends = piece // 2, new.bends
    way = row3(new.table, row, WAY)
    if piece % 2 == 1:
        return _carry_on_arc(chain, new, row, foot, carried)
    leg = less(row3(chain.corners, row + 1, 0), row3(chain.corners, row, 0))
    share = dot(less(foot, row3(chain.corners, row, 0)), leg) / dot(leg, leg)
    count = _add_corner(chain, bends, row - 1, 0, carried)
    for k in range(count):
        _across(carried, k, 1.0 - share, way)
    more = _add_corner(chain, bends, row, count, carried)
    for k in range(count, more):
        _across(carried, k, share, way)
    return more


@inner
def _carry_on_arc(chain: Chain, new: Rounded, row: int, foot: Point, carried: Carried) -> int:
    """Write the same on an arc: a rational parabola, whose ends and corner have shares in the point."""
    way, inward = row3(new.table, row, WAY), row3(new.table, row, INWARD)
    seen = less(foot, row3(new.table, row, CENTRE))
    radius, half = new.table[row, RADIUS], 0.5 * new.table[row, TURN]
    turned = math.atan2(dot(seen, way), -dot(seen, inward))
    tangent = moved((0.0, 0.0, 0.0), math.cos(turned), way, math.sin(turned), inward)
    before, after, angle = 0.0, 0.0, turned - half
    if half >= 0.5 * STRAIGHT:
        deep = (1.0 / math.cos(half) - math.cos(angle)) / (math.tan(half) * math.sin(half))
        beside = math.sin(angle) / (math.tan(half) * math.cos(half))
        before = 0.5 * (deep - beside) * radius * math.tan(half) / leg_of(chain, row)[0]
        after = 0.5 * (deep + beside) * radius * math.tan(half) / leg_of(chain, row + 1)[0]
    count = 0
    for corner in range(row - 1, row + 2):
        share = before if corner < row else (after if corner > row else 1.0 - before - after)
        more = _add_corner(chain, new.bends, corner, count, carried)
        for k in range(count, more):
            _across(carried, k, share, tangent)
        count = more
    if half < 0.5 * STRAIGHT or chain.held[row]:
        return count
    lift = (math.cos(angle) / math.cos(half) - 1.0) / (1.0 / math.cos(half) - 1.0) / radius
    put3(carried.columns, count, 0, (-lift * seen[0], -lift * seen[1], -lift * seen[2]))
    carried.places[count] = 4 * row + 3
    return count + 1


@inner
def _add_corner(chain: Chain, bends: int, corner: int, count: int, carried: Carried) -> int:
    """Add the ways in which an inner corner moves, the outermost along the ends only; return the count."""
    outer = corner == 0 or corner == bends - 1
    if corner < 0 or corner >= bends or chain.held[corner] or (outer and bends == 1):
        return count
    if outer:
        put3(carried.columns, count, 0, leg_of(chain, 0 if corner == 0 else bends)[1])
        carried.places[count] = 4 * corner
        return count + 1
    for axis in range(3):
        put3(carried.columns, count + axis, 0, (0.0, 0.0, 0.0))
        carried.columns[count + axis, axis] = 1.0
        carried.places[count + axis] = 4 * corner + axis
    return count + 3


@inner
def _across(carried: Carried, k: int, share: float, tangent: Point) -> None:
    """Take a share of a way, and of that what is across a tangent."""
    way = row3(carried.columns, k, 0)
    put3(carried.columns, k, 0, moved((0.0, 0.0, 0.0), share, way, -share * dot(way, tangent), tangent))


@inner
def solve(matrix: Floats, right: Floats, damping: float) -> None:
    """Replace the right side by the solution of the damped banded equations, by Cholesky's factors."""
    count = right.shape[0]
    for row in range(count):
        matrix[row, 0] += damping * matrix[row, 0] + (1e-9 if matrix[row, 0] > 0.0 else 1.0)
        low = max(0, row - BAND + 1)
        for column in range(low, row + 1):
            total = matrix[row, row - column]
            for k in range(max(low, column - BAND + 1), column):
                total -= matrix[row, row - k] * matrix[column, column - k]
            if column < row:
                matrix[row, row - column] = total / matrix[column, 0]
            else:
                matrix[row, 0] = math.sqrt(max(total, 1e-12))
        for k in range(low, row):
            right[row] -= matrix[row, row - k] * right[k]
        right[row] /= matrix[row, 0]
    for row in range(count - 1, -1, -1):
        for k in range(row + 1, min(row + BAND, count)):
            right[row] -= matrix[k, k - row] * right[k]
        right[row] /= matrix[row, 0]


@inner
def move(chain: Chain, bends: int, table: Floats, steps: Floats) -> None:
    """Take a step: corners first, then radii, by the depth of their arcs."""
    first, last = leg_of(chain, 0)[1], leg_of(chain, bends)[1]
    for k in range(bends):
        step = (steps[4 * k], steps[4 * k + 1], steps[4 * k + 2])
        if k == 0 or k == bends - 1:
            way = first if k == 0 else last
            step = (step[0] * way[0], step[0] * way[1], step[0] * way[2])
        put3(chain.corners, k + 1, 0, moved(row3(chain.corners, k + 1, 0), 1.0, step, 0.0, step))
    for k in range(bends):
        deep = table[k, RADIUS] * (1.0 / math.cos(0.5 * table[k, TURN]) - 1.0) + steps[4 * k + 3]
        half = half_turn(leg_of(chain, k)[1], leg_of(chain, k + 1)[1])
        if not chain.held[k] and half > 0.5 * STRAIGHT:
            chain.radii[k] = max(deep / (1.0 / math.cos(half) - 1.0), chain.floors[k])
