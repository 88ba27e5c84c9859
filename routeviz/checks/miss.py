"""Does a tube go through the passages that it names, in that order, and through no other?"""

from collections.abc import Sequence

from routeviz.cabinet.solids import Cabinet
from routeviz.checks.findings import SLACK_MM, Finding, verdict
from routeviz.checks.words import doubted, mm, named
from routeviz.tubes.measured import Crossing, Measured
from routeviz.tubes.routes import Tube

ABOUT = """\
miss: a tube does not go through the passages that it names.

Through a passage means: in at one side and out at the other, once more than back, in the order named, with
the whole tube inside the opening, less the clearance, at every depth. A passage that a tube goes
through without naming it is a caution.

Mend it: lead the tube through the opening, or correct `through`.
"""


def check(cabinet: Cabinet, tubes: Sequence[Tube], measured: Measured) -> list[Finding]:
    """Return passages missed, left at the rim, taken out of order, or taken without being named."""
    found = []
    for one in measured.crossings:
        if one.named and one.net != 1:
            found.append(_missed(one, tubes))
        elif one.named:
            found += _rim(one, cabinet, tubes)
        elif one.net != 0:
            found.append(_unnamed(one, tubes))
    for index, tube in enumerate(tubes):
        found += _order(index, tube, measured)
    return found


def _missed(one: Crossing, tubes: Sequence[Tube]) -> Finding:
    did = "does not go through it" if one.net == 0 else f"goes through it {one.net} times more than back"
    return Finding(
        rule="miss",
        severity="fault",
        tube=tubes[one.tube].name,
        other=one.passage,
        says=f"names {one.passage} but {did}",
        remedy=f"lead it through {one.passage}, or correct `through`",
        low=float(one.net),
        high=float(one.net),
        limit=1.0,
        unit="crossings",
        point=one.point,
        along_mm=one.along_mm,
    )


def _rim(one: Crossing, cabinet: Cabinet, tubes: Sequence[Tube]) -> list[Finding]:
    limit = cabinet.limits.fixed_mm
    severity = verdict(one.margin_low_mm, limit, cabinet.limits.survey_mm)
    if severity is None or cabinet.passages[one.passage].solid is not None:
        return []  # the rim of a hole in a board is wood: touch tells it
    return [
        Finding(
            rule="miss",
            severity=severity,
            tube=tubes[one.tube].name,
            other=one.passage,
            says=f"{_from_rim(one)}; {mm(limit)} wanted{doubted(severity, cabinet.limits.survey_mm)}",
            remedy=f"lead it {mm(limit - one.margin_low_mm)} further in",
            low=one.margin_low_mm,
            high=one.margin_high_mm,
            limit=limit,
            unit="mm",
            point=one.point,
            along_mm=one.along_mm,
        )
    ]


def _from_rim(one: Crossing) -> str:
    if one.margin_low_mm < -SLACK_MM:
        return f"runs {mm(-one.margin_low_mm)} into the rim of {one.passage}"
    return f"is {mm(max(one.margin_low_mm, 0.0))} inside the rim of {one.passage}"


def _unnamed(one: Crossing, tubes: Sequence[Tube]) -> Finding:
    return Finding(
        rule="miss",
        severity="caution",
        tube=tubes[one.tube].name,
        other=one.passage,
        says=f"goes through {one.passage} without naming it",
        remedy=f"add {one.passage!r} to `through`, or lead the tube another way",
        point=one.point,
        along_mm=one.along_mm,
    )


def _order(index: int, tube: Tube, measured: Measured) -> list[Finding]:
    along = {c.passage: c.along_mm for c in measured.crossings if c.tube == index and c.named and c.net == 1}
    asked = [name for name in tube.through if name in along]
    taken = sorted(asked, key=lambda name: along[name])
    if asked == taken:
        return []
    return [
        Finding(
            rule="miss",
            severity="fault",
            tube=tube.name,
            other=asked[0],
            says=f"goes through {named(taken)} in that order, but names {named(asked)}",
            remedy="correct the order in `through`, or the route",
        )
    ]
