"""Which tubes could not be laid, which tees have no place, and why?"""

from collections.abc import Sequence

import numpy as np

from routeviz.cabinet.solids import Cabinet
from routeviz.checks.findings import Finding
from routeviz.checks.words import named
from routeviz.geometry.arrays import Floats
from routeviz.tubes.measured import Measured
from routeviz.tubes.plans import NoWay
from routeviz.tubes.routes import Tube

ABOUT = """\
no_way: no way was found for a tube.

`routeviz plan` lays all tubes together. What it could not lay is told with the cause in numbers (how much is
wanted, and how much there is at most), the place where it fails, and what would free it. The place is given
in millimetres to the right, to the back and up from the case's zero. Tubes of one cause are told of together,
with the place of the one that lacks most. Of a full passage, "holds at most" is proven; "places for so many
were found" is what a search came to beside all that stands in its way. The other tubes are laid all the same.
A tee or coupler for which no place was found is told with the tubes on it. A reason holds for the scene that
was planned: once that has changed, plan again.

Mend it: do what the finding says would free it, or draw this tube's route yourself.
"""


def check(cabinet: Cabinet, tubes: Sequence[Tube], measured: Measured) -> list[Finding]:
    """Return a fault for each reason for which tubes could not be laid."""
    return [_finding(one, cabinet) for one in measured.no_ways]


def _finding(one: NoWay, cabinet: Cabinet) -> Finding:
    passage = cabinet.passages.get(one.passage or "")
    point = passage.origin if one.point is None and passage is not None else one.point
    return Finding(
        rule="no_way",
        severity="fault",
        tube=one.tubes[0] if len(one.tubes) == 1 else None,
        other=one.passage or one.part,
        says=one.cause if one.part is not None else f"no way for {named(one.tubes)}: {one.cause}{_at(point)}",
        remedy=one.frees,
        low=one.wanted,
        high=one.wanted,
        limit=one.there,
        unit=one.unit,
        point=point,
        tubes=one.tubes,
    )


def _at(point: Floats | None) -> str:
    """Return where a way fails, in words that a tape can follow."""
    if point is None:
        return ""
    right, back, up = (f"{coordinate:.0f}" for coordinate in np.round(point) + 0.0)
    return f" (at right {right}, back {back}, up {up} mm)"
