"""Do two tubes come near each other on straight ways, seen along a passage?

All is seen from one of the two: the other goes from where it is beside it at first to where it is at last.
"""

import math
from typing import NamedTuple

from routeviz.geometry.compiled import inner


class Straight(NamedTuple):
    """A straight way in the plane across a passage, from a point to a point."""

    x0: float
    y0: float
    x1: float
    y1: float


@inner
def meeting(way: Straight, apart: float) -> float:
    """Return how much nearer than wanted a way comes to (0, 0).

    Parameters
    ----------
    way : Straight
        Of a tube, seen from another.
    apart : float
        The distance wanted, > 0.

    Returns
    -------
    lack : float
        The square of the share that is missing: 0 from that distance on, 1 where the two touch in one point.
    """
    dx, dy = way.x1 - way.x0, way.y1 - way.y0
    square = dx * dx + dy * dy
    share = min(max(-(way.x0 * dx + way.y0 * dy) / square, 0.0), 1.0) if square > 0.0 else 0.0
    x, y = way.x0 + share * dx, way.y0 + share * dy
    lack = 1.0 - math.sqrt(x * x + y * y) / apart
    return lack * lack if lack > 0.0 else 0.0


@inner
def parting(way: Straight, out: tuple[float, float], apart: float) -> float:
    """Return the same for a way that goes along a direction first, and then across it.

    Parameters
    ----------
    way : Straight
        Its ends.
    out : tuple of float
        The direction at first, of length 1; zeros where it goes straight to its end.
    apart : float
        As in ``meeting``.

    Returns
    -------
    lack : float
        The greater of both legs.
    """
    if out[0] == 0.0 and out[1] == 0.0:
        return meeting(way, apart)
    ahead = (way.x1 - way.x0) * out[0] + (way.y1 - way.y0) * out[1]
    x, y = way.x0 + ahead * out[0], way.y0 + ahead * out[1]
    first, second = Straight(way.x0, way.y0, x, y), Straight(x, y, way.x1, way.y1)
    return max(meeting(first, apart), meeting(second, apart))
