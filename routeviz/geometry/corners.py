"""How a polyline turns at its corners, and how wide each corner may be rounded before the legs are used up.

The curve that follows from corners and radii is in curves.py.
"""

import math

import numpy as np
from numpy.typing import ArrayLike

from routeviz.geometry.arrays import Floats, check_shape

COINCIDENT = 1e-9  # share of the whole length: below that a leg has no direction worth the name
STRAIGHT = 1e-5  # radians: corners rounded to 1e-6 turn that much on legs of 0.3, and nobody sees or feels it
LARGEST_TURN = math.radians(
    120
)  # beyond it the cut, R tan(turn/2), runs away: 1.7 R here, 5.7 R at 160 degrees
ROUNDING = 1e-5  # radians by which a turn of 120 degrees may be exceeded once corners are rounded


def corner_turns(corners: Floats) -> tuple[Floats, Floats, Floats]:
    """Return the legs of a polyline and the angle by which it turns at each inner corner.

    Parameters
    ----------
    corners : array, shape (n, 3)
        Ends and corners in order, n >= 2.

    Returns
    -------
    legs : array, shape (n - 1,)
        Length of each leg.
    directions : array, shape (n - 1, 3)
        Unit vector along each leg.
    turns : array, shape (n - 2,)
        Radians, 0 where the polyline goes straight on.

    Raises
    ------
    ValueError
        The shape differs, fewer than two corners, two neighbours coincide, or a turn is over 120 degrees.
    """
    if check_shape("corners", corners, (None, 3)) < 2:
        raise ValueError(f"corners: at least 2 wanted, {len(corners)} given")
    steps = np.diff(corners, axis=0)
    legs = np.sqrt((steps * steps).sum(axis=1))
    for leg in np.nonzero(legs <= COINCIDENT * legs.sum())[0]:
        raise ValueError(f"corners {leg} and {leg + 1} coincide at {corners[leg].tolist()}: leave one out")
    directions = steps / legs[:, None]
    crossed = np.cross(directions[:-1], directions[1:])
    turns = np.arctan2(
        np.sqrt((crossed * crossed).sum(axis=1)), (directions[:-1] * directions[1:]).sum(axis=1)
    )
    for corner in np.nonzero(turns > LARGEST_TURN + ROUNDING)[0]:
        raise ValueError(
            f"corner {corner + 1} turns by {math.degrees(turns[corner]):.1f} degrees, at most 120 allowed: "
            "turn in two corners"
        )
    return legs, directions, turns


def largest_common_radius(corners: ArrayLike, *, first: float = 0.0, last: float = 0.0) -> float:
    """Return the largest radius that all corners of a polyline can have at once.

    At each leg the two arcs take R tan(turn/2) each; the leg that allows least decides.

    Parameters
    ----------
    corners : array, shape (n, 3)
        Ends and corners in order, n >= 2.
    first, last : float
        Straight lengths to keep at the two ends.

    Returns
    -------
    radius : float
        ``inf`` where no corner turns.

    Raises
    ------
    ValueError
        As ``corner_turns``; or an end leg is not longer than the straight length to keep on it.
    """
    room, slopes = _room(np.asarray(corners, np.float64), first, last)
    taken = np.append(0.0, slopes) + np.append(slopes, 0.0)
    return float(np.min(room[taken > 0] / taken[taken > 0], initial=math.inf))


def inscribed_radii(
    corners: ArrayLike, *, cap: float = math.inf, first: float = 0.0, last: float = 0.0
) -> Floats:
    """Return a radius for each corner, as large as the legs allow without starving a neighbour.

    All radii grow together; whenever a leg is used up, the corners at its ends stop and the others grow
    on. So no radius can be made larger without making an equal or smaller one smaller still (max-min fair).

    Parameters
    ----------
    corners : array, shape (n, 3)
        Ends and corners in order, n >= 2.
    cap : float
        Where growth ends at the latest, > 0.
    first, last : float
        Straight lengths to keep at the two ends.

    Returns
    -------
    radii : array, shape (n - 2,)
        ``inf`` at a corner that does not turn.

    Raises
    ------
    ValueError
        As ``corner_turns``; the cap is not above 0; or an end leg is not longer than the straight length
        to keep on it.
    """
    if not cap > 0:
        raise ValueError(f"cap: more than 0 wanted, {cap:g} given")
    room, slopes = _room(np.asarray(corners, np.float64), first, last)
    radii = np.full(len(slopes), math.inf)
    growing = slopes > 0
    while growing.any():
        grown = np.where(growing, slopes, 0.0)
        rates = np.append(0.0, grown) + np.append(grown, 0.0)
        # Where nothing grows on a leg it sets no limit; elsewhere what is left is shared by those that grow.
        limits = np.full(len(room), math.inf)
        np.divide(room, rates, out=limits, where=rates > 0)
        radius = min(float(limits.min()), cap)
        stopped = growing & ((np.minimum(limits[:-1], limits[1:]) <= radius) | (radius == cap))
        radii[stopped] = radius
        cuts = np.where(stopped, radius * slopes, 0.0)
        room = np.maximum(room - np.append(0.0, cuts) - np.append(cuts, 0.0), 0.0)
        growing &= ~stopped
    return radii


def _room(corners: Floats, first: float, last: float) -> tuple[Floats, Floats]:
    """Return the length that arcs may take of each leg, and what each corner takes per unit of radius."""
    legs, _, turns = corner_turns(corners)
    room = legs.copy()
    room[0] -= first
    room[-1] -= last
    slopes = np.where(turns >= STRAIGHT, np.tan(0.5 * turns), 0.0)
    if not room.min() > 0:
        raise ValueError(
            f"straight ends of {first:g} and {last:g} leave nothing of legs of {legs[0]:g} and {legs[-1]:g}"
        )
    return room, slopes
