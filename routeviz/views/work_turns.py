"""In which order are tubes laid, so that few leave the row and none has to be threaded behind one already in?

Where each of several lies behind the next in a ring, no order helps: as few as can be told are held aside.
"""

from bisect import bisect_left
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from heapq import heapify, heappop, heappush

import numpy as np
from numpy.typing import NDArray
from scipy.sparse.csgraph import connected_components

from routeviz.geometry.arrays import Ints
from routeviz.views.work_overlaps import Overlaps, without_slack

# Pairs of tubes: the first lies behind the second, so it is laid before it.
Before = frozenset[tuple[int, int]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Turns:
    """An order.

    Parameters
    ----------
    order : tuple of int
        Each tube once.
    row : tuple of int
        In which order they would be laid if nothing were in the way: run by run along the row.
    aside : tuple of int
        Tubes that are held aside because no order helps.
    moved : frozenset of int
        The fewest that have left the row.
    """

    order: tuple[int, ...]
    row: tuple[int, ...]
    aside: tuple[int, ...]
    moved: frozenset[int]


def behind(found: Overlaps) -> tuple[Before, Before, frozenset[tuple[int, int]]]:
    """Return which tubes lie behind which, and which two go round each other.

    Parameters
    ----------
    found : dict
        From ``overlaps``, seen from where the worker stands.

    Returns
    -------
    wholly : frozenset
        Pairs of tubes; the first lies behind the second wherever one of them covers the other.
    mainly : frozenset
        Pairs of which this is so only once both are drawn straight past each other.
    winding : frozenset
        Pairs, the lower index first, of which even then each is behind the other somewhere.
    """
    wholly, mainly, winding = set(), set(), set()
    for (one, other), places in found.items():
        crossings = [place for place in places if place.turn]
        sides = {place.farther_mm > 0 for place in places}
        left = {place.farther_mm > 0 for place in without_slack(crossings)}
        if len(sides) == 1:
            wholly.add((one, other) if sides == {True} else (other, one))
        elif len(left) == 1:
            mainly.add((one, other) if left == {True} else (other, one))
        elif left:
            winding.add((one, other))
    return frozenset(wholly), frozenset(mainly), frozenset(winding)


def turns(runs: Sequence[Sequence[int]], wholly: Before, mainly: Before = frozenset()) -> Turns:
    """Return in which order to lay the tubes of some runs.

    Runs follow each other as they are given, save where a later one lies behind; a run goes along its row
    from the first tube to the last, or the other way where fewer leave the row so.

    Parameters
    ----------
    runs : sequence of sequence of int
        Tubes in the order of their nipples.
    wholly, mainly : frozenset
        From ``behind``; pairs of other tubes do not count. For the sake of the latter nothing is held aside.

    Returns
    -------
    turns : Turns
        The same for the same input.
    """
    known = {tube for run in runs for tube in run}
    hard, soft = (
        {(one, other) for one, other in pairs if one in known and other in known}
        for pairs in (wholly, mainly)
    )
    behind_it = _matrix(hard, max(known, default=0) + 1)
    rings = _rings(np.array(sorted(known), np.int64), behind_it)
    aside = {tube for ring in rings for tube in _aside(ring, behind_it)}
    on = _ring_of(rings)
    kept = {(a, b) for a, b in hard if b not in aside or on.get(a, a) != on.get(b, b)}
    # Pairs from one ring to another close no further ring.
    on = _ring_of(_rings(np.array(sorted(known), np.int64), _matrix(hard | soft, len(behind_it))))
    kept |= {(a, b) for a, b in soft if on.get(a, a) != on.get(b, b)}
    row = tuple(tube for run in _in_turn(runs, kept) for tube in _along(run, kept))
    order = _laid(row, kept)
    return Turns(order=order, row=row, aside=tuple(sorted(aside)), moved=_moved(order, row))


def _matrix(pairs: Collection[tuple[int, int]], count: int) -> NDArray[np.bool_]:
    """Return a table that is true where the row's tube lies behind the column's."""
    table = np.zeros((count, count), dtype=np.bool_)
    table[tuple(np.array(sorted(pairs), np.int64).reshape(-1, 2).T)] = True
    return table


def _ring_of(rings: Iterable[Ints]) -> dict[int, int]:
    """Return for each tube on a ring one that stands for it, below zero."""
    return {tube: -1 - int(ring[0]) for ring in rings for tube in ring.tolist()}


def _in_turn(runs: Sequence[Sequence[int]], pairs: Collection[tuple[int, int]]) -> list[Sequence[int]]:
    """Return runs in the order in which fewest tubes lie behind a run that is in already."""
    owner = {tube: k for k, run in enumerate(runs) for tube in run}
    counts = np.zeros((len(runs), len(runs)), np.int64)
    for one, other in pairs:
        counts[owner[one], owner[other]] += owner[one] != owner[other]
    left = list(range(len(runs)))
    order = []
    while left:
        order.append(min(left, key=lambda k: (int(counts[left, k].sum()), k)))
        left.remove(order[-1])
    return [runs[k] for k in order]


def _along(run: Sequence[int], pairs: Collection[tuple[int, int]]) -> Sequence[int]:
    """Return a run in the direction in which fewer of its tubes leave the row."""
    inside = set(run)
    own = {(one, other) for one, other in pairs if one in inside and other in inside}
    ways = tuple(run), tuple(reversed(run))
    return min(ways, key=lambda way: len(_moved(_laid(way, own), way)))


def _laid(row: Sequence[int], pairs: Iterable[tuple[int, int]]) -> tuple[int, ...]:
    """Return the row, each tube as soon as all that lie behind it are in; the pairs form no ring."""
    place = {tube: k for k, tube in enumerate(row)}
    waits = dict.fromkeys(row, 0)
    next_ones: dict[int, list[int]] = {tube: [] for tube in row}
    for one, other in pairs:
        waits[other] += 1
        next_ones[one].append(other)
    ready = [place[tube] for tube in row if not waits[tube]]
    heapify(ready)
    order = []
    while ready:
        order.append(row[heappop(ready)])
        for other in next_ones[order[-1]]:
            waits[other] -= 1
            if not waits[other]:
                heappush(ready, place[other])
    return tuple(order)


def _moved(order: Sequence[int], row: Sequence[int]) -> frozenset[int]:
    """Return the fewest tubes without which the order is the row: what no longest rising row holds."""
    place = {tube: k for k, tube in enumerate(row)}
    tails: list[int] = []
    last: list[int] = []  # the tube at each tail
    earlier: dict[int, int | None] = {}
    for tube in order:
        at = bisect_left(tails, place[tube])
        tails[at : at + 1] = [place[tube]]
        last[at : at + 1] = [tube]
        earlier[tube] = last[at - 1] if at else None
    stays: set[int] = set()
    tube_on: int | None = last[-1] if last else None
    while tube_on is not None:
        stays.add(tube_on)
        tube_on = earlier[tube_on]
    return frozenset(order) - stays


def _aside(ring: Ints, behind_it: NDArray[np.bool_]) -> list[int]:
    """Return tubes without which no ring is left among some, and none of which can be spared.

    Which set is the smallest is hard to tell; of each ring the tube goes that has most behind it times most
    before it, then those come back without which there is no ring either.
    """  # noqa: DOC201
    taken: list[int] = []
    rings = [ring]
    while rings:
        left = rings.pop()
        table = behind_it[np.ix_(left, left)]
        worst = int(np.argmax(table.sum(axis=0) * table.sum(axis=1)))
        taken.append(int(left[worst]))
        rings += _rings(np.delete(left, worst), behind_it)
    for tube in tuple(taken):
        spared = [other for other in taken if other != tube]
        if not _rings(ring[~np.isin(ring, spared)], behind_it):
            taken = spared
    return taken


def _rings(tubes: Ints, behind_it: NDArray[np.bool_]) -> list[Ints]:
    """Return the sets of two or more tubes of which each lies behind each, if only by way of others."""
    table = behind_it[np.ix_(tubes, tubes)]
    _, labels = connected_components(table, directed=True, connection="strong")
    order = np.argsort(labels, kind="stable")
    sets = np.split(tubes[order], np.nonzero(np.diff(labels[order]))[0] + 1)
    return [ring for ring in sets if len(ring) > 1]
