"""Findings as the page's data has them: measured against allowed, where to mend, and from where to look.

From where each can really be seen is found in closeups.py.
"""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from routeviz.checks.findings import Finding
from routeviz.lay import Lay
from routeviz.views.closeups import Closeup, closeups_of
from routeviz.views.listing import subject
from routeviz.views.page_numbers import placed_at, rounded, triple


def finding_entries(lay: Lay) -> list[dict[str, Any]]:
    """Return all findings of a lay, worst first, each that has a place with an eye that sees it."""
    seen = closeups_of(list(enumerate(lay.findings, 1)), lay.cabinet, lay.tubes, lay.measured)
    eyes = {one.number: one for one in seen}
    solids = {solid.name: index for index, solid in enumerate(lay.cabinet.solids)}
    tubes = {tube.name: index for index, tube in enumerate(lay.tubes)}
    return [
        {
            "number": number,
            "rule": finding.rule,
            "severity": finding.severity,
            "subject": subject(finding),
            "other": finding.other,
            "says": finding.says,
            "remedy": finding.remedy,
            "measured": rounded(finding.low),
            "allowed": rounded(finding.limit),
            "unit": finding.unit,
            "along": rounded(finding.along_mm),
            "travel": rounded(finding.travel),
            "stage": finding.stage,
            "point": placed_at(finding.point),
            "lines": _lines(lay, finding),
            "tubes": _tubes(finding, tubes),
            **_looking(eyes.get(number), solids),
        }
        for number, finding in enumerate(lay.findings, 1)
    ]


def _lines(lay: Lay, finding: Finding) -> list[str]:
    """Return where a finding can be mended, as ``case.toml:12``; the scene's file where no line is known."""
    places = [f"{Path(place.file).name}:{place.line}" for place in lay.places_of(finding)]
    return places or [Path(lay.reading.file).name]


def _tubes(finding: Finding, tubes: Mapping[str, int]) -> list[int]:
    names = (finding.tube, finding.other, *finding.tubes)
    return list(dict.fromkeys(tubes[name] for name in names if name is not None and name in tubes))


def _looking(one: Closeup | None, solids: Mapping[str, int]) -> dict[str, Any]:
    """Return from where a finding is looked at, what fades, what is moved; nothing where it has no place."""
    if one is None:
        return {
            "eye": None,
            "target": None,
            "up": None,
            "height": None,
            "faded": [],
            "about": [],
            "moved": None,
        }
    return {
        "eye": one.view.eye.tolist(),
        "target": one.view.target.tolist(),
        "up": triple(one.view.up),
        "height": rounded(one.view.height_mm),
        "faded": sorted(one.faded),
        "about": list(one.about),
        "moved": None if one.moved is None else [solids[one.moved[0]], rounded(one.moved[1])],
    }
