"""How a finely relaxed polyline becomes a centreline of few corners, as near to it as there is room.

Which tangents make corners is decided in tangents.py; following.py pulls corners and radii into place;
deviations.py proves how far the new curve is from the old. Where the proof fails, the room is made
smaller and all is done again; what cannot be merged keeps its own corners.
"""

import itertools
import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from routeviz.geometry.arrays import Floats, Ints, check_shape, frozen, frozen_ints
from routeviz.geometry.cells import moved
from routeviz.geometry.compiled import compiled, inner
from routeviz.geometry.corners import STRAIGHT, corner_turns
from routeviz.geometry.deviations import Rounded, Use, largest, shares_of_room
from routeviz.geometry.following import Chain, copy, fit_radii, follow
from routeviz.geometry.rounds import (
    CUT,
    RADIUS,
    SLACK,
    TURN,
    WIDTH,
    cut_rate,
    half_turn,
    lay_out,
    less,
    place_in,
    put3,
    row3,
    unit,
)
from routeviz.geometry.tangents import EXACT, Fine, bend_between, fewest, fit_tangents

ROUNDS = 14  # five make a place keep its own corners; the rest are for its neighbours, one after the other
WIDENINGS = 6  # tries at wider radii, as many as make a step of a half one of a thousandth
GENEROUS = 1.5  # least radii: a margin for bends as they are laid, no source; wider corners stay as they are
PULLS = 4  # times that corners are pulled with more weight where the room is overdrawn, before it shrinks
SMALLER = 0.6  # what a room that was overdrawn is multiplied by; no source, any share below 1 comes to an end
IN_LINE = 1e-9  # radians: what nodes set out along a direction turn by, through rounding, and a thousandfold
OWN_BELOW = 0.1  # share of its room at which a place gets its own corners


def with_fewer_corners(
    points: ArrayLike, rooms: ArrayLike, *, least_radius: float, least_leg: float
) -> tuple[Floats, Floats]:
    """Return few corners and radii whose curve stays within its room of a fine polyline's rounded curve.

    That curve has an arc at each node which takes half the shorter leg of both. The new one has its ends and
    end directions; its first and last straight pieces are no shorter. It can be written: with corners rounded
    to a thousandth and radii rounded down to one it is still a curve.

    Parameters
    ----------
    points : array, shape (n, 3)
        The fine polyline, n >= 2, no turn over 110 degrees.
    rooms : array, shape (n,)
        Near each node, how far any point of one curve may be from the other curve, > 0. A room below 1e-3 is
        not kept: own corners are written with arcs a trifle tighter, so that they can be rounded.
    least_radius : float
        The least radius wanted, > 0; where the polyline's own is less, what rounding leaves of that.
    least_leg : float
        How far apart corners must be, > 0; where nodes are nearer to each other, that.

    Returns
    -------
    corners : array, shape (k, 3)
        Ends and corners, each of which turns.
    radii : array, shape (k - 2,)
        Of the inner corners.

    Raises
    ------
    ValueError
        A shape differs, a number is not above 0, two neighbours coincide, or a turn is over 120 degrees.
    """
    given = np.asarray(points, np.float64)
    corners, radii, _, _ = all_with_fewer_corners(
        given, rooms, [0, len(given)], least_radii=[least_radius], least_legs=[least_leg]
    )
    return corners, radii[1:-1]


