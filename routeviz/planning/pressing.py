"""Tubes of few corners that are too near each other are asked to part; what stands still beside strings.

How they then move is in geometry/yielding.py; which edges are near each other, in adjacency.py.
"""

import numpy as np

from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.compiled import compiled
from routeviz.geometry.rounds import row3
from routeviz.geometry.yielding import Chains, Samples, ask, can_move
from routeviz.planning.adjacency import Watched, closest, near_pairs
from routeviz.planning.strings import Strings

PAIRS = 100_000  # pairs of edges to begin with


def pairs_within(strings: Strings, reach: float) -> tuple[Ints, Floats]:
    """Return the pairs of edges of different strings within reach, and how far they are apart.

    Parameters
    ----------
    strings : Strings
        All.
    reach : float
        Between walls.

    Returns
    -------
    pairs : array of int, shape (m, 2)
        As from ``adjacency.near_pairs``.
    offs : array, shape (m,)
        Of the centrelines.
    """
    total, room = len(strings.points), PAIRS
    while True:
        sought = Watched(
            pairs=np.zeros((room, 2), dtype=np.int64),
            spare=np.zeros(room),
            start=np.zeros((total, 3)),
            strayed=np.full(total, np.inf),
        )
        count = near_pairs(strings, np.zeros(total), reach, sought, 0, 0.0)
        if count <= room:
            pairs = sought.pairs[:count]
            return pairs, sought.spare[:count] + strings.radii[strings.owners[pairs]].sum(axis=1)
        room = 2 * count


@compiled
def press(
    strings: Strings, pairs: Ints, gap: float, samples: Samples, chains: Chains, lacks: Floats
) -> float:
    """Ask feet that are too near each other to part, each by half; return the least distance of two walls.

    Parameters
    ----------
    strings : Strings
        Of feet, which are their points.
    pairs : array of int, shape (m, 2)
        From ``pairs_within``.
    gap : float
        What is to be free between two walls.
    samples, chains : Samples, Chains
        Asked; beside a tube that cannot move the other goes all the way.
    lacks : array, shape (s,)
        What is lacking at each foot; written.
    """  # noqa: DOC201
    owners, radii, least = strings.owners, strings.radii, 1e9
    lacks[:] = 0.0
    for n in range(pairs.shape[0]):
        x, y, z, off, s, t = closest(strings.points, pairs[n, 0], pairs[n, 1])
        wall = off - radii[owners[pairs[n, 0]]] - radii[owners[pairs[n, 1]]]
        least, lack = min(least, wall), gap - wall
        if lack <= 0.0 or off < 1e-6:
            continue
        for side in range(2):
            edge, other = pairs[n, side], owners[pairs[n, 1 - side]]
            at = edge + (1 if (s if side == 0 else t) > 0.5 else 0)
            lacks[at] = max(lacks[at], lack)
            if can_move(chains, owners[edge]):
                push = (0.5 if can_move(chains, other) else 1.0) * (lack if side == 0 else -lack)
                foot = (samples.pieces[at], row3(samples.feet, at, 0))
                ask(chains, owners[edge], foot, (x / off, y / off, z / off), push, 1.0)
    return least


@compiled
def fill_still(strings: Strings, count: int, pairs: Ints, offs: Floats, rooms: Floats) -> None:
    """Write what is free between each of the first points and strings that stand still, which come after.

    Parameters
    ----------
    strings : Strings
        All.
    count : int
        Points that are not of strings that stand still.
    pairs, offs
        From ``pairs_within``.
    rooms : array, shape (count,)
        Large where none is near.
    """
    owners, radii = strings.owners, strings.radii
    rooms[:] = 1e3
    for n in range(pairs.shape[0]):
        e, f = min(pairs[n, 0], pairs[n, 1]), max(pairs[n, 0], pairs[n, 1])
        if e < count <= f:
            off = offs[n] - radii[owners[e]] - radii[owners[f]]
            rooms[e], rooms[e + 1] = min(rooms[e], off), min(rooms[e + 1], off)
