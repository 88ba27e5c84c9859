"""Do more tubes go through a passage than it holds? How many it holds is proved in geometry/packing.py."""

from collections.abc import Sequence

from routeviz.cabinet.solids import Cabinet
from routeviz.checks.findings import Finding, Severity
from routeviz.checks.words import mm
from routeviz.tubes.measured import Measured, PassageUse
from routeviz.tubes.routes import Tube

ABOUT = """\
crowd: more tubes go through a passage than it holds.

What a passage holds is told as a range: so many were really packed into it, and more than so many are
impossible. Above the impossible number, or above the passage's own `most`, is a fault; between the
two numbers is a caution.

Mend it: send some tubes through another passage, or make this one larger if the instrument allows it.
"""


def check(cabinet: Cabinet, tubes: Sequence[Tube], measured: Measured) -> list[Finding]:
    """Return passages that are too full."""
    found = []
    for use in measured.passages:
        most = cabinet.passages[use.passage].most
        count = len(use.tubes)
        if most is not None and count > most:
            found.append(_finding(use, cabinet, tubes, "fault", most, f"at most {most} are wanted there"))
        elif count > use.bound:
            says = f"more than {use.bound} of {mm(use.outside_mm)} cannot be got in"
            found.append(_finding(use, cabinet, tubes, "fault", use.bound, says))
        elif count > use.found:
            says = f"{use.found} of {mm(use.outside_mm)} were packed in; more than {use.bound} is impossible"
            found.append(_finding(use, cabinet, tubes, "caution", use.found, says))
    return found


def _finding(
    use: PassageUse, cabinet: Cabinet, tubes: Sequence[Tube], severity: Severity, limit: int, says: str
) -> Finding:
    count = len(use.tubes)
    return Finding(
        rule="crowd",
        severity=severity,
        tube=None,
        other=use.passage,
        says=f"{count} tubes go through {use.passage}; {says}",
        remedy=f"send {count - limit} of them another way",
        low=float(count),
        high=float(count),
        limit=float(limit),
        unit="tubes",
        point=cabinet.passages[use.passage].origin,
        tubes=tuple(tubes[i].name for i in use.tubes),
    )
