"""What a tube is over its nipples: short straight sleeves, stretched, that other things must keep off too."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from routeviz.cabinet.nipples import Nipple
from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.arrays import Floats, Ints, frozen, frozen_ints
from routeviz.geometry.blocks import bars
from routeviz.geometry.chains import polylines
from routeviz.geometry.pieces import Pieces
from routeviz.geometry.shapes import STILL, Bodies
from routeviz.tubes.routes import Tube

NOBODY = -1  # in place of a carrier


@dataclass(frozen=True, slots=True, kw_only=True)
class Sleeves:
    """The n ends of tubes that sit on nipples, by tube, the start's first.

    Parameters
    ----------
    tubes : array of int, shape (n,)
        Index of the tube.
    carriers : array of int, shape (n,)
        The solid that carries the nipple; ``NOBODY`` where none does.
    radii : array, shape (n,)
        Outside radius, stretched.
    tips, backs : array, shape (n, 3)
        Where the sleeve begins on the tube's free run, and where it ends on the nipple.
    alongs : array, shape (n,)
        Where on the tube the tip is: 0, or its length.
    pieces : Pieces
        The axes as n curves; arc lengths go on from the tube's: below 0 at its start, beyond its end.
    """

    tubes: Ints
    carriers: Ints
    radii: Floats
    tips: Floats
    backs: Floats
    alongs: Floats
    pieces: Pieces


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


def sleeves_of(cabinet: Cabinet, tubes: Sequence[Tube]) -> Sleeves:
    """Return the sleeves of all tubes with a centreline."""
    found: list[tuple[int, Tube, Nipple, bool]] = []
    for index, tube in enumerate(tubes):
        if tube.curve is not None:
            ends = (tube.start.nipple, True), (tube.end.nipple, False)
            found += [(index, tube, cabinet.nipples[name], first) for name, first in ends if name]
    tips = np.array([nipple.tip for _, _, nipple, _ in found]).reshape(-1, 3)
    ways = np.array([nipple.direction for _, _, nipple, _ in found]).reshape(-1, 3)
    on = np.array([nipple.on_nipple_mm for _, _, nipple, _ in found])
    backs = tips - on[:, None] * ways
    at_start = np.array([first for *_, first in found], dtype=bool)
    alongs = np.array([0.0 if first or t.curve is None else t.curve.begins[-1] for _, t, _, first in found])
    outsides = [
        stretched_outside_mm(t.kind.outside_mm, t.kind.bore_mm, nipple.outside_mm)
        for _, t, nipple, _ in found
    ]
    # Each axis is run as its tube is: onto the tip at the start, away from it at the end.
    corners = np.stack(
        [np.where(at_start[:, None], backs, tips), np.where(at_start[:, None], tips, backs)], 1
    )
    begins = np.where(at_start, -on, alongs)
    return Sleeves(
        tubes=frozen_ints([index for index, *_ in found]),
        carriers=frozen_ints([NOBODY if n.carrier is None else n.carrier for _, _, n, _ in found]),
        radii=frozen(np.array(outsides) / 2),
        tips=frozen(tips),
        backs=frozen(backs),
        alongs=frozen(alongs),
        pieces=polylines(
            corners.reshape(-1, 3),
            np.stack([begins, begins + on], axis=1).reshape(-1),
            2 * np.arange(len(found) + 1),
        ),
    )


def as_bodies(sleeves: Sleeves) -> Bodies:
    """Return sleeves as solids that stand still, in their order."""
    count = len(sleeves.tubes)
    return Bodies(
        pieces=bars(sleeves.backs, sleeves.tips, sleeves.radii),
        kinds=np.full(count, STILL),
        points=np.zeros((count, 3)),
        directions=np.zeros((count, 3)),
        travels=np.zeros(count),
    )
