"""How far two curves lie apart where they lie farthest apart: proven bounds, and the place.

That is the greatest distance of a point of either curve from the nearest point of the other. Curves are taken
as chains of chords, each within a known distance of its arc. The distance from a straight piece is a convex
function, so over a stretch of a chord it is nowhere more than at one of the ends: for each piece of the other
curve that gives a bound, and the least of them holds. Stretches are halved until the bounds are close.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from routeviz.geometry.arrays import Floats, frozen
from routeviz.geometry.curves import Curve, chords, points_along

SAGITTA = 0.01  # between an arc and its chord; of both curves it widens the bounds
WIDTH = 0.01  # to which bounds of the chains are brought together
MOST_HALVINGS = 40  # of a stretch: by then a metre is shorter than a rounding


@dataclass(frozen=True, slots=True, kw_only=True)
class Shift:
    """How far two curves lie apart at most.

    Parameters
    ----------
    low, high : float
        The greatest distance lies between.
    on : str
        The curve on which the place is: ``one`` or ``other``.
    along : float
        Arc length there.
    point : array, shape (3,)
        The place: its distance from the other curve is at least ``low``.
    """

    low: float
    high: float
    on: Literal["one", "other"]
    along: float
    point: Floats


def farthest_apart(one: Curve, other: Curve) -> Shift:
    """Return how far two curves lie apart where they lie farthest apart.

    Parameters
    ----------
    one, other : Curve
        In whatever sense they run: a curve and its reverse do not lie apart.

    Returns
    -------
    shift : Shift
        Both ways; the bounds are at most ``WIDTH`` and twice the chords' sagittas apart.
    """
    first, second = _chain(one), _chain(other)
    slack = _sagitta(one) + _sagitta(other)
    there, back = _farthest(first, second), _farthest(second, first)
    low, along = max(there[:2], back[:2])
    on: Literal["one", "other"] = "one" if there[:2] >= back[:2] else "other"
    curve = one if on == "one" else other
    return Shift(
        low=max(low - slack, 0.0),
        high=max(there[2], back[2]) + slack,
        on=on,
        along=along,
        point=frozen(points_along(curve, np.array([along]))[0]),
    )


def _chain(curve: Curve) -> tuple[Floats, Floats]:
    return chords(curve, SAGITTA)


def _sagitta(curve: Curve) -> float:
    return SAGITTA if (curve.curvatures > 0.0).any() else 0.0


def _farthest(chain: tuple[Floats, Floats], other: tuple[Floats, Floats]) -> tuple[float, float, float]:
    """Return the greatest distance of a chain from another that was found, where, and a bound on all."""
    begins, ends = other[0][:-1], other[0][1:]
    points, along = chain
    at = _distances(points, begins, ends)
    first, last = at[:-1], at[1:]
    stretches = np.stack([along[:-1], along[1:]], axis=1)
    places = np.stack([points[:-1], points[1:]], axis=1)
    nearest = at.min(axis=1)
    low, where = float(nearest.max()), float(along[int(np.argmax(nearest))])
    high = low
    for _ in range(MOST_HALVINGS):
        bounds = np.maximum(first, last).min(axis=1)
        wide = bounds > low + WIDTH
        high = max(high, float(bounds[~wide].max(initial=0.0)))
        if not wide.any():
            return low, where, high
        first, last, stretches, places = first[wide], last[wide], stretches[wide], places[wide]
        middles = places.mean(axis=1)
        halfway = stretches.mean(axis=1)
        found = _distances(middles, begins, ends)
        nearest = found.min(axis=1)
        if nearest.max() > low:
            low, where = float(nearest.max()), float(halfway[int(np.argmax(nearest))])
        first, last = np.concatenate([first, found]), np.concatenate([found, last])
        stretches = np.concatenate(
            [np.stack([stretches[:, 0], halfway], axis=1), np.stack([halfway, stretches[:, 1]], axis=1)]
        )
        places = np.concatenate(
            [np.stack([places[:, 0], middles], axis=1), np.stack([middles, places[:, 1]], axis=1)]
        )
    return low, where, max(high, float(np.maximum(first, last).min(axis=1).max()))


def _distances(points: Floats, begins: Floats, ends: Floats) -> Floats:
    """Return how far each point is from each straight piece, shape (points, pieces)."""
    along = ends - begins
    squares = (along**2).sum(axis=1)
    shares = ((points @ along.T) - (begins * along).sum(axis=1)) / np.where(squares > 0.0, squares, 1.0)
    feet = begins + np.clip(shares, 0.0, 1.0)[:, :, None] * along
    return np.asarray(np.linalg.norm(points[:, None] - feet, axis=2))
