"""Does a tube bend more tightly than its tubing allows? What the tubing allows is in tubes/kinking.py."""

import math
from collections.abc import Sequence

from routeviz.cabinet.solids import Cabinet
from routeviz.checks.findings import Finding, Severity, verdict
from routeviz.checks.words import mm, named
from routeviz.tubes.measured import Bend, Measured
from routeviz.tubes.routes import Tube

ABOUT = """\
kink: a tube bends more tightly than its tubing stands.

The tightest bend of the centreline is held against the tubing's least bend radius, also to the centreline:
the maker's or what was entered, else a rule whose numbers are told. Tighter is a fault. Vacuum flattens soft
tubing sooner: the rule counts that in; what was entered stands, and tighter than it with the vacuum
counted in is a caution. Where nothing is known a caution asks for the radius: bend a piece of your
own tube until it flattens, and enter half the width of the loop.

Mend it: give the corner more room, turn in two places instead of one, or use another tubing.
"""

WITH_VACUUM = " with its vacuum in it"


def check(cabinet: Cabinet, tubes: Sequence[Tube], measured: Measured) -> list[Finding]:
    """Return tubes that kink, and tubing whose least bend radius nobody knows."""
    found = []
    for tube, bend in zip(tubes, measured.bends, strict=True):
        allowed = measured.least_bends[tube.kind.name]
        if bend is None or allowed.radius_mm is None:
            continue
        if verdict(bend.radius_mm, allowed.radius_mm):
            found.append(_finding(tube, bend, "fault", allowed.radius_mm, ""))
        elif allowed.caution_mm is not None and verdict(bend.radius_mm, allowed.caution_mm):
            found.append(_finding(tube, bend, "caution", allowed.caution_mm, WITH_VACUUM))
    return found + _unknown(cabinet, tubes, measured)


def _finding(tube: Tube, bend: Bend, severity: Severity, least: float, because: str) -> Finding:
    wanted = f"{mm(least)}" if math.isfinite(least) else "no bend at all"
    return Finding(
        rule="kink",
        severity=severity,
        tube=tube.name,
        other=None,
        says=f"bends to a radius of {mm(bend.radius_mm)} {round(bend.along_mm)} mm along; "
        f'tubing "{tube.kind.name}" wants {wanted}{because}',
        remedy="give this corner more room, or turn in two places instead of one",
        low=bend.radius_mm,
        high=bend.radius_mm,
        limit=least if math.isfinite(least) else None,
        unit="mm",
        point=bend.point,
        along_mm=bend.along_mm,
    )


def _unknown(cabinet: Cabinet, tubes: Sequence[Tube], measured: Measured) -> list[Finding]:
    found = []
    for kind, allowed in measured.least_bends.items():
        names = tuple(t.name for t in tubes if t.kind.name == kind and t.curve is not None)
        if allowed.radius_mm is None and names:
            try_it = f"bend a piece until it flattens and enter least_bend in [tubing.{kind}]"
            if cabinet.tubing[kind].material == "lead":
                try_it = "leave it as it lies: old lead is not bent, and its dust is poisonous"
            found.append(
                Finding(
                    rule="kink",
                    severity="caution",
                    tube=None,
                    other=kind,
                    says=f'no least bend of tubing "{kind}" is known ({allowed.words}): '
                    f"{named(names)} untested",
                    remedy=try_it,
                    tubes=names,
                )
            )
    return found
