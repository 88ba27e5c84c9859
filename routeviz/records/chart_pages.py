"""Rows of nipples on paper, as they look from where the fitter stands, with where each leads.

Distances are not to scale: each nipple stands where it comes in the order from left to right, so that rows
that are set off against each other stay so.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from routeviz.lay import Lay
from routeviz.records.flow import Flow
from routeviz.records.paper import Oval, Page, line
from routeviz.records.row_charts import NO_TUBE, ChartPlace, RowChart, row_charts
from routeviz.records.settings import Settings
from routeviz.records.typefaces import CAPITALS, MM_PER_PT, lines_of, printable, width_mm

CELL, WIDEST = 8.2, 15.0  # width of a nipple's cell: the least, and the most where there is room
RADIUS = 3.2
NUMBER_PT, WORD_PT = 7.5, 6.5
LEAD_MM = 2.65  # from line to line of words that stand upright
ONE_LINE = 32.0  # up to which words are not broken
SHORTER = (22.0, 30.0, 40.0, 52.0)  # how long such a line may be: the first with which all has room
SAME_MM = 0.5  # nipples nearer to each other across than this stand one above the other
LEGEND = (
    "Thick ring: by way of a tee or coupler. Dashed ring: no tube, cap it. ▲: marked, see the tube "
    "list. The number "
    "in the ring is the nipple's, a tag stands with the words where it is another."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Strip:
    """A stretch of a chart: by row, each nipple with its place in the order from the left."""

    rows: tuple[tuple[tuple[int, ChartPlace], ...], ...]
    first: int


def chart_pages(lay: Lay, settings: Settings) -> list[Page]:
    """Return the row charts, one below the other; none where no part has rows."""
    charts = row_charts(lay, settings)
    if not charts:
        return []
    flow = Flow(settings.paper, "Row charts", lying=True)
    flow.paragraph(LEGEND, 8.0)
    tags = [tube.tag for tube in lay.tubes]
    for chart in charts:
        _put_chart(flow, chart, tags)
    return flow.pages


def _put_chart(flow: Flow, chart: RowChart, tags: Sequence[str]) -> None:
    step, cell, strips = _strips(chart, flow.wide)
    words = {one.nipple: _words(one, tags, cell) for row in chart.rows for one in row}
    highs = [_high(strip, words) for strip in strips]
    flow.heading(f"{chart.part}: {chart.seen}", highs[0])
    for strip, high in zip(strips, highs, strict=True):
        flow.need(high)
        _put_strip(flow, strip, words, (step, cell))
        flow.skip(3.0)


def _strips(chart: RowChart, wide: float) -> tuple[float, float, list[_Strip]]:
    """Return how far nipples that follow each other stand apart, how wide a cell is, and strips that fit."""
    ranks = _ranks([one.across_mm for row in chart.rows for one in row])
    rows = [[(ranks[one.across_mm], one) for one in row] for row in chart.rows]
    if any(one == other for row in rows for (one, _), (other, _) in pairwise(row)):
        rows = [list(enumerate(row)) for row in chart.rows]  # a row of which some stand one above the other
    gaps = [other - one for row in rows for (one, _), (other, _) in pairwise(row)]
    in_cell = max(min(gaps, default=1), 1)
    last = max((rank for row in rows for rank, _ in row), default=0)
    most = int((wide - CELL) / (CELL / in_cell)) + 1
    count = -(-(last + 1) // -(-(last + 1) // most))
    cell = min(wide / (1 + (count - 1) / in_cell), WIDEST)
    return (
        cell / in_cell,
        cell,
        [
            _Strip(
                first=first,
                rows=tuple(tuple(p for p in row if first <= p[0] < first + count) for row in rows),
            )
            for first in range(0, last + 1, count)
        ],
    )


def _ranks(places: Sequence[float]) -> dict[float, int]:
    """Return which place in the order from the left each distance has; what is nearly one distance is one."""
    ranks: dict[float, int] = {}
    rank, before = -1, -SAME_MM * 10
    for place in sorted(set(places)):
        if place - before > SAME_MM:
            rank, before = rank + 1, place
        ranks[place] = rank
    return ranks


def _words(one: ChartPlace, tags: Sequence[str], cell: float) -> list[str]:
    """Return what is said of a nipple, in as many lines as its cell takes."""
    tag = ", ".join(tags[k] for k in one.tubes)
    parts = ["▲" if one.mark else "", f"tag {tag}:" if tag and tag != str(one.number) else ""]
    parts += [f"{one.named}:" if one.named else "", one.leads_to]
    parts += [f"by {', '.join(one.joins)}" if one.joins else ""]
    text = " ".join(part for part in parts if part)
    most = int((cell - 0.8) / LEAD_MM)
    if width_mm(printable(text), WORD_PT) <= ONE_LINE:
        return lines_of(text, WORD_PT, ONE_LINE)
    for longest in SHORTER:
        lines = lines_of(text, WORD_PT, longest)
        if len(lines) <= most:
            return lines
    return [*lines[: most - 1], f"{lines[most - 1][:-2]}…"]


def _high(strip: _Strip, words: dict[str, list[str]]) -> float:
    return sum(2 * RADIUS + 2.5 + _longest(row, words) for row in strip.rows)


def _longest(row: Sequence[tuple[int, ChartPlace]], words: dict[str, list[str]]) -> float:
    return max((width_mm(text, WORD_PT) for _, one in row for text in words[one.nipple]), default=0.0)


def _put_strip(flow: Flow, strip: _Strip, words: dict[str, list[str]], how: tuple[float, float]) -> None:
    """Put a strip: above its uppermost of several rows and below the others stand the words."""
    step, cell = how
    for number, row in enumerate(strip.rows):
        longest, above = _longest(row, words), number == 0 and len(strip.rows) > 1
        middle = flow.y + RADIUS + 0.4 + (longest + 1.5 if above else 0.0)
        for rank, one in row:
            x = flow.left + cell / 2 + (rank - strip.first) * step
            _put_place(flow.page, (x, middle), one, words[one.nipple], above)
        if row:
            ends = [flow.left + cell / 2 + (rank - strip.first) * step for rank in (row[0][0], row[-1][0])]
            flow.page.draw(line((ends[0], middle), (ends[1], middle), 0.1, grey=0.8))
        for rank, one in row:
            x = flow.left + cell / 2 + (rank - strip.first) * step
            _put_ring(flow.page, (x, middle), one)
        flow.skip(2 * RADIUS + 2.5 + longest)


def _put_ring(page: Page, at: tuple[float, float], one: ChartPlace) -> None:
    x, y = at
    dashes = (1.0, 0.8) if one.leads_to == NO_TUBE else ()
    page.draw(Oval(centre=at, radii=(RADIUS, RADIUS), grey=1.0, filled=True))
    page.draw(Oval(centre=at, radii=(RADIUS, RADIUS), wide=0.8 if one.joins else 0.25, dashes=dashes))
    pt = NUMBER_PT if one.number < 1000 else 5.0
    page.write((x, y + CAPITALS * pt * MM_PER_PT / 2), str(one.number), pt, bold=True, anchor="middle")


def _put_place(
    page: Page, at: tuple[float, float], one: ChartPlace, lines: Sequence[str], above: bool
) -> None:
    """Put the words of a nipple, to be read from the right."""
    x, y = at
    begin = y - RADIUS - 1.0 if above else y + RADIUS + 1.0
    for k, text in enumerate(lines):
        across = x + (k - (len(lines) - 1) / 2) * LEAD_MM + CAPITALS * WORD_PT * MM_PER_PT / 2
        page.write((across, begin), text, WORD_PT, anchor="start" if above else "end", turn_deg=90.0)
