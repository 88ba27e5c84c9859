"""Which end of a tube goes on first: the one that is harder to reach (common practice, no source).

Hidden from where the worker stands comes before farther off, that before lower down; where there is nothing
to choose, a tube begins at the end that the scene names first.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from routeviz.cabinet.solids import Cabinet, extents
from routeviz.geometry.arrays import Floats
from routeviz.geometry.shapes import joined
from routeviz.geometry.sight import first_met
from routeviz.scene.lengths import as_mm
from routeviz.tubes.removal import is_on
from routeviz.tubes.routes import End, Tube

TELLS_MM = 30.0  # a hand's breadth hardly matters less: nearer to each other than this, two ends are alike
STANDS_OFF = 1.0  # how far off the case the eye is, in its greatest extent


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstEnd:
    """Which end goes on first.

    Parameters
    ----------
    at_start : bool
        Whether it is the end that the scene names first.
    says : str
        Which, and why.
    """

    at_start: bool
    says: str


def first_ends(
    cabinet: Cabinet, tubes: Sequence[Tube], axis: int, sense: int, stands: str
) -> tuple[FirstEnd, ...]:
    """Return which end of each tube goes on first.

    Parameters
    ----------
    cabinet, tubes
        The lay.
    axis, sense : int
        Which way the worker looks.
    stands : str
        Where the worker stands: ``from the front``.

    Returns
    -------
    ends : tuple of FirstEnd
        One a tube.
    """
    nipples = list(cabinet.nipples)
    hides = dict(zip(nipples, _hiding(cabinet, axis, sense, stands), strict=True))
    return tuple(_first_of(tube, hides, axis, sense, stands) for tube in tubes)


def end_name(end: End) -> str:
    """Return an end in words: its nipple, or that it is loose."""
    return end.nipple or f"its {end.state} end"


def _first_of(tube: Tube, hides: dict[str, str | None], axis: int, sense: int, stands: str) -> FirstEnd:
    ends = (tube.start, tube.end)
    on = [end.nipple is not None for end in ends]
    if not all(on):
        at_start = on[0] or not on[1]
        first, other = ends if at_start else ends[::-1]
        return FirstEnd(at_start=at_start, says=f"{end_name(first)}: the other end is {other.state}")
    at_start, why = _harder(ends, [hides[end.nipple or ""] for end in ends], axis, sense, stands)
    return FirstEnd(at_start=at_start, says=f"{end_name(ends[0 if at_start else 1])}: {why}")


def _harder(
    ends: tuple[End, End], hidden: Sequence[str | None], axis: int, sense: int, stands: str
) -> tuple[bool, str]:
    """Return whether the start is the end that is harder to reach, and why."""
    if (hidden[0] is None) != (hidden[1] is None):
        return hidden[0] is not None, f"it is {hidden[0] or hidden[1]}"
    points = [end.point for end in ends]
    if points[0] is not None and points[1] is not None:
        off = points[0] - points[1]
        farther, lower = sense * float(off[axis]), -float(off[2])
        if abs(farther) >= TELLS_MM:
            return farther > 0, f"it lies {as_mm(abs(farther), 0)} farther off, seen {stands}"
        if abs(lower) >= TELLS_MM:
            return lower > 0, f"it lies {as_mm(abs(lower), 0)} lower"
    return True, "either end is as easy to reach"


def _hiding(cabinet: Cabinet, axis: int, sense: int, stands: str) -> list[str | None]:
    """Return for each nipple in words what hides it from the worker, with what comes out out; or None."""
    solids = [solid for solid in cabinet.solids if solid.comes_out is None]
    tips = np.array([nipple.tip for nipple in cabinet.nipples.values()]).reshape(-1, 3)
    met = first_met(_eye(cabinet, axis, sense), tips, joined([solid.pieces for solid in solids]))
    found: list[str | None] = []
    for nipple, k in zip(cabinet.nipples.values(), met.tolist(), strict=True):
        if k < 0:
            found.append(None)
        elif is_on(cabinet, nipple.name, solids[k].part):
            found.append(f"on the far side of {solids[k].part}, seen {stands}")
        else:
            found.append(f"hidden behind {solids[k].part}, seen {stands}")
    return found


def _eye(cabinet: Cabinet, axis: int, sense: int) -> Floats:
    low, high = extents(cabinet)
    eye = (low + high) / 2
    off = STANDS_OFF * float((high - low).max()) + 1.0
    eye[axis] = low[axis] - off if sense > 0 else high[axis] + off
    return np.asarray(eye)
