"""Rows of nipples as they look from where the fitter stands: number beside number, and where each leads."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from routeviz.cabinet.nipples import Nipple
from routeviz.geometry.arrays import Floats
from routeviz.lay import Lay
from routeviz.records.marks import marks_of
from routeviz.records.settings import Settings
from routeviz.records.tables import Column, Table
from routeviz.records.tube_ends import Net, nets_of, told_ends
from routeviz.scene.ranges import numbers_in
from routeviz.scene.wiring import copies_of
from routeviz.views.work_order import WORKERS

FEWEST = 8  # nipples that face one way on a part: fewer are told apart without a chart
LEVEL = 0.7  # of a unit vector: beyond it a nipple faces up or down more than to a side
UPWARDS = np.array([0.0, 0.0, 1.0])
NO_TUBE = "no tube: cap it"
COLUMNS = (
    Column(name="part", title="part", share=1.2),
    Column(name="row", title="row from above", share=0.6, align="right"),
    Column(name="place", title="place from the left", share=0.6, align="right"),
    Column(name="across_mm", title="from the leftmost", unit="mm", share=0.8, align="right"),
    Column(name="up_mm", title="from the lowest", unit="mm", share=0.8, align="right"),
    Column(name="number", title="number", share=0.6, align="right"),
    Column(name="tag", title="tag", share=0.6),
    Column(name="tube", title="tube", share=1.5),
    Column(name="leads_to", title="leads to", share=2.2),
    Column(name="joins", title="by way of", share=1.3),
    Column(name="mark", title="marked because", share=1.5),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartPlace:
    """A nipple, where it stands in its chart.

    Parameters
    ----------
    number : int
        Its number on the part.
    nipple : str
        Its name.
    across_mm, up_mm : float
        From the chart's left and lower edge, in true proportion.
    tubes : tuple of int
        Indices of what is on it; more than one is a fault.
    leads_to : str
        What is at the other end, behind tees and couplers too; what a loose end waits for.
    joins : tuple of str
        The tees and couplers on the way.
    named : str
        The tube's own name, where the scene gives one: an effect, a pedal; else empty.
    mark : str
        Why its tube is marked; else empty.
    """

    number: int
    nipple: str
    across_mm: float
    up_mm: float
    tubes: tuple[int, ...]
    leads_to: str
    joins: tuple[str, ...]
    named: str
    mark: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RowChart:
    """The nipples of a part that face one way.

    Parameters
    ----------
    part : str
        The part, or the copy of one that repeats.
    seen : str
        From where it is drawn, in words.
    wide_mm, high_mm : float
        From the first to the last nipple across, and from the lowest to the highest.
    rows : tuple of tuple of ChartPlace
        As the scene tapes them, the uppermost first; each from left to right.
    """

    part: str
    seen: str
    wide_mm: float
    high_mm: float
    rows: tuple[tuple[ChartPlace, ...], ...]


def row_charts(lay: Lay, settings: Settings) -> tuple[RowChart, ...]:
    """Return a chart for each part with a good many nipples, in the scene's order.

    Parameters
    ----------
    lay : Lay
        As checked.
    settings : Settings
        Where the worker stands.

    Returns
    -------
    charts : tuple of RowChart
        What faces up or down is drawn from there with the worker's right at the right; what faces to or away
        from the worker, from the worker's side; what faces sideways, from that side.
    """
    groups: dict[tuple[str, tuple[int, ...]], list[Nipple]] = defaultdict(list)
    for nipple in lay.cabinet.nipples.values():
        faces = tuple(np.rint(np.asarray(nipple.direction)).astype(int).tolist())
        groups[nipple.part, faces].append(nipple)
    known = _known(lay)
    rows = _rows_of_parts(lay)
    return tuple(
        _chart(part, some, rows.get(part, {}), known, settings.side)
        for (part, _), some in groups.items()
        if len(some) >= FEWEST
    )


def row_table(lay: Lay, settings: Settings) -> Table:
    """Return what stands in the charts, a row a nipple."""
    charts = row_charts(lay, settings)
    rows = tuple(
        (
            chart.part,
            row,
            place,
            round(one.across_mm, 1),
            round(one.up_mm, 1),
            one.number,
            ", ".join(lay.tubes[k].tag for k in one.tubes),
            ", ".join(lay.tubes[k].name for k in one.tubes),
            one.leads_to,
            ", ".join(one.joins),
            one.mark,
        )
        for chart in charts
        for row, places in enumerate(chart.rows, 1)
        for place, one in enumerate(places, 1)
    )
    notes = tuple(f"{chart.part}: {chart.seen}" for chart in charts)
    return Table(name="rows", title="Rows of nipples", columns=COLUMNS, rows=rows, notes=notes)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Known:
    """What is on each nipple by its name, and by tube: its net, its mark, what it waits for, its own name."""

    on: Mapping[str, Sequence[int]]
    nets: Mapping[int, Net]
    marks: Sequence[str]
    waits: Sequence[str | None]
    named: Sequence[str]


def _known(lay: Lay) -> _Known:
    on: dict[str, list[int]] = defaultdict(list)
    for k, ends in enumerate(told_ends(lay)):
        for end in ends:
            on[end].append(k)
    given = {wire.name for wire in lay.reading.wires if wire.entry.name is not None}
    return _Known(
        on=on,
        nets={k: net for net in nets_of(lay) for k in net.tubes},
        marks=marks_of(lay),
        waits=[tube.waits_for for tube in lay.tubes],
        named=[tube.name if tube.name in given else "" for tube in lay.tubes],
    )


def _rows_of_parts(lay: Lay) -> Mapping[str, Mapping[int, int]]:
    """Return by part, and by number on it, in which of its rows a nipple stands."""
    return {
        copy: {number: row for row, one in enumerate(part.rows) for number in numbers_in(one.holes)}
        for name, part in lay.reading.scene.part.items()
        for copy in copies_of(name, part)
    }


def _chart(
    part: str, nipples: Sequence[Nipple], rows: Mapping[int, int], known: _Known, side: str
) -> RowChart:
    right, up, seen = _view(np.asarray(nipples[0].direction), side)
    tips = np.array([nipple.tip for nipple in nipples])
    across, height = tips @ right, tips @ up
    across, height = across - across.min(), height - height.min()
    by_row: dict[int, list[ChartPlace]] = defaultdict(list)
    for nipple, x, y in zip(nipples, across.tolist(), height.tolist(), strict=True):
        by_row[rows.get(nipple.number, 0)].append(_place(nipple, x, y, known))
    ordered = [tuple(sorted(row, key=_along)) for row in by_row.values()]
    return RowChart(
        part=part,
        seen=seen,
        wide_mm=float(across.max()),
        high_mm=float(height.max()),
        rows=tuple(sorted(ordered, key=lambda row: -sum(one.up_mm for one in row) / len(row))),
    )


def _along(one: ChartPlace) -> tuple[float, float]:
    """Return by what places of a row are ordered: from the left; of those over each other, downwards."""
    return round(one.across_mm, 1), -one.up_mm


def _view(faces: Floats, side: str) -> tuple[Floats, Floats, str]:
    """Return which way is right and which is up in a chart, and from where it is seen."""
    axis, sense = WORKERS[side]
    look = np.zeros(3)
    look[axis] = sense
    right = np.cross(look, UPWARDS)
    if faces[2] > LEVEL:
        return right, look, f"seen from above, the {side} of the case nearest to you (below)"
    if faces[2] < -LEVEL:
        return right, -look, f"seen from below, looking up from the {side} of the case"
    along = float(faces @ look)
    if along < -LEVEL:
        return right, UPWARDS, f"seen from the {side}: the nipples face you"
    if along > LEVEL:
        return right, UPWARDS, f"seen from the {side}, through the part: the nipples face away from you"
    return np.cross(-faces, UPWARDS), UPWARDS, f"seen from the side to which the nipples face, not the {side}"


def _place(nipple: Nipple, across: float, height: float, known: _Known) -> ChartPlace:
    tubes = tuple(known.on.get(nipple.name, ()))
    nets = list(dict.fromkeys(known.nets[k] for k in tubes))
    ends = [end for net in nets for end in (*net.begins, *net.ends) if end != nipple.name]
    waits = [for_it for net in nets for k in net.tubes if (for_it := known.waits[k]) is not None]
    told = ", ".join(ends) + (f" (for {', '.join(waits)})" if waits else "")
    return ChartPlace(
        number=nipple.number,
        nipple=nipple.name,
        across_mm=across,
        up_mm=height,
        tubes=tubes,
        leads_to=told if tubes else NO_TUBE,
        joins=tuple(name for net in nets for name in net.joins),
        named=", ".join(known.named[k] for k in tubes if known.named[k]),
        mark="; ".join(known.marks[k] for k in tubes if known.marks[k]),
    )
