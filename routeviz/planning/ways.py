"""Which ways each tube has, what passages hold, and both as arrays: what allocation.py chooses from.

How the choice is posed and solved is in programmes.py; why not all can pass, in shortages.py.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.sparse import csr_array

from routeviz.geometry.arrays import Floats, Ints

LEFT_OUT = -1  # in place of a way: the tube has none; in place of a label: it shares none


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One possibility for one tube.

    Parameters
    ----------
    passages : tuple of int
        Indices of the passages in order; none where the tube needs none.
    cost : float
        Its own length alone through there in millimetres, what gentle turns cost included; >= 0.
    """

    passages: tuple[int, ...]
    cost: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """What a passage holds, counted in the largest of the tubes.

    Parameters
    ----------
    name : str
        The passage's.
    found : int
        How many a packing has that was found and tested.
    bound : int
        A number that no packing exceeds.
    most : int or None
        The fitter's own mark.
    """

    name: str
    found: int
    bound: int
    most: int | None

    @property
    def sure(self) -> int:
        """Return how many it holds without doubt."""
        return self.found if self.most is None else min(self.found, self.most)

    @property
    def limit(self) -> int:
        """Return how many it may hold at most, by proof or by its mark."""
        return self.bound if self.most is None else min(self.bound, self.most)


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """The ways of all tubes as arrays, tube after tube, each set of passages in an order once a tube.

    Parameters
    ----------
    owners : array, shape (m,)
        Whose way; rising.
    picks : array, shape (m,)
        Which of its ways, or ``LEFT_OUT``.
    costs : array, shape (m,)
        In millimetres.
    labels : array, shape (m,)
        Equal for ways through the same passages in the same order; ``LEFT_OUT`` where the tube is left out.
    takes : sparse array, shape (p, m)
        What a way takes of each passage.
    """

    owners: Ints
    picks: Ints
    costs: Floats
    labels: Ints
    takes: csr_array

    def only(self, kept: Ints) -> "Columns":
        """Return some of the columns, given by rising indices."""
        return Columns(
            owners=self.owners[kept],
            picks=self.picks[kept],
            costs=self.costs[kept],
            labels=self.labels[kept],
            takes=csr_array(self.takes[:, kept]),
        )

    def priced(self, costs: Floats) -> "Columns":
        """Return the same columns at other costs, shape (m,)."""
        return replace(self, costs=costs)


def columns_of(
    ways: Sequence[Sequence[Way]], passages: int, sizes: Floats, *, may_be_left_out: bool
) -> Columns:
    """Return the ways of all tubes as columns; of ways through the same passages only the cheapest.

    Parameters
    ----------
    ways : sequence of sequence of Way
        For each tube; a tube without any has no column.
    passages : int
        How many passages there are.
    sizes : array, shape (n,)
        What each tube takes of a passage, in largest tubes.
    may_be_left_out : bool
        Whether each tube with a way has a further column, last, for being left out.

    Returns
    -------
    columns : Columns
        Ways of a tube in the order given.
    """
    labels: dict[tuple[int, ...], int] = {}
    rows: list[tuple[int, int, float, int]] = []
    taken: list[tuple[int, int, float]] = []
    for tube, (own, size) in enumerate(zip(ways, sizes.tolist(), strict=True)):
        for pick in _cheapest(own):
            way = own[pick]
            taken += [(passage, len(rows), size) for passage in way.passages]
            rows.append((tube, pick, way.cost, labels.setdefault(way.passages, len(labels))))
        if may_be_left_out and own:
            rows.append((tube, LEFT_OUT, 0.0, LEFT_OUT))
    owners, picks, costs, own_labels = zip(*rows, strict=True) if rows else ((), (), (), ())
    places, places_in, shares = zip(*taken, strict=True) if taken else ((), (), ())
    return Columns(
        owners=np.array(owners, dtype=np.int64),
        picks=np.array(picks, dtype=np.int64),
        costs=np.array(costs, dtype=np.float64),
        labels=np.array(own_labels, dtype=np.int64),
        takes=csr_array((np.array(shares), (places, places_in)), shape=(passages, len(rows))),
    )


def _cheapest(ways: Sequence[Way]) -> list[int]:
    """Return which ways to keep: of those through the same passages the first that costs least."""
    best: dict[tuple[int, ...], int] = {}
    for pick, way in enumerate(ways):
        if way.passages not in best or way.cost < ways[best[way.passages]].cost:
            best[way.passages] = pick
    return sorted(best.values())