def all_with_fewer_corners(
    points: ArrayLike, rooms: ArrayLike, firsts: ArrayLike, *, least_radii: ArrayLike, least_legs: ArrayLike
) -> tuple[Floats, Floats, Ints, Floats]:
    """Return the same for many polylines at once.

    Parameters
    ----------
    points : array, shape (n, 3)
        Nodes of all polylines, one after the other.
    rooms : array, shape (n,)
        At each node.
    firsts : array of int, shape (c + 1,)
        Polyline i has the nodes ``firsts[i]`` to ``firsts[i + 1] - 1``.
    least_radii, least_legs : array, shape (c,)
        Of each polyline.

    Returns
    -------
    corners : array, shape (k, 3)
        Ends and corners of all.
    radii : array, shape (k,)
        At each corner; 0 at ends.
    firsts : array of int, shape (c + 1,)
        As those given, of the corners.
    deviations : array, shape (c,)
        No point of an old curve and its new one is farther from the other: proven.

    Raises
    ------
    ValueError
        As ``with_fewer_corners``.
    """
    # Copies, since read-only arrays would be compiled for once more.
    given, spare = np.array(points, np.float64, order="C"), np.array(rooms, np.float64)
    bounds = np.asarray(firsts, np.int64)
    check_shape("rooms", spare, (check_shape("points", given, (None, 3)),))
    wanted = np.column_stack([least_radii, least_legs]).astype(np.float64)
    check_shape("least_radii, least_legs", wanted, (len(bounds) - 1, 2))
    if not (min(spare.min(initial=math.inf), wanted.min(initial=math.inf)) > 0):
        raise ValueError("rooms, least radii and least legs: more than 0 wanted")
    for begin, end in itertools.pairwise(bounds):
        corner_turns(given[begin:end])
    corners, radii, deviations = [np.empty((0, 3))], [np.empty(0)], np.zeros(len(wanted))
    for k, (begin, end) in enumerate(itertools.pairwise(bounds)):
        chain, use = _empty_chain(end - begin), Use(spare[begin:end], np.zeros(end - begin))
        bends, deviations[k] = _merge(given[begin:end], use, wanted[k, 0], wanted[k, 1], chain)
        corners.append(chain.corners[: bends + 2])
        radii.append(np.concatenate([[0.0], chain.radii[:bends], [0.0]]))
    ends = np.cumsum([len(chosen) for chosen in corners])
    return (
        frozen(np.concatenate(corners)),
        frozen(np.concatenate(radii)),
        frozen_ints(ends),
        frozen(deviations),
    )


def _empty_chain(count: int) -> Chain:
    """Return room for a chain with so many corners."""
    radii, floors, held = np.empty(count), np.empty(count), np.zeros(count, np.bool_)
    return Chain(np.empty((count, 3)), radii, floors, held, np.empty(2), np.empty(2))


@compiled
def _merge(nodes: Floats, use: Use, least_radius: float, least_leg: float, chain: Chain) -> tuple[int, float]:
    """Write a chain of few corners; return the number of inner ones and how far the curve is off at most."""
    count = nodes.shape[0]
    old, table = Rounded(np.empty((count - 1, WIDTH)), count - 2), np.empty((count - 1, WIDTH))
    fine = fine_of(nodes, least_radius, old)
    if fine.first >= fine.last:
        put3(chain.corners, 0, 0, row3(nodes, 0, 0))
        put3(chain.corners, 1, 0, row3(nodes, count - 1, 0))
        return 0, 0.0
    keep_ends(fine, old, least_leg, chain.ends, chain.legs)
    least_leg = _least_leg(nodes, least_leg)
    spare, own, edges = np.empty(count), np.zeros(count - 1, np.bool_), np.empty(count, np.int64)
    for k in range(count):
        spare[k] = use.rooms[k]
    for _ in range(ROUNDS):
        _spread_rooms(spare, fine.rooms)
        fit_tangents(fine, own)
        bends = _chained(fine, least_radius, least_leg, own, chain, edges)
        new, stuck = Rounded(table, bends), fit_radii(chain, bends, least_leg)
        if stuck < 0:
            most = _pulled(fine, old, new, chain, least_leg, use)
            if largest(use.shares, count) <= 1.0:
                most = _widened(old, new, chain, use, edges, (most, GENEROUS * least_radius))
                return _without_straight(chain, bends), most
        _shrink(use, spare, own, edges, stuck)
    for k in range(count):
        put3(chain.corners, k, 0, row3(nodes, k, 0))
        chain.radii[k] = fine.radii[min(k + 1, count - 1)]
    return _without_straight(chain, count - 2), _own_deviation(chain, old, table, use)


@inner
def _own_deviation(chain: Chain, old: Rounded, table: Floats, use: Use) -> float:
    """Return how far off the curve over the polyline's own corners is: its arcs are a trifle tighter."""
    lay_out(chain.corners, chain.radii, old.bends, table)
    return shares_of_room(old, Rounded(table, old.bends), use)


@inner
def _shrink(use: Use, spare: Floats, own: NDArray[np.bool_], edges: Ints, stuck: int) -> None:
    """Make the room smaller where it was overdrawn, or about a corner whose arc has no place."""
    count = spare.shape[0]
    for node in range(count):
        overdrawn = use.shares[node] > 1.0
        if stuck >= 0:
            overdrawn = edges[stuck] <= node <= edges[stuck + 1] + 1
        if overdrawn:
            for near in range(max(node - 1, 0), min(node + 2, count)):
                spare[near] *= SMALLER
                if spare[near] < OWN_BELOW * use.rooms[near]:
                    own[max(near - 1, 0)] = own[min(near, count - 2)] = True


