"""How centrelines of few corners give way: to each other, and back to where each was drawn.

Each is a chain of corners and radii near a fine polyline. Samples of the fine curve have a foot on the
chain's curve; what is asked of a foot is asked of the corners and the radius that carry it, and each chain
goes where its banded equations say, as in following.py. Only moves after which a chain can still be written
are made. A chain of which nothing is asked rests: it stays as it is, and nothing is reckoned for it.
"""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.cells import dot
from routeviz.geometry.compiled import compiled, inner
from routeviz.geometry.deviations import Rounded, Use, shares_of_room
from routeviz.geometry.distances import Point
from routeviz.geometry.following import BAND, DAMPING, Carried, Chain, carry, copy, fit_radii, move, solve
from routeviz.geometry.merging import fine_of, keep_ends
from routeviz.geometry.rounds import WIDTH, into_piece, lay_out, less, place_in, put3, row3, walked

LAZY = 0.3  # weight of staying, against 1 for a foot that is asked to move: feet of one chain are many
KEEPS = 0.5  # of its last move that a chain adds to the next, while both go the same way
MOST = 0.5  # length: that no corner goes further in one step
FIRM = 3.0  # weight of being drawn back, where there is room enough; in little room it counts for more
LITTLE = 0.2  # length: below it, rooms are little
USED = 0.7  # share of its room that a foot may use before it is drawn back
HALVED, HELD = 3, 16  # tries in which corners without room for a step take half of it; then, none; at most


class Samples(NamedTuple):
    """Samples of c fine curves, and where they stand on the chains' curves.

    Parameters
    ----------
    points : array, shape (s, 3)
        On the fine curves, as in ``tangents.Fine``.
    rooms : array, shape (s,)
        How far each may be from its foot.
    firsts : array of int, shape (c + 1,)
        Samples of curve i are ``firsts[i]`` to ``firsts[i + 1] - 1``.
    feet : array, shape (s, 3)
        Beside them on the chains.
    pieces : array of int, shape (s,)
        Of the chain's curve, in which the foot lies.
    start : array, shape (s, 3)
        Where each foot was when it was last asked what is near it.
    strayed : array, shape (s,)
        How far it has gone since.
    asked : array, shape (s, 9)
        What is asked of each foot, all in one: weights times way by way (xx, yy, zz, xy, xz, yz), and times
        way and push.
    """

    points: Floats
    rooms: Floats
    firsts: Ints
    feet: Floats
    pieces: Ints
    start: Floats
    strayed: Floats
    asked: Floats


class Chains(NamedTuple):
    """The corners of c rounded polylines, k in all, one after the other; and what they are asked to do.

    Parameters
    ----------
    corners : array, shape (k, 3)
        Ends and corners.
    radii, floors : array, shape (k,)
        At each corner, and the least that it may become; 0 at ends.
    held : array of bool, shape (k,)
        At all corners of a chain that stays as it is.
    ends, legs : array, shape (c, 2)
        As in ``following.Chain``.
    firsts : array of int, shape (c + 1,)
        Chain i has the corners ``firsts[i]`` to ``firsts[i + 1] - 1``.
    restless : array of bool, shape (c,)
        Chains that are to move.
    used : array, shape (c,)
        The largest share of a room that is used.
    table : array, shape (k, 18)
        The rows of rounds.py, from the same first on.
    going : array, shape (4 k,)
        Last moves of inner corners, from four times the same first on.
    """

    corners: Floats
    radii: Floats
    floors: Floats
    held: NDArray[np.bool_]
    ends: Floats
    legs: Floats
    firsts: Ints
    restless: NDArray[np.bool_]
    used: Floats
    table: Floats
    going: Floats


@inner
def chain_of(chains: Chains, number: int) -> Chain:
    """Return one of the chains; what is written to it is written there."""
    first, last = chains.firsts[number], chains.firsts[number + 1]
    return Chain(
        chains.corners[first:last],
        chains.radii[first + 1 : last - 1],
        chains.floors[first + 1 : last - 1],
        chains.held[first + 1 : last - 1],
        chains.ends[number],
        chains.legs[number],
    )


@inner
def can_move(chains: Chains, number: int) -> bool:
    """Return whether one of the chains has inner corners and is not held."""
    first, last = chains.firsts[number], chains.firsts[number + 1]
    return bool(last - first > 2 and not chains.held[first])


