"""From which side is a passage looked at, what lies which way there, and what do tubes look like cut through?

Plates are put together in plates.py; here is only geometry, and the words for it.
"""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from shapely import Polygon

from routeviz.cabinet.passages import Passage
from routeviz.geometry.arrays import Floats, frozen
from routeviz.geometry.chains import places_on
from routeviz.geometry.crossings import plane_crossings
from routeviz.tubes.nearing import Laid

Face = Literal["front", "back"]

WORDS = (("player's left", "player's right"), ("front", "back"), ("below", "above"))
SPANS = ("left to right", "front to back", "top to bottom")
# By the axis of the way through: from where the front and the back of a passage are seen.
SEEN = (
    ("from the player's right, the back at the right", "from the player's left, the back at the left"),
    ("from the player's side", "from behind, the player's right at the left"),
    ("from above, the front edge below", "from below, the front edge above"),
)
FRONT_SIDE = (1.0, -1.0, 1.0)  # on which side of a passage across each axis its front is seen
LEANS = math.cos(math.radians(5.0))  # below this share a passage is said to lean
# No cut is drawn longer than one this far from square: a tube that runs along the plane bends out of it.
FLATTEST = math.cos(math.radians(75.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Facing:
    """How a passage is seen from one of its faces.

    Parameters
    ----------
    right, up : array, shape (3,)
        Unit directions in the case that lie to the right and upwards on the plate.
    seen : str
        From where, as the end of a sentence: ``from above, the front edge below``.
    towards : tuple of str
        What lies to the left, to the right, downwards and upwards on the plate.
    spans : tuple of str
        What its width and its height are: ``left to right``, ``front to back``.
    """

    right: Floats
    up: Floats
    seen: str
    towards: tuple[str, str, str, str]
    spans: tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A tube cut through in the plane of a passage, half way through its thickness, as a plate shows it.

    Parameters
    ----------
    tube : int
        Index of the tube.
    at : tuple of float
        Its middle: to the right and downwards from the middle of the opening, in millimetres.
    radius_mm : float
        Half its outside diameter.
    long_mm : float
        Half the longer axis of the ellipse; the radius where it goes straight through.
    turned_deg : float
        How far the longer axis is turned from the right, clockwise.
    """

    tube: int
    at: tuple[float, float]
    radius_mm: float
    long_mm: float
    turned_deg: float


def facing(passage: Passage, face: Face) -> Facing:
    """Return how a passage is seen from its front or its back.

    The front of a level opening is seen from above, that of an upright one from the player's side, that of
    one that leads sideways from the player's right. Who looks stands in front of the case and looks up or
    down, or walks round it: what is above stays above.

    Parameters
    ----------
    passage : Passage
        In the case.
    face : str
        ``front`` or ``back``.

    Returns
    -------
    facing : Facing
        Right, up and the line of sight are square to each other.
    """
    through = passage.axes[2]
    axis = max(range(3), key=lambda k: (round(abs(float(through[k])), 6), k))
    out = through * math.copysign(1.0, float(through[axis])) * FRONT_SIDE[axis]
    out = out if face == "front" else -out
    # Who looks down has the back above on the plate, who looks up the front.
    wanted = np.array([0.0, float(np.sign(out[2])), 0.0]) if axis == 2 else np.array([0.0, 0.0, 1.0])
    up = wanted - out * float(wanted @ out)
    up = up / math.sqrt(float(up @ up))
    right = np.cross(up, out)
    seen = SEEN[axis][face == "back"]
    leans = "" if abs(float(through[axis])) >= LEANS else ", square to the opening, which leans"
    return Facing(
        right=frozen(right + 0.0),
        up=frozen(up + 0.0),
        seen=seen + leans,
        towards=(_towards(-right), _towards(right), _towards(-up), _towards(up)),
        spans=(SPANS[_axis(right)], SPANS[_axis(up)]),
    )


def outline_on(passage: Passage, view: Facing) -> Polygon:
    """Return a passage's outline as a plate shows it: to the right and downwards from its middle."""
    return Polygon(_on_plate(passage.outline @ passage.axes[:2], view))


def sections_in(passage: Passage, view: Facing, drawn: Laid) -> tuple[Section, ...]:
    """Return what is cut of tubes inside an opening, each place at which one goes through, by tube.

    Parameters
    ----------
    passage : Passage
        In the case.
    view : Facing
        From where it is seen.
    drawn : Laid
        The tubes that have a centreline.

    Returns
    -------
    sections : tuple of Section
        By tube, then along it.
    """
    crossed = plane_crossings(drawn.pieces, passage.origin, passage.axes[2])
    places = places_on(drawn.pieces, crossed.curves, crossed.along)
    spots = _on_plate(places.points - passage.origin, view)
    inside = shapely.contains_xy(outline_on(passage, view), spots[:, 0], spots[:, 1])
    return tuple(
        _section(
            int(drawn.indices[crossed.curves[k]]),
            float(drawn.radii[crossed.curves[k]]),
            spots[k],
            _on_plate(places.tangents[k : k + 1], view)[0],
        )
        for k in np.nonzero(inside)[0]
    )


def _section(tube: int, radius: float, spot: Floats, heading: Floats) -> Section:
    across = min(math.hypot(*heading.tolist()), 1.0)
    straight = max(math.sqrt(1.0 - across * across), FLATTEST)
    turned = math.degrees(math.atan2(float(heading[1]), float(heading[0]))) if across > 1e-6 else 0.0
    return Section(
        tube=tube,
        at=(float(spot[0]), float(spot[1])),
        radius_mm=radius,
        long_mm=radius / straight,
        turned_deg=turned,
    )


def _on_plate(vectors: Floats, view: Facing) -> Floats:
    return np.stack([vectors @ view.right, -(vectors @ view.up)], axis=1)


def _axis(direction: Floats) -> int:
    return int(np.argmax(np.abs(direction)))


def _towards(direction: Floats) -> str:
    axis = _axis(direction)
    return WORDS[axis][int(direction[axis] > 0)]
