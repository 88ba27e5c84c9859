"""Do two tubes run into each other? Whether a passage holds them all is in crowd.py."""

from collections.abc import Sequence

from routeviz.cabinet.solids import Cabinet
from routeviz.checks.findings import Finding, verdict
from routeviz.checks.words import meets, mm, place_on
from routeviz.tubes.measured import Measured, Nearest
from routeviz.tubes.routes import Tube

ABOUT = """\
squeeze: two tubes want the same room.

The least distance between the walls of every two tubes is held against [clearance] tubes. At 0 neighbours
may touch, as they do in a full row. Where one of them was taped on the instrument, the survey's doubt is
given in its favour.

Mend it: move one of the two, or change which of them goes above.
"""


def check(cabinet: Cabinet, tubes: Sequence[Tube], measured: Measured) -> list[Finding]:
    """Return pairs of tubes that run into each other."""
    limit = cabinet.limits.tubes_mm
    found = []
    for pair in measured.tubes:
        taped = tubes[pair.tube].measured is not None or tubes[pair.other].measured is not None
        severity = verdict(pair.low_mm, limit, cabinet.limits.survey_mm if taped else 0.0)
        if severity:
            found.append(_finding(pair, severity == "fault", limit, tubes, measured))
    return found


def _finding(pair: Nearest, fault: bool, limit: float, tubes: Sequence[Tube], measured: Measured) -> Finding:
    tube, other = tubes[pair.tube], tubes[pair.other]
    where = place_on(tube, pair.along_mm, float(measured.lengths_mm[pair.tube]))
    wanted = f"; {mm(limit)} wanted" if limit else ""
    return Finding(
        rule="squeeze",
        severity="fault" if fault else "caution",
        tube=tube.name,
        other=other.name,
        says=f"{meets(other.name, pair.low_mm)}, {where}{wanted}",
        remedy=f"move one of the two {mm(limit - pair.low_mm)} away"
        if fault
        else "look at this place on the instrument; the tape may be off by as much",
        low=pair.low_mm,
        high=pair.high_mm,
        limit=limit,
        unit="mm",
        point=pair.point,
        along_mm=pair.along_mm,
    )