@inner
def curve_of(chains: Chains, number: int) -> Rounded:
    """Return the curve of one of the chains, as it was last laid out."""
    first, last = chains.firsts[number], chains.firsts[number + 1]
    return Rounded(chains.table[first : last - 1], last - first - 2)


@compiled
def take_samples(
    nodes: Floats, rooms: Floats, firsts: Ints, least_legs: Floats, samples: Samples
) -> tuple[Floats, Floats]:
    """Write the samples of fine polylines and their rooms; return the straight lengths and legs to keep.

    Parameters
    ----------
    nodes : array, shape (n, 3)
        Of all polylines.
    rooms : array, shape (n,)
        Near each node.
    firsts : array of int, shape (c + 1,)
        Polyline i has the nodes ``firsts[i]`` to ``firsts[i + 1] - 1``.
    least_legs : array, shape (c,)
        How far corners must be from each other.
    samples : Samples
        Their points and rooms are written.

    Returns
    -------
    ends, legs : array, shape (c, 2)
        As in ``following.Chain``.
    """
    count = firsts.shape[0] - 1
    ends, legs = np.zeros((count, 2)), np.zeros((count, 2))
    for number in range(count):
        begin, size = firsts[number], firsts[number + 1] - firsts[number]
        own, at = nodes[begin : begin + size], samples.firsts[number]
        old = Rounded(np.empty((size - 1, WIDTH)), size - 2)
        fine = fine_of(own, 1.0, old)
        for k in range(2 * size - 3):
            put3(samples.points, at + k, 0, row3(fine.samples, k, 0))
            node = begin + (k + 1) // 2
            samples.rooms[at + k] = rooms[node] if k % 2 == 1 else min(rooms[node], rooms[node + 1])
        if fine.first < fine.last:
            keep_ends(fine, old, least_legs[number], ends[number], legs[number])
    return ends, legs


@compiled
def set_feet(samples: Samples, chains: Chains) -> None:
    """Lay out the curves of chains not at rest; write their samples' feet, and how far these strayed."""
    for number in range(chains.firsts.shape[0] - 1):
        if not chains.restless[number]:
            continue
        chain, curve, piece = chain_of(chains, number), curve_of(chains, number), 0
        lay_out(chain.corners, chain.radii, curve.bends, curve.table)
        most = 0.0
        for k in range(samples.firsts[number], samples.firsts[number + 1]):
            point = row3(samples.points, k, 0)
            piece = walked(curve.table, curve.bends, piece, point)
            samples.pieces[k] = piece
            foot = place_in(curve.table, piece, into_piece(curve.table, piece, point))
            put3(samples.feet, k, 0, foot)
            went, miss = less(foot, row3(samples.start, k, 0)), less(foot, point)
            samples.strayed[k] = math.sqrt(dot(went, went))
            most = max(most, math.sqrt(dot(miss, miss)) / samples.rooms[k])
        chains.used[number] = most


@inner
def ask(samples: Samples, k: int, way: Point, push: float, weight: float) -> None:
    """Ask a foot to go so far along a way."""
    asked, pull = samples.asked, weight * push
    for axis in range(3):
        asked[k, axis] += weight * way[axis] * way[axis]
        asked[k, 6 + axis] += pull * way[axis]
    asked[k, 3] += weight * way[0] * way[1]
    asked[k, 4] += weight * way[0] * way[2]
    asked[k, 5] += weight * way[1] * way[2]


@inner
def _add_equations(samples: Samples, chains: Chains, number: int, matrix: Floats, right: Floats) -> None:
    """Write the equations of a chain from what is asked of its feet; nothing is asked of them any more."""
    matrix[:], right[:] = 0.0, 0.0
    carried = Carried(np.empty((10, 3)), np.empty(10, np.int64))
    chain, curve, asked = chain_of(chains, number), curve_of(chains, number), samples.asked
    for k in range(samples.firsts[number], samples.firsts[number + 1]):
        xx, yy, zz, xy, xz, yz = asked[k, 0], asked[k, 1], asked[k, 2], asked[k, 3], asked[k, 4], asked[k, 5]
        if xx + yy + zz == 0.0:
            continue
        count = carry(chain, curve, samples.pieces[k], row3(samples.feet, k, 0), carried)
        pull = row3(asked, k, 6)
        asked[k, :] = 0.0
        for a in range(count):
            x, y, z = row3(carried.columns, a, 0)
            row = carried.places[a]
            right[row] += x * pull[0] + y * pull[1] + z * pull[2]
            seen = (xx * x + xy * y + xz * z, xy * x + yy * y + yz * z, xz * x + yz * y + zz * z)
            for b in range(count):
                back = row - carried.places[b]
                if back >= 0:
                    matrix[row, back] += dot(row3(carried.columns, b, 0), seen)


