"""Which way does each tube take, all chosen at once, so that passages hold what goes through them?

Knows lengths and numbers only: no shapes, no places. What a way and a passage's room are is in ways.py, how
the choice is solved in programmes.py, the proof that not all can pass in shortages.py. How the chosen ways
are told as runs is in runs.py.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from routeviz.geometry.arrays import Floats, Ints, check_shape
from routeviz.planning.programmes import (
    SLIGHT,
    Answer,
    Terms,
    changes,
    least_cost,
    loads,
)
from routeviz.planning.shortages import Shortage, shortages_of
from routeviz.planning.ways import LEFT_OUT, Columns, Room, Way, columns_of

# From which share of the packing found on each further tube costs how many millimetres: a passage that is
# nearly full is hard to lay. From judgement, no source: a tube goes a finger's breadth out of its way for the
# first, a hand's breadth for the second.
FULLNESS = ((0.8, 20.0), (0.9, 80.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Allocation:
    """A way for every tube.

    Parameters
    ----------
    choices : tuple of int
        For each tube which of its ways; -1 for a tube left out.
    cost : float
        What the programme made least, in millimetres: the ways' own costs, ``change_mm`` for each change, and
        what fullness costs.
    bound : float
        Which no choice undercuts that leaves as few out and fills passages as little beyond what was found.
    own : float
        The ways' own costs alone.
    changes : int
        How often consecutive tubes of a chain take different passages.
    loads : tuple of float
        What goes through each passage, in largest tubes.
    beyond_found : tuple of int
        Passages that get more than a packing was found for, since tubes would be left out otherwise.
    shortages : tuple of Shortage
        Proofs, where tubes that have ways were left out; none where only sizes that do not add up are why.
    """

    choices: tuple[int, ...]
    cost: float
    bound: float
    own: float
    changes: int
    loads: tuple[float, ...]
    beyond_found: tuple[int, ...]
    shortages: tuple[Shortage, ...]


def allocate(
    ways: Sequence[Sequence[Way]],
    rooms: Sequence[Room],
    chains: Sequence[Sequence[int]],
    *,
    change_mm: float,
    sizes: ArrayLike | None = None,
    fullness: Sequence[tuple[float, float]] = FULLNESS,
) -> Allocation:
    """Return a way for every tube so that all together cost least, within a hundredth of a bound.

    No passage gets more than was found to fit or than its mark. Only where tubes would be left out, passages
    get more, as little as possible, up to what is not proven impossible; and only where that is not enough,
    tubes are left out, as few as possible.

    The hundredth may be missed, by about as much again, where a change costs half as much as a way;
    ``bound`` shows it. tests/benchmarks/test_allocation.py prints by how much, and the time it takes.

    Parameters
    ----------
    ways : sequence of sequence of Way
        For each tube; a tube without any is left out and passed over in its chain.
    rooms : sequence of Room
        What each passage holds, counted in largest tubes.
    chains : sequence of sequence of int
        Tubes in the order of their nipples, none twice in one chain.
    change_mm : float
        What it costs that consecutive tubes of a chain take different passages, >= 0. A tube left out differs
        from none.
    sizes : array, shape (n,), optional
        What each tube takes of a passage, in largest tubes, above 0; all 1 where not given.
    fullness : sequence of (float, float)
        From which share of a packing found on each further largest tube costs how many millimetres; both
        rising.

    Returns
    -------
    allocation : Allocation
        The same for the same input.

    Raises
    ------
    ValueError
        A number out of range, an index that is none.
    """
    weights = np.ones(len(ways)) if sizes is None else np.asarray(sizes, dtype=np.float64)
    _demand_sound(ways, rooms, chains, weights)
    _demand_rooms(rooms)
    _demand_prices(change_mm, fullness)
    terms = Terms(
        limits=np.array([float(room.sure) for room in rooms]),
        found=np.array([float(room.found) for room in rooms]),
        kinks=tuple(fullness),
        pairs=_pairs(ways, chains),
        change=change_mm,
    )
    columns = columns_of(ways, len(rooms), weights, may_be_left_out=False)
    if len(columns.owners) == 0:
        return _told(ways, rooms, weights, columns, terms, Answer(chosen=_NO_INTS, cost=0.0, bound=0.0))
    answer = least_cost(columns, terms)
    if answer is None:
        columns = columns_of(ways, len(rooms), weights, may_be_left_out=True)
        terms, known = _as_far_as_they_go(columns, terms, rooms, weights)
        answer = least_cost(columns, terms, known)
        assert answer is not None, "what is known keeps the terms"
    return _told(ways, rooms, weights, columns, terms, answer)


_NO_INTS: Ints = np.empty(0, dtype=np.int64)


def _as_far_as_they_go(
    columns: Columns, terms: Terms, rooms: Sequence[Room], sizes: Floats
) -> tuple[Terms, Ints]:
    """Return terms that can be kept: fewest left out, then least beyond what was found; and how."""
    wide = replace(
        terms,
        limits=np.array([float(room.limit) for room in rooms]),
        kinks=(),
        change=0.0,
        left_out=len(sizes),
    )
    leaving = (columns.labels == LEFT_OUT).astype(np.float64)
    everyone_out = np.flatnonzero(leaving)
    fewest = least_cost(columns.priced(leaving), wide, everyone_out, costs_are_whole=True)
    assert fewest is not None, "all may be left out"
    wide = replace(wide, left_out=round(fewest.cost), kinks=((1.0, 1.0),))
    equal = bool((sizes == 1.0).all())
    free = columns.priced(np.zeros(len(leaving)))
    least = least_cost(free, wide, fewest.chosen, costs_are_whole=equal)
    assert least is not None, "what leaves the fewest out is one"
    known = replace(terms, limits=wide.limits, left_out=wide.left_out, beyond=least.cost + SLIGHT)
    return known, least.chosen


def _told(
    ways: Sequence[Sequence[Way]],
    rooms: Sequence[Room],
    sizes: Floats,
    columns: Columns,
    terms: Terms,
    answer: Answer,
) -> Allocation:
    choices = np.full(len(ways), LEFT_OUT)
    choices[columns.owners[answer.chosen]] = columns.picks[answer.chosen]
    missing = any(own and pick == LEFT_OUT for own, pick in zip(ways, choices.tolist(), strict=True))
    filled = loads(columns, answer.chosen)
    return Allocation(
        choices=tuple(choices.tolist()),
        cost=answer.cost,
        bound=answer.bound,
        own=float(np.sum(columns.costs[answer.chosen])),
        changes=changes(columns, terms.pairs, answer.chosen),
        loads=tuple(filled.tolist()),
        beyond_found=tuple(np.flatnonzero(filled > terms.found + SLIGHT).tolist()),
        shortages=shortages_of(ways, rooms, sizes) if missing else (),
    )


def _pairs(ways: Sequence[Sequence[Way]], chains: Sequence[Sequence[int]]) -> Ints:
    """Return consecutive tubes of chains, those that have a way, shape (q, 2)."""
    rows = [pair for chain in chains for pair in pairwise(tube for tube in chain if ways[tube])]
    return np.array(rows, dtype=np.int64).reshape(-1, 2)


def _demand_sound(
    ways: Sequence[Sequence[Way]], rooms: Sequence[Room], chains: Sequence[Sequence[int]], sizes: Floats
) -> None:
    """Raise ValueError for what cannot be chosen from."""
    check_shape("sizes", sizes, (len(ways),))
    if not (sizes > 0.0).all():
        raise ValueError("sizes: above 0 wanted")
    for tube, own in enumerate(ways):
        for way in own:
            if not 0.0 <= way.cost < np.inf:
                raise ValueError(f"ways: tube {tube} has one of cost {way.cost}, 0 or more wanted")
            if not all(0 <= passage < len(rooms) for passage in way.passages):
                raise ValueError(
                    f"ways: tube {tube} has one through {way.passages}, of {len(rooms)} passages"
                )
    for chain in chains:
        if len(set(chain)) < len(chain) or not {*chain} <= {*range(len(ways))}:
            raise ValueError(f"chains: tubes below {len(ways)} wanted, none twice")


def _demand_rooms(rooms: Sequence[Room]) -> None:
    for room in rooms:
        if not 0 <= room.found <= room.bound or (room.most is not None and room.most < 0):
            raise ValueError(f"rooms: {room.name}: 0 <= found <= bound and most >= 0 wanted")


def _demand_prices(change_mm: float, fullness: Sequence[tuple[float, float]]) -> None:
    """Raise ValueError for prices that are none; fullness must not become cheaper."""
    if not (np.isfinite(change_mm) and change_mm >= 0.0):
        raise ValueError(f"change_mm: 0 or more wanted, {change_mm} given")
    steps = [(0.0, 0.0), *fullness]
    if not all(before[0] < after[0] and before[1] <= after[1] for before, after in pairwise(steps)):
        raise ValueError(f"fullness: shares above 0 and prices, both rising, wanted, {tuple(fullness)} given")
