"""Does a tube's bore hold on the nipples that it is pushed over?"""

from collections.abc import Sequence

from routeviz.cabinet.solids import Cabinet
from routeviz.checks.findings import Finding, Severity
from routeviz.checks.words import mm
from routeviz.tubes.measured import Measured
from routeviz.tubes.routes import Tube

ABOUT = """\
fit: a tube's bore does not suit its nipple.

Tubing holds by its own grip: the bore must be smaller than the nipple, or the tube leaks and creeps off.
A bore that must be stretched by more than [practice] fit_stretch_percent is hard to push on and may split
with age. Wires are not asked.

Mend it: use the tubing that belongs to the nipple, or an adapter of both sizes.
"""


def check(cabinet: Cabinet, tubes: Sequence[Tube], measured: Measured) -> list[Finding]:
    """Return ends whose bore is too large or too small for the nipple."""
    found = []
    for tube in tubes:
        if tube.carries == "wire":
            continue
        for end in (tube.start, tube.end):
            if end.nipple:
                found += _end(tube, end.nipple, cabinet)
    return found


def _end(tube: Tube, name: str, cabinet: Cabinet) -> list[Finding]:
    nipple, bore = cabinet.nipples[name], tube.kind.bore_mm
    over = 100 * (nipple.outside_mm / bore - 1)
    most = cabinet.practice.fit_stretch_percent
    sizes = f"bore {mm(bore)} on {name}, {mm(nipple.outside_mm)} outside"
    severity: Severity
    if over <= 0:
        severity, says, limit = "fault", f"{sizes}: no grip, it will creep off", 0.0
    elif over > most:
        severity, says, limit = "caution", f"{sizes}: stretched by {over:.0f} %; {most:.0f} % at most", most
    else:
        return []
    return [
        Finding(
            rule="fit",
            severity=severity,
            tube=tube.name,
            other=name,
            says=says,
            remedy="use the tubing that belongs to this nipple, or an adapter",
            low=over,
            high=over,
            limit=limit,
            unit="percent",
            point=nipple.tip,
        )
    ]
