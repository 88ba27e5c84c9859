"""Which tube takes which place in a passage? Those that lie side by side before it shall do so within.

Where the places are is in slots.py, what nearness is, in meetings.py.
"""

from typing import NamedTuple

import numpy as np
from scipy.optimize import linear_sum_assignment

from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.compiled import compiled, inner
from routeviz.planning.meetings import Straight, parting

KEPT_APART = 0.95  # of an outside diameter: what only touches on its way is not in the way
FAR = 1e-5  # per square mm out of the way: decides between places that are as good otherwise
MOST_PASSES = 12  # over all pairs of places: few are needed, and the work is bounded
BETTER = 1e-9  # by which an exchange must be better: rounding alone never makes one
FLAT_MM = 1e-6  # wide, below which a row has no width that it could be stretched by
NOBODY = -1


class Sides(NamedTuple):
    """What n tubes come from and go to, in the outline's directions.

    Parameters
    ----------
    before, after : array, shape (n, 2)
        Where they are on either side.
    out, into : array, shape (2,)
        The direction in which they run straight at first, and in which they come in at last; zeros for none.
    """

    before: Floats
    after: Floats
    out: Floats
    into: Floats


class Deal(NamedTuple):
    """What decides who takes which of m places.

    Parameters
    ----------
    places : array, shape (m, 2)
        In the outline's directions.
    sides : Sides
        Of n tubes.
    apart : float
        From which distance on two tubes do not mind each other.
    far : array, shape (n, m)
        What it costs a tube to take a place.
    """

    places: Floats
    sides: Sides
    apart: float
    far: Floats


def dealt(places: Floats, sides: Sides, outside: float) -> list[int]:
    """Return which place each tube takes, so that few come near each other on the straight way there and on.

    First tubes are dealt out by where they come from and go to; then two exchange their places, or one takes
    a free one, as long as that brings fewer together.

    Parameters
    ----------
    places : array, shape (m, 2)
        In the outline's directions.
    sides : Sides
        Of n tubes, n <= m.
    outside : float
        Outside diameter.

    Returns
    -------
    chosen : list of int
        One place a tube, each once.
    """
    count = len(sides.before)
    cost = np.zeros((count, len(places)))
    for side in (sides.before, sides.after):
        spread = _fitted(side, places)
        cost += ((spread[:, None] - places[None]) ** 2).sum(axis=-1)
    rows, columns = linear_sum_assignment(cost)
    chosen = np.full(len(places), NOBODY, dtype=np.int64)
    chosen[columns] = rows
    exchange(Deal(places=places, sides=sides, apart=outside * KEPT_APART, far=FAR * cost), chosen)
    found = np.zeros(count, dtype=np.int64)
    found[chosen[chosen != NOBODY]] = np.nonzero(chosen != NOBODY)[0]
    return [int(place) for place in found]


def _fitted(points: Floats, places: Floats) -> Floats:
    """Return points moved and stretched each way to lie as the places do."""
    middle, size = (points.min(axis=0) + points.max(axis=0)) / 2, np.ptp(points, axis=0)
    wanted = np.ptp(places, axis=0)
    scale = np.where(size > FLAT_MM, wanted / np.maximum(size, FLAT_MM), 1.0)
    return np.asarray((points - middle) * scale + (places.min(axis=0) + places.max(axis=0)) / 2)


@compiled
def exchange(deal: Deal, chosen: Ints) -> None:
    """Let tubes exchange places as long as that keeps more of them apart.

    Parameters
    ----------
    deal : Deal
        What decides.
    chosen : array of int, shape (m,)
        The tube at each place; ``NOBODY`` for none. Changed.
    """
    total = chosen.shape[0]
    for _ in range(MOST_PASSES):
        better = False
        for p in range(total):
            for q in range(p + 1, total):
                if chosen[p] == NOBODY and chosen[q] == NOBODY:
                    continue
                now = _nearness(deal, chosen, p, q)
                chosen[p], chosen[q] = chosen[q], chosen[p]
                if _nearness(deal, chosen, p, q) < now - BETTER:
                    better = True
                else:
                    chosen[p], chosen[q] = chosen[q], chosen[p]
        if not better:
            return


@inner
def _nearness(deal: Deal, chosen: Ints, p: int, q: int) -> float:
    """Return how near the tubes at two places come to all others, and how far they are out of their way."""
    places, sides = deal.places, deal.sides
    out, into = (sides.out[0], sides.out[1]), (sides.into[0], sides.into[1])
    total = 0.0
    for place in (p, q):
        tube = chosen[place]
        if tube == NOBODY:
            continue
        total += deal.far[tube, place]
        for other in range(places.shape[0]):
            mate = chosen[other]
            # The two themselves count once.
            if mate == NOBODY or other == place or (other == p and place == q):
                continue
            x, y = places[other, 0] - places[place, 0], places[other, 1] - places[place, 1]
            u, v = (
                sides.before[mate, 0] - sides.before[tube, 0],
                sides.before[mate, 1] - sides.before[tube, 1],
            )
            total += parting(Straight(u, v, x, y), out, deal.apart)
            u, v = sides.after[mate, 0] - sides.after[tube, 0], sides.after[mate, 1] - sides.after[tube, 1]
            total += parting(Straight(u, v, x, y), into, deal.apart)
    return total
