"""How clearances to solids are held against their limits; rub and touch differ only in what moves."""

from collections.abc import Iterable, Sequence
from itertools import groupby

from routeviz.cabinet.motions import Fixed
from routeviz.cabinet.solids import Cabinet, asked_mm
from routeviz.checks.findings import Finding, verdict
from routeviz.checks.words import counted_on, doubted, meets, mm, named, place_on, travelled
from routeviz.tubes.measured import Measured, Nearest
from routeviz.tubes.routes import Tube


def too_near(
    rule: str, nearest: Iterable[Nearest], cabinet: Cabinet, tubes: Sequence[Tube], measured: Measured
) -> list[Finding]:
    """Return a finding for each tube and part that are too near; the worst of a part's solids speaks.

    Parameters
    ----------
    rule : str
        ``rub`` or ``touch``.
    nearest : iterable of Nearest
        Pairs to judge.
    cabinet, tubes, measured
        As every check takes them.

    Returns
    -------
    findings : list of Finding
        One a tube and part.
    """
    survey = cabinet.limits.survey_mm
    broken = [
        (one.tube, cabinet.solids[one.other].part, _shortfall(one, cabinet), one)
        for one in nearest
        if verdict(one.low_mm, asked_mm(cabinet, cabinet.solids[one.other]), survey)
    ]
    broken.sort(key=lambda b: (b[0], b[1], -b[2], b[3].other))
    return [
        _finding(rule, [b[3] for b in group], cabinet, tubes, measured)
        for _, group in groupby(broken, key=lambda b: b[:2])
    ]


def _shortfall(one: Nearest, cabinet: Cabinet) -> float:
    return asked_mm(cabinet, cabinet.solids[one.other]) - one.low_mm


def _finding(
    rule: str, pairs: list[Nearest], cabinet: Cabinet, tubes: Sequence[Tube], measured: Measured
) -> Finding:
    worst = pairs[0]
    tube, solid = tubes[worst.tube], cabinet.solids[worst.other]
    limit = asked_mm(cabinet, solid)
    moves = not isinstance(solid.movement, Fixed)
    severity = verdict(worst.low_mm, limit, cabinet.limits.survey_mm) or "caution"
    where = place_on(tube, worst.along_mm, float(measured.lengths_mm[worst.tube]))
    inside = worst.high_mm <= -tube.kind.outside_mm / 2 + 1e-6
    state = f"runs inside {solid.name}" if inside else meets(solid.name, worst.low_mm)
    moment = f", {travelled(worst.travel)}" if moves else ""
    others = [cabinet.solids[p.other] for p in pairs]
    more = f"; so with {named(sorted((s.name for s in others), key=counted_on))}" if len(others) > 1 else ""
    doubt = doubted(severity, cabinet.limits.survey_mm)
    return Finding(
        rule=rule,
        severity=severity,
        tube=tube.name,
        other=solid.name,
        says=f"{state}, {where}{moment}; {mm(limit)} wanted{more}{doubt}",
        remedy=_remedy(severity, limit - worst.low_mm, moves),
        low=worst.low_mm,
        high=worst.high_mm,
        limit=limit,
        unit="mm",
        point=worst.point,
        along_mm=worst.along_mm,
        travel=worst.travel if moves else None,
    )


def _remedy(severity: str, shortfall_mm: float, moves: bool) -> str:
    if severity == "caution":
        return "measure this place again, or leave more room"
    way = "out of its travel" if moves else "away"
    return f"lead the tube {mm(shortfall_mm)} further {way} here, or tie it back"
