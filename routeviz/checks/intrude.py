"""Does a tube lie in a space that must be kept clear?"""

from collections.abc import Sequence

from routeviz.cabinet.solids import Cabinet
from routeviz.checks.findings import Finding, verdict
from routeviz.checks.words import doubted, meets, mm, place_on
from routeviz.tubes.measured import Measured
from routeviz.tubes.routes import Tube

ABOUT = """\
intrude: a tube lies in a space that must be kept clear.

A keep_clear part is a space in which nothing may lie, with its reason: the way in which the action is lifted
out, a door's swing, a hand's way to a screw. The tube's wall must stay out of it.

Mend it: lead the tube round the space, or make the space smaller if it asks for too much.
"""


def check(cabinet: Cabinet, tubes: Sequence[Tube], measured: Measured) -> list[Finding]:
    """Return tubes that lie in spaces to be kept clear."""
    found = []
    for one in measured.keep_clear:
        space, tube = cabinet.keep_clear[one.other], tubes[one.tube]
        limit = space.clearance_mm or 0.0
        severity = verdict(one.low_mm, limit, cabinet.limits.survey_mm)
        if not severity:
            continue
        where = place_on(tube, one.along_mm, float(measured.lengths_mm[one.tube]))
        through = one.high_mm <= -tube.kind.outside_mm / 2 + 1e-6
        state = f"runs through {space.name}" if through else meets(space.name, one.low_mm)
        found.append(
            Finding(
                rule="intrude",
                severity=severity,
                tube=tube.name,
                other=space.name,
                says=f"{state}, {where}; to be kept clear: {space.why}"
                + doubted(severity, cabinet.limits.survey_mm),
                remedy=f"lead the tube round it, {mm(limit - one.low_mm)} or more",
                low=one.low_mm,
                high=one.high_mm,
                limit=limit,
                unit="mm",
                point=one.point,
                along_mm=one.along_mm,
            )
        )
    return found