@inner
def _widen(chain: Chain, steps: Floats, limit: float) -> None:
    """Write radii wider by given shares, up to a limit; those beyond it stay as they are."""
    for k in range(steps.shape[0]):
        chain.radii[k] = max(chain.floors[k], min(chain.floors[k] * (1.0 + steps[k]), limit))


@inner
def _widened(
    old: Rounded, new: Rounded, chain: Chain, use: Use, edges: Ints, limits: tuple[float, float]
) -> float:
    """Widen tight corners as far as rooms and legs allow; return how far the curve is off at most."""
    most, limit = limits
    steps, bends = np.full(new.bends, 0.5), new.bends
    copy(chain.corners, chain.radii[:bends], chain.corners, chain.floors)
    for _ in range(WIDENINGS):
        _widen(chain, steps, limit)
        if fit_radii(chain, bends, 0.0) >= 0:
            break
        lay_out(chain.corners, chain.radii, bends, new.table)
        off = shares_of_room(old, new, use)
        fits = largest(use.shares, old.bends + 2) <= 1.0
        most = off if fits else most
        for k in range(bends):
            if fits:
                chain.floors[k] = chain.radii[k]
            elif largest(use.shares[edges[k] : edges[k + 1] + 2], edges[k + 1] + 2 - edges[k]) > 1.0:
                steps[k] *= 0.3
    copy(chain.corners, chain.floors[:bends], chain.corners, chain.radii)
    return most


@inner
def fine_of(nodes: Floats, least_radius: float, old: Rounded) -> Fine:
    """Return a fine polyline for compiled loops, and write its curve; rooms and lines are to follow."""
    count = nodes.shape[0]
    radii, floors, own = np.ones(count), np.full(count, math.inf), np.ones(count)
    length, way = unit(less(row3(nodes, 1, 0), row3(nodes, 0, 0)))
    first, first_way = 0, way
    for k in range(1, count - 1):
        next_length, next_way = unit(less(row3(nodes, k + 1, 0), row3(nodes, k, 0)))
        half = half_turn(way, next_way)
        cut = 0.5 * min(length, next_length)
        own[k] = cut / math.tan(max(half, 0.1 * STRAIGHT))
        radii[k] = max(cut - 0.5 * SLACK, 1e-6) / cut_rate(length, half, next_length)
        floors[k] = min(radii[k], least_radius)
        if first == k - 1 and 2.0 * half_turn(first_way, next_way) < IN_LINE:
            first = k
        length, way = next_length, next_way
    last = count - 2
    while last > first:
        back = unit(less(row3(nodes, last, 0), row3(nodes, last - 1, 0)))[1]
        if 2.0 * half_turn(back, way) >= IN_LINE:
            break
        last -= 1
    lay_out(nodes, own[1:], count - 2, old.table)
    samples = np.empty((2 * count - 3, 3))
    for edge in range(count - 1):
        middle = moved(row3(nodes, edge, 0), 1.0, row3(nodes, edge + 1, 0), 0.0, row3(nodes, edge, 0))
        put3(samples, 2 * edge, 0, (0.5 * middle[0], 0.5 * middle[1], 0.5 * middle[2]))
        if edge < count - 2:
            half_arc = 0.5 * old.table[edge, RADIUS] * old.table[edge, TURN]
            put3(samples, 2 * edge + 1, 0, place_in(old.table, 2 * edge + 1, half_arc))
    return Fine(nodes, radii, floors, samples, np.empty(2 * count - 3), np.empty((count - 1, 6)), first, last)


@inner
def _least_leg(nodes: Floats, least_leg: float) -> float:
    """Return how far apart corners must be: no farther than the nodes are."""
    for k in range(1, nodes.shape[0] - 2):
        least_leg = min(least_leg, unit(less(row3(nodes, k + 1, 0), row3(nodes, k, 0)))[0])
    return least_leg


@inner
def keep_ends(fine: Fine, old: Rounded, least_leg: float, ends: Floats, legs: Floats) -> None:
    """Write the straight lengths that the ends keep, those of the old curve, and their least legs."""
    start = unit(less(row3(fine.nodes, fine.first + 1, 0), row3(fine.nodes, 0, 0)))[0]
    end = unit(less(row3(fine.nodes, fine.nodes.shape[0] - 1, 0), row3(fine.nodes, fine.last, 0)))[0]
    ends[0], ends[1] = start - old.table[fine.first, CUT], end - old.table[fine.last - 1, CUT]
    legs[0], legs[1] = min(least_leg, start - EXACT), min(least_leg, end - EXACT)


