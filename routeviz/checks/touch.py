"""Does a tube come too near to something that stands still? What moves is in rub.py."""

from collections.abc import Sequence

from routeviz.cabinet.motions import Fixed
from routeviz.cabinet.solids import Cabinet
from routeviz.checks.findings import Finding
from routeviz.checks.keeping_off import too_near
from routeviz.checks.words import mm
from routeviz.tubes.measured import Buried, Measured
from routeviz.tubes.routes import Tube

ABOUT = """\
touch: a tube comes too near to something that stands still.

The least distance between the tube's wall and wood, metal or anything fixed is held against
[clearance] fixed, or the part's own clearance where that is more. Where a tie holds the tube to a part it may
lie on that part. The part that carries its nipple is left out close to the nipple, but the tube may
not enter it there either. A tube that runs inside something is told with the length that is buried.

Mend it: move the corner nearest to the place, or check the part's measurements.
"""


def check(cabinet: Cabinet, tubes: Sequence[Tube], measured: Measured) -> list[Finding]:
    """Return what is touched, worst place of each tube and part, and what lies inside wood."""
    inside = {(one.tube, one.solid) for one in measured.buried}  # told by its length, not by nearness too
    still = [
        n
        for n in measured.solids
        if isinstance(cabinet.solids[n.other].movement, Fixed) and (n.tube, n.other) not in inside
    ]
    found = too_near("touch", still, cabinet, tubes, measured)
    return found + [_buried(one, cabinet, tubes) for one in measured.buried]


def _buried(one: Buried, cabinet: Cabinet, tubes: Sequence[Tube]) -> Finding:
    solid = cabinet.solids[one.solid]
    return Finding(
        rule="touch",
        severity="fault",
        tube=tubes[one.tube].name,
        other=solid.name,
        says=f"{mm(one.length_mm)} of it lie inside {solid.name}, from {round(one.along_mm)} mm along"
        if one.length_mm > 0
        else f"its wall enters {solid.name} {round(one.along_mm)} mm along",
        remedy="lead the tube round it, or check where the part and the corners were taped",
        low=one.length_mm,
        high=one.length_mm,
        limit=0.0,
        unit="mm",
        point=one.point,
        along_mm=one.along_mm,
    )
