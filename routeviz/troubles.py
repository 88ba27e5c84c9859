"""What did the checks find wrong with planned tubes that another route can cure, as the planner takes it?"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from routeviz.checks.findings import Finding
from routeviz.geometry.curves import points_along
from routeviz.lay import Lay
from routeviz.planning.steps import Trouble
from routeviz.tubes.routes import Tube

CURABLE = ("kink", "rub", "touch", "squeeze", "crowd", "miss", "intrude", "hang", "stretch", "square")
STEP_MM = 1.0  # between the places among which the one nearest to a point is looked for
LEAST_LACKING = 1e-3  # told of what has no number, or one that only the slack of a check forgives
SAME_MM = 0.05  # width of a measured interval: what lacks as much but for that has not changed


def troubles_of(lay: Lay) -> tuple[Trouble, ...]:
    """Return what is wrong with planned tubes, as far as another route can cure it.

    Parameters
    ----------
    lay : Lay
        A lay, checked.

    Returns
    -------
    troubles : tuple of Trouble
        Of faults and cautions, worst first; of a passage that is too full one for each of its planned tubes;
        then bends that the checks only just forgive.
    """
    planned = {tube.name: tube for tube in lay.tubes if tube.planned}
    found: list[Trouble] = []
    for finding in lay.findings:
        if finding.rule in CURABLE and finding.severity != "note":
            found += _troubles(finding, planned, lay)
    told = {one.tube for one in found if one.rule == "kink"}
    return (*found, *(one for one in forgiven(lay) if one.tube not in told))


def forgiven(lay: Lay) -> tuple[Trouble, ...]:
    """Return the planned bends below the least, vacuum not counted: a plan owes the whole of it.

    Parameters
    ----------
    lay : Lay
        A lay, checked.

    Returns
    -------
    troubles : tuple of Trouble
        One a tube, in the order of the file; those that the checks tell of are among them.
    """
    found = []
    for tube, bend in zip(lay.tubes, lay.measured.bends, strict=True):
        least = lay.measured.least_bends[tube.kind.name].radius_mm
        if tube.planned and bend is not None and least is not None and bend.radius_mm < least:
            lacks = max(least - bend.radius_mm, LEAST_LACKING)
            found.append(
                Trouble(rule="kink", tube=tube.name, other=None, along_mm=bend.along_mm, lacks_mm=lacks)
            )
    return tuple(found)


def is_as_before(troubles: Sequence[Trouble], before: Sequence[Trouble]) -> bool:
    """Return whether the same is wrong as before, and by as much: to ask for it has gained nothing."""
    known = {(one.rule, one.tube, one.other): one.lacks_mm for one in before}
    now = {(one.rule, one.tube, one.other): one.lacks_mm for one in troubles}
    return known.keys() == now.keys() and all(abs(known[key] - now[key]) <= SAME_MM for key in now)


def _troubles(finding: Finding, planned: dict[str, Tube], lay: Lay) -> list[Trouble]:
    if finding.rule == "crowd":
        through = {
            lay.tubes[c.tube].name: c.along_mm
            for c in lay.measured.crossings
            if c.passage == finding.other and c.net != 0
        }
        return [
            _trouble(finding, name, finding.other, through.get(name, 0.0))
            for name in finding.tubes
            if name in planned
        ]
    if finding.tube in planned:
        return [_trouble(finding, str(finding.tube), finding.other, _along(finding, planned))]
    if finding.other in planned:  # a drawn tube and a planned one: it is the planned one that can give way
        told = replace(finding, tube=finding.other, along_mm=None)
        return [_trouble(finding, str(finding.other), finding.tube, _along(told, planned))]
    return []


def _along(finding: Finding, planned: dict[str, Tube]) -> float:
    """Return where on a planned tube something was found; for want of a length, the place nearest to it."""
    if finding.along_mm is not None:
        return finding.along_mm
    curve = planned[str(finding.tube)].curve
    if finding.point is None or curve is None:
        return 0.0
    along = np.arange(0.0, float(curve.begins[-1]), STEP_MM)
    off = points_along(curve, along) - finding.point
    return float(along[np.argmin((off * off).sum(axis=1))])


def _trouble(finding: Finding, tube: str, other: str | None, along_mm: float) -> Trouble:
    known = finding.low is not None and finding.limit is not None
    lacks = abs((finding.limit or 0.0) - (finding.low or 0.0)) if known else 0.0
    return Trouble(
        rule=finding.rule,
        tube=tube,
        other=other,
        along_mm=along_mm,
        lacks_mm=max(lacks, LEAST_LACKING),
    )
