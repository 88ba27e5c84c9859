"""What a tube is over its nipples: short straight sleeves, stretched, that other things must keep off too."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from routeviz.cabinet.nipples import Nipple
from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.blocks import cylinder
from routeviz.geometry.curves import Curve, rounded_polyline
from routeviz.geometry.shapes import Bodies, assembled
from routeviz.tubes.routes import Tube


@dataclass(frozen=True, slots=True, kw_only=True)
class Sleeve:
    """The end of a tube on a nipple.

    Parameters
    ----------
    tube : int
        Index of the tube.
    at_start : bool
        On the start's nipple, else on the end's.
    nipple : Nipple
        What it sits on.
    radius_mm : float
        Outside radius, stretched.
    curve : Curve
        Its axis, from the tip backwards.
    """

    tube: int
    at_start: bool
    nipple: Nipple
    radius_mm: float
    curve: Curve


def stretched_outside_mm(outside_mm: float, bore_mm: float, nipple_mm: float) -> float:
    """Return the outside diameter of a tube over a nipple.

    Rubber keeps its volume and hardly shortens here, so the section of the wall stays what it was:
    ``OD'^2 - nipple^2 = OD^2 - bore^2`` (first principles).

    Parameters
    ----------
    outside_mm, bore_mm : float
        Of the free tube.
    nipple_mm : float
        Outside diameter of the nipple; one that is smaller than the bore stretches nothing.

    Returns
    -------
    outside_mm : float
        Over the nipple.
    """
    return math.sqrt(outside_mm**2 - bore_mm**2 + max(nipple_mm, bore_mm) ** 2)


def sleeves_of(cabinet: Cabinet, tubes: Sequence[Tube]) -> tuple[Sleeve, ...]:
    """Return the sleeves of all tubes with a centreline, by tube, the start's first."""
    found = []
    for index, tube in enumerate(tubes):
        if tube.curve is None:
            continue
        for end, at_start in ((tube.start, True), (tube.end, False)):
            if end.nipple is not None:
                found.append(_sleeve(index, at_start, cabinet.nipples[end.nipple], tube))
    return tuple(found)


def _sleeve(index: int, at_start: bool, nipple: Nipple, tube: Tube) -> Sleeve:
    back = nipple.tip - nipple.on_nipple_mm * nipple.direction
    outside = stretched_outside_mm(tube.kind.outside_mm, tube.kind.bore_mm, nipple.outside_mm)
    return Sleeve(
        tube=index,
        at_start=at_start,
        nipple=nipple,
        radius_mm=outside / 2,
        curve=rounded_polyline(np.array([nipple.tip, back]), np.zeros(0)),
    )


def as_bodies(sleeves: Sequence[Sleeve]) -> Bodies:
    """Return sleeves as solids that stand still, in their order."""
    pieces = [
        cylinder(s.nipple.tip - s.nipple.on_nipple_mm * s.nipple.direction, s.nipple.tip, s.radius_mm)
        for s in sleeves
    ]
    return assembled(pieces, [None] * len(pieces))


def place_on_tube(sleeve: Sleeve, along_mm: float, length_mm: float) -> float:
    """Return where on its tube a place on a sleeve is: below 0 at the start, beyond the length at the end."""
    return -along_mm if sleeve.at_start else length_mm + along_mm
