"""Why can some tubes not pass, whatever way they take? Passages that together hold fewer than must use them.

A cut is a set of passages; it bars every tube each of whose ways goes through one of them. The cut wanted is
the one by which the sizes of the tubes it bars exceed what its passages hold by most. Which tubes pass is
chosen in allocation.py.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array
from scipy.sparse.csgraph import connected_components

from routeviz.geometry.arrays import Floats
from routeviz.planning.ways import Room, Way

SLIGHT = 1e-6  # sums of sizes that differ by less are equal
# Added to what a passage holds, so that of equal cuts the one of fewest passages is found; thousands of
# passages would have to be in a cut before it could hide a missing place for one tube.
PER_PASSAGE = 1e-4


@dataclass(frozen=True, slots=True, kw_only=True)
class Shortage:
    """Proof that not all can pass.

    Parameters
    ----------
    tubes : tuple of int
        All those that have no other way than through ``passages``; rising.
    passages : tuple of int
        Which together hold fewer; rising.
    blamed : int
        The one of them to name: the largest that is limited by its opening, else the largest.
    must : int
        How many must go through it when the others are full; greater than ``at_most``. Counted in largest
        tubes, parts of one as one, unless only the number of tubes proves it.
    at_most : int
        How many it holds at most; counted in the same way.
    """

    tubes: tuple[int, ...]
    passages: tuple[int, ...]
    blamed: int
    must: int
    at_most: int


def shortages_of(ways: Sequence[Sequence[Way]], rooms: Sequence[Room], sizes: Floats) -> tuple[Shortage, ...]:
    """Return proofs that not all tubes can pass, none where there is none of this kind.

    Parameters
    ----------
    ways : sequence of sequence of Way
        For each tube; a tube without any is passed over.
    rooms : sequence of Room
        What each passage holds.
    sizes : array, shape (n,)
        What a tube takes of a passage, in largest tubes.

    Returns
    -------
    shortages : tuple of Shortage
        No tube and no passage in two of them. First it is tried by the sum of sizes, then by the number of
        tubes, where no passage holds more than the smallest of those that may use it.
    """
    limits = np.array([float(room.limit) for room in rooms])
    by_size = _short(ways, rooms, sizes, limits)
    if by_size or (sizes == 1.0).all():
        return by_size
    return _short(ways, rooms, np.ones(len(sizes)), _numbers(ways, limits, sizes))


def _short(
    ways: Sequence[Sequence[Way]], rooms: Sequence[Room], weights: Floats, limits: Floats
) -> tuple[Shortage, ...]:
    cut = _cut(ways, weights, limits)
    barred = [tube for tube, own in enumerate(ways) if own and all(cut & set(w.passages) for w in own)]
    found = []
    for tubes, passages in _apart(ways, barred, cut):
        wanted = float(np.sum(weights[tubes]))
        if wanted > float(np.sum(limits[passages])) + SLIGHT:
            blamed = min(passages, key=lambda passage: _last_to_blame(rooms[passage], passage))
            others = [passage for passage in passages if passage != blamed]
            found.append(
                Shortage(
                    tubes=tuple(tubes),
                    passages=tuple(passages),
                    blamed=blamed,
                    must=ceil(wanted - float(np.sum(limits[others])) - SLIGHT),
                    at_most=int(limits[blamed]),
                )
            )
    return tuple(found)


def _last_to_blame(room: Room, passage: int) -> tuple[bool, int, str, int]:
    """Return what sorts passages by whom to blame: limited by its opening, then large, then by name."""
    return (room.most is not None and room.most < room.bound, -room.limit, room.name, passage)


def _cut(ways: Sequence[Sequence[Way]], weights: Floats, limits: Floats) -> set[int]:
    """Return the passages by which the weights of the tubes that they bar exceed their limits by most."""
    # Tubes with the same ways count as one: where a board closes the case, all have the same.
    groups: dict[tuple[tuple[int, ...], ...], float] = {}
    for own, weight in zip(ways, weights.tolist(), strict=True):
        sets = tuple(sorted({tuple(sorted(set(way.passages))) for way in own}))
        if sets and sets[0]:
            groups[sets] = groups.get(sets, 0.0) + weight
    if not groups:
        return set()
    entries: list[tuple[int, int, float]] = []
    row = 0
    for group, sets in enumerate(groups):
        for passages in sets:
            entries += [(row, group, 1.0), *((row, len(groups) + passage, -1.0) for passage in passages)]
            row += 1
    rows, columns, values = zip(*entries, strict=True)
    barred_only_if = csr_array((values, (rows, columns)), shape=(row, len(groups) + len(limits)))
    result = milp(
        np.concatenate([-np.array(list(groups.values())), limits + PER_PASSAGE]),
        integrality=np.repeat([0, 1], [len(groups), len(limits)]),
        bounds=Bounds(0.0, 1.0),
        constraints=LinearConstraint(barred_only_if, -np.inf, 0.0),
        options={"mip_rel_gap": 0.0},
    )
    return set() if result.x is None else set(np.flatnonzero(result.x[len(groups) :] > 0.5).tolist())


def _apart(
    ways: Sequence[Sequence[Way]], barred: list[int], cut: set[int]
) -> list[tuple[list[int], list[int]]]:
    """Return tubes and passages in parts that have nothing to do with each other."""
    passages = sorted(cut)
    place = {passage: len(barred) + number for number, passage in enumerate(passages)}
    joined = [
        (number, place[passage])
        for number, tube in enumerate(barred)
        for way in ways[tube]
        for passage in way.passages
        if passage in cut
    ]
    if not joined:
        return []
    first, second = zip(*joined, strict=True)
    size = len(barred) + len(passages)
    count, part = connected_components(
        csr_array((np.ones(len(joined)), (first, second)), shape=(size, size)), directed=False
    )
    return [
        (
            [tube for number, tube in enumerate(barred) if part[number] == one],
            [passage for passage in passages if part[place[passage]] == one],
        )
        for one in range(count)
    ]


def _numbers(ways: Sequence[Sequence[Way]], limits: Floats, sizes: Floats) -> Floats:
    """Return how many tubes each passage holds at most, were they the smallest that may use it."""
    may_use: list[list[float]] = [[] for _ in limits]
    for own, size in zip(ways, sizes.tolist(), strict=True):
        for passage in sorted({passage for way in own for passage in way.passages}):
            may_use[passage].append(size)
    return np.array(
        [
            float(np.sum(np.cumsum(sorted(some)) <= limit + SLIGHT))
            for some, limit in zip(may_use, limits.tolist(), strict=True)
        ]
    )
