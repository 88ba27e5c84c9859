"""Does a tube hang into something between its supports? How far it sags is in tubes/hanging.py."""

from collections.abc import Sequence

from routeviz.cabinet.solids import Cabinet, asked_mm
from routeviz.checks.findings import Finding, Severity, verdict
from routeviz.checks.words import meets, mm
from routeviz.tubes.measured import Measured, Span
from routeviz.tubes.routes import Tube

ABOUT = """\
hang: a tube hangs into something.

Between nipples and ties a soft tube sags. How far is estimated from its weight, its stiffness and the way the
case stands, as a range: held stiffly at both ends, and held loosely. The clearance to what lies
below is taken again with the tube sagging. Too little even when held stiffly is a fault; too little
only when held loosely is a caution. A sag of more than a tenth of the span cannot be estimated so: none is
told, and the tube is looked at hanging as low as the formula says or its length lets it, whichever is less.
Tubing without a known stiffness or weight is not judged.

Mend it: tie the tube near the middle of the span.
"""


def check(cabinet: Cabinet, tubes: Sequence[Tube], measured: Measured) -> list[Finding]:
    """Return spans that hang too near to something."""
    survey = cabinet.limits.survey_mm
    found = []
    for span in measured.spans:
        if span.below is None:
            continue
        limit = asked_mm(cabinet, cabinet.solids[span.below])
        if verdict(span.clear_low_mm, limit) is None:
            continue
        sure = verdict(span.clear_high_mm, limit, survey) == "fault"
        found.append(_finding(span, "fault" if sure else "caution", limit, cabinet, tubes))
    return found


def _finding(
    span: Span, severity: Severity, limit: float, cabinet: Cabinet, tubes: Sequence[Tube]
) -> Finding:
    below = cabinet.solids[span.below or 0].name
    middle = round((span.from_mm + span.to_mm) / 2)
    return Finding(
        rule="hang",
        severity=severity,
        tube=tubes[span.tube].name,
        other=below,
        says=f"{_sags(span)} between {span.from_mm:.0f} and "
        f"{span.to_mm:.0f} mm along, and at the worst {meets(below, span.clear_low_mm)}; "
        f"{mm(limit)} wanted",
        remedy=f"tie it near {middle} mm along",
        low=span.clear_low_mm,
        high=span.clear_high_mm,
        limit=limit,
        unit="mm",
        point=span.point,
        along_mm=span.along_mm,
        travel=span.travel,
    )


def _sags(span: Span) -> str:
    """Return how far a span sags, as far as that can be estimated."""
    low, high, most = span.sag_low_mm, span.sag_high_mm, f"at most {span.sag_most_mm:.0f} mm"
    if high is not None:
        return f"sags {low or 0.0:.0f} to {high:.0f} mm"
    if low is not None:
        return f"sags {low:.0f} mm or more, {most}"
    return f"sags too far for an estimate, {most}"
