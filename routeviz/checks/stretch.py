"""Is a tube long enough for its way, not too long, and within what its tubing allows?"""

from collections.abc import Sequence

from routeviz.cabinet.solids import Cabinet
from routeviz.checks.findings import SLACK_MM, Finding, Severity
from routeviz.checks.words import mm
from routeviz.tubes.measured import Measured
from routeviz.tubes.routes import Tube

ABOUT = """\
stretch: a tube is too short or too long.

A tube's own length, as cut or found, is held against its centreline and what goes over the nipples at both
ends, with what is to be left over at a loose end. Shorter is a fault: it would be stretched and creep
off. Much longer is a caution: most later trouble comes from tubes left too long. A tubing's `longest`
is a limit on the centreline.

Mend it: cut a new one, or take a shorter way.
"""


def check(cabinet: Cabinet, tubes: Sequence[Tube], measured: Measured) -> list[Finding]:
    """Return tubes that are too short, too long, or over their tubing's limit."""
    found = []
    for tube, length in zip(tubes, measured.lengths_mm, strict=True):
        if tube.curve is None:
            continue
        if tube.cut_mm is not None:
            found += _as_cut(tube, float(length), tube.cut_mm, cabinet)
        if tube.kind.longest_mm is not None and length > tube.kind.longest_mm + SLACK_MM:
            says = f"is {mm(length)} long; {tube.kind.name} may be {mm(tube.kind.longest_mm)} at most"
            found.append(_finding(tube, "fault", says, "take a shorter way", (length, tube.kind.longest_mm)))
    return found


def needed_mm(tube: Tube, length_mm: float, cabinet: Cabinet) -> float:
    """Return the length to cut: the centreline, what goes over the nipples, and what is left over."""
    over = [cabinet.nipples[e.nipple].on_nipple_mm for e in (tube.start, tube.end) if e.nipple]
    return length_mm + sum(over) + tube.spare_mm


def _as_cut(tube: Tube, length: float, cut: float, cabinet: Cabinet) -> list[Finding]:
    needed = needed_mm(tube, length, cabinet)
    most = needed * (1 + cabinet.practice.slack_percent / 100)
    doubt = cabinet.limits.survey_mm
    if cut < needed - SLACK_MM:
        severity: Severity = "fault" if cut + doubt < needed - SLACK_MM else "caution"
        says = f"is {mm(cut)} long but its way takes {mm(needed)}: {mm(needed - cut)} short"
        return [_finding(tube, severity, says, "cut a new one; do not stretch it", (cut, needed))]
    if cut > most + SLACK_MM + doubt:
        says = f"is {mm(cut)} long and its way takes {mm(needed)}: {mm(cut - needed)} hang over"
        return [
            _finding(tube, "caution", says, "shorten it, or tie the rest where it cannot foul", (cut, most))
        ]
    return []


def _finding(tube: Tube, severity: Severity, says: str, remedy: str, numbers: tuple[float, float]) -> Finding:
    value, limit = (float(n) for n in numbers)
    return Finding(
        rule="stretch",
        severity=severity,
        tube=tube.name,
        other=None,
        says=says,
        remedy=remedy,
        low=value,
        high=value,
        limit=limit,
        unit="mm",
        point=tube.corners[0] if tube.corners is not None else None,
    )
