"""Tubes as the page's data has them: the checked centreline, what is measured on it, and what belongs to it.

What stands in the case is in page_things.py, what was found in page_findings.py.
"""

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

import numpy as np

from routeviz.cabinet.motions import Fixed
from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.arrays import Floats
from routeviz.geometry.curves import chords
from routeviz.lay import Lay
from routeviz.tubes.measured import Bend, Measured, Nearest
from routeviz.tubes.routes import Tube
from routeviz.tubes.sleeves import sleeves_of
from routeviz.views.items import SAGITTA_MM, UNBLAMED, tube_look
from routeviz.views.page_known import known_at
from routeviz.views.page_looks import Seen
from routeviz.views.page_numbers import packed, placed_at, rounded, triple
from routeviz.views.shades import MARKED
from routeviz.views.work_ends import end_name
from routeviz.views.work_left import left_of


def centrelines(tubes: Sequence[Tube]) -> list[Floats | None]:
    """Return the checked centreline of each tube as points; the chords between them leave it by a tenth."""
    return [None if tube.curve is None else chords(tube.curve, SAGITTA_MM)[0] for tube in tubes]


def tube_entries(lay: Lay, seen: Seen) -> list[dict[str, Any]]:
    """Return the tubes of a lay; a centreline is told by its corners and the radii at them."""
    measured = lay.measured
    sleeves = _sleeves(lay.cabinet, lay.tubes)
    things, beside = _clearances(lay.cabinet, measured), _beside(measured, lay.tubes)
    keys = {wire.name: wire.key for wire in lay.reading.wires}
    left = left_of(lay)
    entries = []
    for index, (tube, bend) in enumerate(zip(lay.tubes, measured.bends, strict=True)):
        blame = seen.blames.get(tube.name, UNBLAMED)
        marked = MARKED.get(blame.severity) if blame.severity is not None else None
        entries.append(
            {
                **_words(tube),
                "left": None if (one := left[index]) is None else one.says,
                "look": seen.looks.number(tube_look(tube)),
                "marked": seen.looks.marked(marked),
                "severity": blame.severity,
                "numbers": list(blame.numbers),
                "length": None if tube.curve is None else rounded(float(measured.lengths_mm[index])),
                "bend": _bend(bend, tube, measured),
                "clearance": things.get(index),
                "beside": beside.get(index),
                **_route(tube),
                "taped": None if tube.measured is None else packed(tube.measured),
                "ties": [{"along": rounded(tie.along_mm), "to": tie.to} for tie in tube.ties],
                "sleeves": sleeves[index],
                "status": tube.status,
                "known": [] if tube.status is None else known_at(lay.reading, keys[tube.name]),
            }
        )
    return entries


def _words(tube: Tube) -> dict[str, Any]:
    return {
        "name": tube.name,
        "tag": tube.tag,
        "label": tube.label,
        "from": end_name(tube.start),
        "to": end_name(tube.end),
        "carries": tube.carries,
        "tubing": tube.kind.describes or tube.kind.name,
        "outside": rounded(tube.kind.outside_mm),
        "through": list(tube.through),
        "planned": tube.planned,
        "stage": tube.stage,
        "note": tube.note,
        "hidden": tube.hidden,
        "waits_for": tube.waits_for,
        "cut": rounded(tube.cut_mm),
    }


def _route(tube: Tube) -> dict[str, Any]:
    """Return corners and radii of the checked centreline; of a tube without one, where its ends lie."""
    if tube.curve is None or tube.corners is None or tube.radii is None:
        return {"corners": None, "radii": None, "ends": [placed_at(e.point) for e in (tube.start, tube.end)]}
    radii = np.where(np.isfinite(tube.radii), tube.radii, 0.0)  # infinite where it is no corner
    return {"corners": packed(tube.corners), "radii": packed(radii), "ends": None}


def _bend(bend: Bend | None, tube: Tube, measured: Measured) -> dict[str, Any] | None:
    """Return the tightest bend of a tube and the least that it may have; None for a straight one."""
    if bend is None or not np.isfinite(bend.radius_mm):
        return None
    least = measured.least_bends.get(tube.kind.name)
    return {
        "radius": rounded(bend.radius_mm),
        "least": None if least is None else rounded(least.radius_mm),
        "along": rounded(bend.along_mm),
        "point": triple(bend.point),
    }


def _clearances(cabinet: Cabinet, measured: Measured) -> dict[int, dict[str, Any]]:
    """Return by tube what of the case comes nearest to it, spaces to be kept clear included."""
    least: dict[int, tuple[Nearest, str, bool]] = {}
    named = [(pair, cabinet.solids[pair.other]) for pair in measured.solids]
    named += [(pair, cabinet.keep_clear[pair.other]) for pair in measured.keep_clear]
    for pair, solid in named:
        if pair.tube not in least or pair.low_mm < least[pair.tube][0].low_mm:
            least[pair.tube] = pair, solid.name, not isinstance(solid.movement, Fixed)
    return {tube: _near(pair, name, moves=moves) for tube, (pair, name, moves) in least.items()}


def _beside(measured: Measured, tubes: Sequence[Tube]) -> dict[int, dict[str, Any]]:
    """Return by tube which other tube comes nearest to it."""
    least: dict[int, tuple[Nearest, int]] = {}
    for pair in measured.tubes:
        for one, other in ((pair.tube, pair.other), (pair.other, pair.tube)):
            if one not in least or pair.low_mm < least[one][0].low_mm:
                least[one] = pair, other
    return {one: _near(pair, tubes[other].name, moves=False) for one, (pair, other) in least.items()}


def _near(pair: Nearest, name: str, *, moves: bool) -> dict[str, Any]:
    return {
        "mm": rounded(pair.low_mm),
        "other": name,
        "travel": rounded(pair.travel) if moves else None,
        "point": triple(pair.point),
    }


def _sleeves(cabinet: Cabinet, tubes: Sequence[Tube]) -> dict[int, list[dict[str, Any]]]:
    """Return by tube what lies over its nipples."""
    over = sleeves_of(cabinet, tubes)
    found: dict[int, list[dict[str, Any]]] = defaultdict(list)
    for tube, back, tip, radius in zip(over.tubes.tolist(), over.backs, over.tips, over.radii, strict=True):
        found[tube].append({"from": triple(back), "to": triple(tip), "radius": rounded(float(radius))})
    return found