@compiled
def draw_back(samples: Samples, chains: Chains) -> None:
    """Ask feet of chains not at rest to come nearer to their samples where they are far from them."""
    for number in range(chains.firsts.shape[0] - 1):
        if not chains.restless[number] or chains.used[number] <= USED:
            continue
        for k in range(samples.firsts[number], samples.firsts[number + 1]):
            room = samples.rooms[k]
            miss = less(row3(samples.points, k, 0), row3(samples.feet, k, 0))
            square = dot(miss, miss)
            if square > USED * room * USED * room:
                far = math.sqrt(square)
                way = (miss[0] / far, miss[1] / far, miss[2] / far)
                ask(samples, k, way, far - USED * room, FIRM * max(1.0, (LITTLE / room) ** 2))


@compiled
def give_way(samples: Samples, chains: Chains, least_legs: Floats) -> None:
    """Move every chain that is not at rest as it is asked to, as far as it can then still be written.

    Parameters
    ----------
    samples : Samples
        What is asked of their feet is done and forgotten.
    chains : Chains
        Moved.
    least_legs : array, shape (c,)
        How far corners must be from each other.
    """
    for number in range(chains.firsts.shape[0] - 1):
        first, last = chains.firsts[number], chains.firsts[number + 1]
        before = chains.going[4 * first : 4 * (last - 2)]
        if not chains.restless[number]:
            before[:] = 0.0
            continue
        steps, matrix = np.empty(before.shape[0]), np.empty((before.shape[0], BAND))
        _add_equations(samples, chains, number, matrix, steps)
        for k in range(steps.shape[0]):
            matrix[k, 0] += LAZY
        solve(matrix, steps, DAMPING)
        _go_on(steps, before)
        _step(chain_of(chains, number), curve_of(chains, number), least_legs[number], steps)
        for k in range(steps.shape[0]):
            before[k] = steps[k]


@inner
def _go_on(steps: Floats, before: Floats) -> None:
    """Add to a chain's steps what it keeps of its last ones; none goes too far."""
    along, most = 0.0, MOST
    for k in range(steps.shape[0]):
        along += steps[k] * before[k]
    for k in range(steps.shape[0]):
        steps[k] += KEEPS * before[k] if along > 0.0 else 0.0
        most = max(most, abs(steps[k]))
    for k in range(steps.shape[0]):
        steps[k] *= MOST / most


@inner
def _step(chain: Chain, curve: Rounded, least_leg: float, steps: Floats) -> None:
    """Take a step, and less of it about corners that have no room for it."""
    corners, radii = chain.corners.copy(), chain.radii.copy()
    for trial in range(HELD + 1):
        move(chain, curve.bends, curve.table, steps)
        stuck = fit_radii(chain, curve.bends, least_leg)
        if stuck < 0:
            return
        copy(corners, radii, chain.corners, chain.radii)
        share = 0.5 if trial < HALVED else 0.0
        for k in range(4 * max(stuck - 1, 0), 4 * min(stuck + 2, curve.bends)):
            steps[k] *= share
    for k in range(steps.shape[0]):
        steps[k] = 0.0


@compiled
def fill_shares(nodes: Floats, rooms: Floats, firsts: Ints, chains: Chains, shares: Floats) -> None:
    """Write at each node of the fine polylines what share of its room its chain uses: proven.

    Parameters
    ----------
    nodes, rooms, firsts
        As for ``take_samples``.
    chains : Chains
        As their feet were last set.
    shares : array, shape (n,)
        As in ``deviations.Use``.
    """
    for number in range(firsts.shape[0] - 1):
        begin, end = firsts[number], firsts[number + 1]
        old = Rounded(np.empty((end - begin - 1, WIDTH)), end - begin - 2)
        fine_of(nodes[begin:end], 1.0, old)
        shares_of_room(old, curve_of(chains, number), Use(rooms[begin:end], shares[begin:end]))
