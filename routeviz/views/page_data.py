"""All that the page shows of a lay, as one value that JSON can say; the page itself is made in page.py.

It only translates: looks and words are decided in shades.py, display.py and listing.py, eyes in closeups.py.
Lengths are millimetres to four decimals; arrays are text, as page_numbers.py writes them.
"""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

from routeviz.geometry.arrays import Floats
from routeviz.lay import Lay
from routeviz.scene.lengths import INCHES
from routeviz.tubes.plans import TakenPlan
from routeviz.views.cameras import View, framed
from routeviz.views.display import SIDES, legend_of, outermost, title_of
from routeviz.views.items import blames_of, nipple_ends, passage_lines
from routeviz.views.listing import counted, summary
from routeviz.views.page_findings import finding_entries
from routeviz.views.page_forms import Forms, Standing, forms_of
from routeviz.views.page_known import known_scene
from routeviz.views.page_looks import Looks, Seen, legend_entries, sign_entries
from routeviz.views.page_numbers import rounded, triple
from routeviz.views.page_things import (
    nipple_entries,
    part_entries,
    passage_entries,
    solid_entries,
    space_entries,
)
from routeviz.views.page_tubes import centrelines, tube_entries
from routeviz.views.page_work import cautions, run_entries, work_entries
from routeviz.views.safety import SAFETY

FORMAT = 1
ASPECT = 1.6  # width over height of the pictures for which the views are framed
LEAST_MM = 1.0  # of the box that holds everything: even a single point is looked at from somewhere


def page_data(lay: Lay) -> dict[str, Any]:
    """Return all that the page shows of a lay.

    Parameters
    ----------
    lay : Lay
        As checked.

    Returns
    -------
    data : dict
        Of texts, finite numbers, lists and dicts; the same for the same lay, always.
    """
    cabinet, tubes, findings = lay.cabinet, lay.tubes, lay.findings
    seen = Seen(looks=Looks(), blames=blames_of(findings))
    forms, solids, spaces = forms_of(cabinet.solids, cabinet.keep_clear)
    drawn = centrelines(tubes)
    points = _points(lay, drawn, forms, [*solids, *spaces])
    things = {
        "parts": part_entries(lay),
        "forms": list(forms.entries),
        "solids": solid_entries(cabinet.solids, solids, lay.measured, seen),
        "spaces": space_entries(cabinet.keep_clear, spaces, seen),
        "passages": passage_entries(lay, seen),
        "nipples": nipple_entries(cabinet.nipples.values(), seen.looks),
        "tubes": tube_entries(lay, seen),
    }
    legend = legend_entries(legend_of(cabinet, tubes, findings), seen.looks)
    return {
        "format": FORMAT,
        "title": title_of(cabinet),
        "scene": Path(lay.reading.file).name,
        "units": "in" if lay.reading.scene.units in INCHES else "mm",
        "summary": summary(findings, len(tubes)),
        "counts": counted(findings),
        "known": known_scene(lay.reading),
        "proved": list(lay.proved),
        "plan": None if lay.taken is None else _plan(lay.taken),
        "reach": rounded(lay.measured.reach_mm),
        "bounds": _bounds(points),
        "aspect": ASPECT,
        "views": _views(outermost(points)),
        "legend": legend,
        "looks": seen.looks.entries(),
        "signs": sign_entries(),
        **things,
        "findings": finding_entries(lay),
        "runs": run_entries(lay),
        "work": work_entries(lay),
        "cautions": cautions(lay),
        "safety": list(SAFETY),
    }


def _points(lay: Lay, drawn: Sequence[Floats | None], forms: Forms, standing: Sequence[Standing]) -> Floats:
    """Return points that reach as far as anything that is drawn, at rest."""
    points = [np.zeros((0, 3)), *(forms.points[one.form] + one.at for one in standing)]
    points += [passage_lines(p).reshape(-1, 3) for p in lay.cabinet.passages.values()]
    points += [np.stack(nipple_ends(nipple)) for nipple in lay.cabinet.nipples.values()]
    for tube, line in zip(lay.tubes, drawn, strict=True):
        if line is not None:
            radius = tube.kind.outside_mm / 2
            points += [line - radius, line + radius]
        if tube.measured is not None:
            points.append(tube.measured)
        points += [end.point[None] for end in (tube.start, tube.end) if end.point is not None]
    return np.concatenate(points)


def _bounds(points: Floats) -> list[list[float]]:
    """Return least and greatest corner of the box about points, which is never without size."""
    if not len(points):
        points = np.zeros((1, 3))
    low, high = points.min(axis=0), points.max(axis=0)
    lacks = np.maximum(LEAST_MM - (high - low), 0.0) / 2
    return [triple(low - lacks), triple(high + lacks)]


def _views(points: Floats) -> list[dict[str, Any]]:
    """Return the views of the whole, which points that lie outermost must be in."""
    return [_view(framed(side, points, ASPECT)) for side in SIDES]


def _view(view: View) -> dict[str, Any]:
    return {
        "name": view.name,
        "title": view.title,
        "eye": triple(view.eye),
        "target": triple(view.target),
        "up": triple(view.up),
        "parallel": view.parallel,
        "height": rounded(view.height_mm),
    }


def _plan(taken: TakenPlan) -> dict[str, Any]:
    return {"file": Path(taken.file).name, "stale": taken.stale, "laid": len(taken.laid)}
