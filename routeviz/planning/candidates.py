"""Which passages could each tube go through, in which order, and how long would it be that way?

How long ways are is measured in way_lengths.py; among all ways is chosen at once in allocation.py.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from routeviz.cabinet.passages import Passage
from routeviz.geometry.arrays import Floats, Ints, frozen_ints
from routeviz.planning.freespace import Grid
from routeviz.planning.mouths import Chain, Mouths, entered, left, room_at
from routeviz.planning.stations import Stations
from routeviz.planning.way_lengths import along, folds, way_lengths
from routeviz.planning.ways import Way

MOST_PASSAGES = 4  # one after the other on one way, unless more are pinned: more have not been seen in a case
MOST_LOOPS = 2  # passages on one way that join a room to itself: a gap before a board, and an opening in it
MOST_WAYS = 400  # between two rooms that are looked at: the shortest chains of passages first
MOST_GROWN = 20 * MOST_WAYS  # chains that are made longer at a time: most of them end in another room

Numbers = tuple[int, ...]
Grown = tuple[int, Chain, tuple[int, ...]]  # where a chain leads to, itself, and the rooms that it has seen


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidates:
    """What each of n tubes could do.

    Parameters
    ----------
    ways : tuple of tuple of Way
        By tube; none where no chain of passages leads from its start to its end.
    senses : tuple of tuple of tuple of int
        By tube and way: +1 where a passage is gone through along its direction, else -1.
    rooms : array of int, shape (n, 2)
        The rooms of both ends; 0 where an end is walled in.
    """

    ways: tuple[tuple[Way, ...], ...]
    senses: tuple[tuple[tuple[int, ...], ...], ...]
    rooms: Ints


def candidates_of(stations: Stations, passages: Sequence[Passage], mouths: Mouths, grid: Grid) -> Candidates:
    """Return what each tube could do, with the length of each way.

    Parameters
    ----------
    stations : Stations
        The tubes.
    passages, mouths
        What lies between.
    grid : Grid
        Free space with the passages closed.

    Returns
    -------
    candidates : Candidates
        Ways that leave out a passage that the scene names for the tube are not among them.
    """
    ends = free_ends(stations)
    rooms = np.array([[room_at(grid, point) for point in both] for both in ends], dtype=np.int64)
    rooms = rooms.reshape(-1, 2)
    chains = _chains_by_tube(stations, passages, mouths, rooms)
    lengths = way_lengths(ends, rooms, chains, mouths, grid)
    ways: list[tuple[Way, ...]] = [()] * len(chains)
    senses: list[tuple[tuple[int, ...], ...]] = [()] * len(chains)
    for own, tubes in _alike(chains):
        costs = [along(lengths, one, tubes) + folds(one, stations.bends[tubes], passages) for one in own]
        told = [(tuple(passage for passage, _ in one), tuple(sense for _, sense in one)) for one in own]
        for tube, priced in zip(tubes.tolist(), np.array(costs).reshape(-1, len(tubes)).T, strict=True):
            found = _best_ways(told, priced.tolist())
            ways[tube], senses[tube] = tuple(way for way, _ in found), tuple(sense for _, sense in found)
    return Candidates(ways=tuple(ways), senses=tuple(senses), rooms=frozen_ints(rooms))


def _chains_by_tube(
    stations: Stations, passages: Sequence[Passage], mouths: Mouths, rooms: Ints
) -> list[list[Chain]]:
    """Return each tube's chains; tubes of the same rooms and pins share one list."""
    number = {passage.name: i for i, passage in enumerate(passages)}
    known: dict[tuple[int, int, tuple[int, ...]], list[Chain]] = {}
    found = []
    for tube, (begin, end) in enumerate(rooms.tolist()):
        key = begin, end, tuple(number[name] for name in stations.pinned[tube])
        if key not in known:
            known[key] = chains_of(begin, end, mouths.rooms, key[2])
        found.append(known[key])
    return found


def _alike(chains: Sequence[list[Chain]]) -> list[tuple[list[Chain], Ints]]:
    """Return each list of chains once, with the tubes that share it."""
    shared: dict[int, list[int]] = {}
    for tube, own in enumerate(chains):
        shared.setdefault(id(own), []).append(tube)
    return [(chains[tubes[0]], frozen_ints(tubes)) for tubes in shared.values()]


def free_ends(stations: Stations) -> Floats:
    """Return (n, 2, 3): where each tube has left its nipple and can turn."""
    return np.asarray(stations.tips + stations.ways * stations.bends[:, None, None])


def _best_ways(told: Sequence[tuple[Numbers, Numbers]], costs: Sequence[float]) -> list[tuple[Way, Numbers]]:
    """Return ways that can be gone, each set of passages in an order once, at its least cost, with senses."""
    best: dict[Numbers, tuple[float, Numbers]] = {}
    for cost, (through, senses) in zip(costs, told, strict=True):
        if math.isfinite(cost) and (through not in best or cost < best[through][0]):
            best[through] = cost, senses
    return [(Way(passages=through, cost=cost), senses) for through, (cost, senses) in best.items()]


def chains_of(begin: int, end: int, rooms: Ints, pinned: Sequence[int]) -> list[Chain]:
    """Return chains of passages from a room to a room, short ones first, each passage once at most.

    A room is left once. Only passages that join a room to itself, and pinned ones, lead back into one that
    was seen: of the former two at most.

    Parameters
    ----------
    begin, end : int
        The rooms; 0 for none, to which no chain leads.
    rooms : array of int, shape (p, 2)
        Which rooms each passage joins.
    pinned : sequence of int
        Passages that must be gone through, in this order.

    Returns
    -------
    chains : list of tuple of (int, int)
        Passages, and the sense in which each is gone through; those that are tried are bounded.
    """
    found: list[Chain] = []
    grown: list[Grown] = [(begin, (), (begin,))] if begin and end else []
    for _ in range(max(MOST_PASSAGES, len(pinned)) + 1):
        found += [chain for room, chain, _ in grown if room == end and _keeps([p for p, _ in chain], pinned)]
        if len(found) >= MOST_WAYS:
            break
        longer = [one for chain in grown for one in _longer(chain, rooms, pinned)]
        grown = longer[:MOST_GROWN]
    return found[:MOST_WAYS]


def _longer(grown: Grown, rooms: Ints, pinned: Sequence[int]) -> Iterator[Grown]:
    """Yield a chain with one more passage, for each that may come next."""
    room, chain, seen = grown
    used = [passage for passage, _ in chain]
    loops = sum(rooms[passage, 0] == rooms[passage, 1] for passage in used)
    for passage in range(len(rooms)):
        for sense in (1, -1):
            other = int(rooms[passage, left(sense)])
            if passage in used or rooms[passage, entered(sense)] != room or other == 0:
                continue
            if other not in seen or passage in pinned or (other == room and loops < MOST_LOOPS):
                yield other, (*chain, (passage, sense)), (*seen, other)


def _keeps(used: Sequence[int], pinned: Sequence[int]) -> bool:
    """Return whether the pinned passages are gone through in their order."""
    rest = iter(used)
    return all(any(one == other for other in rest) for one in pinned)
