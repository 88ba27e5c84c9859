"""Tubes of few corners that are too near each other are asked to part; what stands still beside strings.

How they then move is in geometry/yielding.py; which edges are near each other, in adjacency.py.
"""

from dataclasses import dataclass

import numpy as np

from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.compiled import compiled
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


@dataclass(slots=True, kw_only=True)
class Near:
    """Pairs of edges that may come too near each other.

    Parameters
    ----------
    watched : Watched
        The pairs, with what is free beyond what is wanted.
    count : int
        How many there are.
    close : array of int, shape (m,)
        Room for those that are too near each other.
    """

    watched: Watched
    count: int
    close: Ints


def near_of(samples: Samples, room: int = PAIRS) -> Near:
    """Return room for pairs of feet, none of which was sought yet."""
    samples.strayed[:] = np.inf
    pairs = np.zeros((room, 2), dtype=np.int64)
    watched = Watched(pairs=pairs, spare=np.zeros(room), start=samples.start, strayed=samples.strayed)
    return Near(watched=watched, count=0, close=np.zeros(room, np.int64))


def seek(strings: Strings, samples: Samples, near: Near, limits: tuple[float, float, float]) -> Near:
    """Return which pairs of feet are within reach, sought anew for those that strayed.

    Parameters
    ----------
    strings : Strings
        Of feet, which are their points.
    samples : Samples
        The feet.
    near : Near
        As found before; not to be used any more.
    limits : tuple of float
        What is to be free between walls, how far apart they are looked at, and how far feet may stray.

    Returns
    -------
    near : Near
        As it is now.
    """
    gap, reach, far = limits
    gaps = np.full(len(strings.points), gap)
    near.count = near_pairs(strings, gaps, reach, near.watched, near.count, far)
    if near.count > len(near.close):
        return seek(strings, samples, near_of(samples, 2 * near.count), limits)
    return near


@compiled
def feel(
    strings: Strings,
    found: tuple[Watched, int, Ints],
    limits: tuple[float, float],
    chains: Chains,
    lacks: Floats,
) -> int:
    """Write what is lacking at feet and which chains are not at rest; return how many pairs are too near.

    Parameters
    ----------
    strings : Strings
        Of feet, which are their points.
    found : tuple
        Of ``Near``; those too near are written.
    limits : tuple of float
        What is to be free between two walls, and how much of it may lack before a chain moves.
    chains : Chains
        Where they are.
    lacks : array, shape (s,)
        Written; 0 where nothing is lacking.

    Returns
    -------
    count : int
        Pairs too near.
    """
    owners, radii, points, close, count = strings.owners, strings.radii, strings.points, found[2], 0
    pairs, spare, gone = found[0].pairs, found[0].spare, found[0].strayed.copy()
    lacks[:] = 0.0
    for e in range(gone.shape[0] - 1):
        gone[e] = max(gone[e], gone[e + 1])
    for number in range(chains.used.shape[0]):
        chains.restless[number] = chains.used[number] > 1.0 and can_move(chains, number)
    for n in range(found[1]):
        e, f = pairs[n, 0], pairs[n, 1]
        if spare[n] >= gone[e] + gone[f]:
            continue
        _, _, _, off, s, t = closest(points, e, f)
        lack = limits[0] - (off - radii[owners[e]] - radii[owners[f]])
        if lack <= 0.0 or off < 1e-6:
            continue
        close[count] = n
        count += 1
        at, other = e + (1 if s > 0.5 else 0), f + (1 if t > 0.5 else 0)
        lacks[at], lacks[other] = max(lacks[at], lack), max(lacks[other], lack)
        if lack > limits[1]:
            for owner in (owners[e], owners[f]):
                chains.restless[owner] = chains.restless[owner] or can_move(chains, owner)
    return count


@compiled
def press(strings: Strings, pairs: Ints, close: Ints, gap: float, samples: Samples, chains: Chains) -> None:
    """Ask feet that are too near each other to part, each by half; beside one that stays, all the way.

    Parameters
    ----------
    strings, samples, chains
        As last felt.
    pairs : array of int, shape (m, 2)
        All.
    close : array of int, shape (k,)
        Those of them that are too near.
    gap : float
        What is to be free between two walls.
    """
    owners, radii, points = strings.owners, strings.radii, strings.points
    for n in close:
        e, f = pairs[n, 0], pairs[n, 1]
        if not (chains.restless[owners[e]] or chains.restless[owners[f]]):
            continue
        x, y, z, off, s, t = closest(points, e, f)
        lack = gap - (off - radii[owners[e]] - radii[owners[f]])
        way = (x / off, y / off, z / off)
        share = 0.5 if can_move(chains, owners[e]) and can_move(chains, owners[f]) else 1.0
        if chains.restless[owners[e]]:
            ask(samples, e + (1 if s > 0.5 else 0), way, share * lack, 1.0)
        if chains.restless[owners[f]]:
            ask(samples, f + (1 if t > 0.5 else 0), way, -share * lack, 1.0)


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
