"""Does a tube come too near to something that stands still? What moves is in rub.py."""

from collections.abc import Sequence

from routeviz.cabinet.motions import Fixed
from routeviz.cabinet.solids import Cabinet, asked_mm
from routeviz.checks.findings import Finding, Severity, verdict
from routeviz.checks.keeping_off import too_near
from routeviz.checks.words import doubted, mm
from routeviz.tubes.measured import Buried, Fouling, Measured
from routeviz.tubes.routes import Tube

ABOUT = """\
touch: a tube comes too near to something that stands still.

The least distance between the tube's wall and wood, metal or anything fixed is held against
[clearance] fixed, or the part's own clearance where that is more. Where a tie holds the tube to a part it may
lie on that part. The part that carries its nipple is left out close to the nipple, but the tube may
not enter it there either. A tube that runs inside something is told with the length that is buried.
A tee or coupler that stands in another part is a caution: one of them was taped wrongly.

Mend it: move the corner nearest to the place, or check the part's measurements.
"""


def check(cabinet: Cabinet, tubes: Sequence[Tube], measured: Measured) -> list[Finding]:
    """Return what is touched, worst place of each tube and part, and what lies inside wood."""
    judged = [(one, _severity(one, cabinet)) for one in measured.buried]
    # What is inside is told by its length, not by nearness too; what surely enters is told once.
    told = {(b.tube, b.solid) for b, severity in judged if b.length_mm > 0 or severity == "fault"}
    still = [
        n
        for n in measured.solids
        if isinstance(cabinet.solids[n.other].movement, Fixed) and (n.tube, n.other) not in told
    ]
    found = too_near("touch", still, cabinet, tubes, measured)
    found += [_buried(one, severity, cabinet, tubes) for one, severity in judged if severity]
    return found + [
        _standing_in(one, cabinet)
        for one in measured.foulings
        if isinstance(cabinet.solids[one.moving].movement, Fixed)
    ]


def _standing_in(one: Fouling, cabinet: Cabinet) -> Finding:
    join, other = cabinet.solids[one.moving], cabinet.solids[one.other]
    return Finding(
        rule="touch",
        severity="caution",
        tube=None,
        other=join.name,
        says=f"{join.name} stands in {other.name}",
        remedy="measure again where both are",
        point=one.point,
    )


def _severity(one: Buried, cabinet: Cabinet) -> Severity | None:
    """Return how a buried length stands against its limit: where the tube may lie on a part, that is zero."""
    limit = asked_mm(cabinet, cabinet.solids[one.solid]) if one.length_mm > 0 else 0.0
    return verdict(one.low_mm, limit, cabinet.limits.survey_mm)


def _buried(one: Buried, severity: Severity, cabinet: Cabinet, tubes: Sequence[Tube]) -> Finding:
    solid, inside = cabinet.solids[one.solid], one.length_mm > 0
    if inside:
        says = f"{mm(one.length_mm)} of it lie inside {solid.name}, from {round(one.along_mm)} mm along"
    else:
        says = f"its wall enters {solid.name} by {mm(-one.low_mm)}, {round(one.along_mm)} mm along"
    return Finding(
        rule="touch",
        severity=severity,
        tube=tubes[one.tube].name,
        other=solid.name,
        says=says + doubted(severity, cabinet.limits.survey_mm),
        remedy="lead the tube round it, or check where the part and the corners were taped",
        low=one.length_mm if inside else one.low_mm,
        high=one.length_mm if inside else one.high_mm,
        limit=0.0,
        unit="mm",
        point=one.point,
        along_mm=one.along_mm,
    )