@inner
def _spread_rooms(rooms: Floats, sampled: Floats) -> None:
    """Write the rooms at samples: in the middle of an edge the lesser of its nodes'."""
    for k in range(sampled.shape[0]):
        sampled[k] = rooms[(k + 1) // 2] if k % 2 == 1 else min(rooms[k // 2], rooms[k // 2 + 1])


@inner
def _chained(
    fine: Fine, least_radius: float, least_leg: float, own: NDArray[np.bool_], chain: Chain, edges: Ints
) -> int:
    """Write the chain of fewest corners, and the edges that touch it; return the number of inner corners."""
    count = fine.nodes.shape[0]
    put3(fine.lines, fine.first, 0, _end_of_straight(fine, chain, 0))
    put3(fine.lines, fine.last, 0, _end_of_straight(fine, chain, 1))
    best, before = np.empty(count - 1), np.zeros(count - 1, np.int64)
    fewest(fine, 0.5 * least_leg, least_radius, best, before)
    bends, edge = 0, fine.last
    while edge > fine.first:
        edge, bends = before[edge], bends + 1
    edges[bends] = edge = fine.last
    for k in range(bends - 1, -1, -1):
        edge = before[edge]
        edges[k] = edge
    put3(chain.corners, 0, 0, row3(fine.nodes, 0, 0))
    put3(chain.corners, bends + 1, 0, row3(fine.nodes, count - 1, 0))
    for k in range(bends):
        i, j = edges[k], edges[k + 1]
        chain.floors[k] = fine.floors[j]
        for node in range(i + 1, j):
            chain.floors[k] = min(chain.floors[k], fine.floors[node])
        chain.held[k] = j == i + 1 and own[i] and own[j]
        if j == i + 1:
            chain.radii[k] = fine.radii[j]
            put3(chain.corners, k + 1, 0, row3(fine.nodes, j, 0))
        else:
            bend = bend_between(fine, i, j, chain.floors[k], 0.5 * least_leg)
            chain.radii[k] = bend.radius
            put3(chain.corners, k + 1, 0, bend.corner)
    return bends


@inner
def _end_of_straight(fine: Fine, chain: Chain, end: int) -> tuple[float, float, float]:
    """Return where the straight piece that an end keeps goes over into the rest."""
    if end == 0:
        way = row3(fine.lines, fine.first, 3)
        return moved(row3(fine.nodes, 0, 0), chain.ends[0], way, 0.0, way)
    way = row3(fine.lines, fine.last, 3)
    return moved(row3(fine.nodes, fine.nodes.shape[0] - 1, 0), -chain.ends[1], way, 0.0, way)


@inner
def _pulled(fine: Fine, old: Rounded, new: Rounded, chain: Chain, least_leg: float, use: Use) -> float:
    """Pull a chain until its curve is within the rooms, or enough; return how far it is off at most."""
    weights, most = np.empty(fine.rooms.shape[0]), math.inf
    for k in range(weights.shape[0]):
        weights[k] = fine.rooms[k]
    pulled = Fine(
        fine.nodes, fine.radii, fine.floors, fine.samples, weights, fine.lines, fine.first, fine.last
    )
    for _ in range(PULLS):
        follow(pulled, chain, new.bends, least_leg, new.table)
        most = shares_of_room(old, new, use)
        if largest(use.shares, old.bends + 2) <= 1.0:
            break
        for k in range(weights.shape[0]):
            share = use.shares[(k + 1) // 2]
            if k % 2 == 0:
                share = max(share, use.shares[k // 2 + 1])
            weights[k] /= min(max(share, 0.5), 2.0)
    return most


@inner
def _without_straight(chain: Chain, bends: int) -> int:
    """Leave out inner corners that do not turn; return how many are left."""
    kept = 0
    for k in range(bends):
        way = unit(less(row3(chain.corners, k + 1, 0), row3(chain.corners, kept, 0)))[1]
        next_way = unit(less(row3(chain.corners, k + 2, 0), row3(chain.corners, k + 1, 0)))[1]
        outer = kept == 0 or k == bends - 1
        if 2.0 * half_turn(way, next_way) >= (IN_LINE if outer else STRAIGHT):
            put3(chain.corners, kept + 1, 0, row3(chain.corners, k + 1, 0))
            chain.radii[kept] = chain.radii[k]
            kept += 1
    put3(chain.corners, kept + 1, 0, row3(chain.corners, bends + 1, 0))
    return kept
