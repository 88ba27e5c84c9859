"""The sheet that is pinned up: one page, in the largest letters that let all runs stand on it."""

from dataclasses import dataclass

from routeviz.lay import Lay
from routeviz.records.flow import Flow
from routeviz.records.paper import Page, line, sized, square
from routeviz.records.settings import Settings
from routeviz.records.typefaces import CAPITALS, MM_PER_PT, lines_of, rise_mm, shortened
from routeviz.records.wall import WallRun, WallSheet, wall_sheet
from routeviz.views.listing import counted_tubes

TITLE = "Wall sheet: runs in order of work"
SIZES_PT = tuple(
    quarter / 4 for quarter in range(64, 25, -1)
)  # the largest that fits is taken; a tape shows 16 pt
NOTES = 0.62  # size of notes beside that of runs
HEAD = 1.2  # size of a run's name, likewise
LABEL = 0.55  # size of the word over a box, likewise
BUT = "▲ "
SPLIT = 0.38  # of a card: where it is begun, at the left; its way, at the right


@dataclass(frozen=True, slots=True, kw_only=True)
class _Card:
    """A run's words, broken into the lines that they take."""

    run: WallRun
    head: list[str]
    left: list[str]
    right: list[str]
    buts: list[str]


def wall_pages(lay: Lay, settings: Settings) -> list[Page]:
    """Return the wall sheet: one page, unless letters would be too small to read."""
    return pages_of(wall_sheet(lay, settings), settings)


def pages_of(sheet: WallSheet, settings: Settings) -> list[Page]:
    """Return a wall sheet's pages, upright or lying, whichever allows the larger letters."""
    tried: list[Flow] = []
    for pt in SIZES_PT:
        for lying in (False, True):
            tried.append(_filled(sheet, settings, pt, lying))
            if len(tried[-1].pages) == 1:
                return tried[-1].pages
    return tried[-1].pages


def _filled(sheet: WallSheet, settings: Settings, pt: float, lying: bool) -> Flow:
    flow = Flow(settings.paper, TITLE, lying=lying)
    leaned = ", the case on its back" if settings.worker == "leaned" else ""
    title = shortened(sheet.title, 11.0, flow.wide)  # whole on the first page of the set
    flow.paragraph(title, 11.0, after=0.0)
    flow.paragraph(f"Seen from the {sheet.seen_from}{leaned}; the large number is the run's.", 10.0)
    for caution in sheet.cautions:
        flow.paragraph(f"{BUT}{caution[:1].upper()}{caution[1:]}.", pt * 0.9, bold=True)
    stage = None
    for run in sheet.runs:
        if run.stage != stage:
            flow.paragraph(f"Stage: {run.stage}", pt, bold=True, after=0.5)
            stage = run.stage
        _put_card(flow, run, pt)
    if not sheet.runs:
        flow.paragraph("No tubes yet.", pt)
    flow.page.draw(line((flow.left, flow.y), (flow.left + flow.wide, flow.y), 0.3))
    flow.skip(1.0)
    flow.bullets(sheet.notes, min(pt * NOTES, 10.0))
    return flow


def _card(flow: Flow, run: WallRun, pt: float) -> _Card:
    room = _room(flow, pt)
    head = f"{run.says}: {counted_tubes(len(run.tubes))}, tag{'s' if len(run.tubes) > 1 else ''} {run.tags}"
    way, past = ", then ".join(run.through), ", ".join(run.past)
    right = room * (1 - SPLIT)
    return _Card(
        run=run,
        head=lines_of(head, pt * HEAD, room, bold=True),
        left=lines_of(f"first on: {run.first}", pt, room * SPLIT - 3.0),
        right=[*lines_of(f"through {way or 'no passage'}", pt, right), *lines_of(past, pt, right)],
        buts=lines_of("   ".join(BUT + but for but in run.exceptions), pt, room + _side(pt), bold=True),
    )


def _room(flow: Flow, pt: float) -> float:
    return flow.wide - 2 * _side(pt) - 2.0


def _side(pt: float) -> float:
    """Return how wide the columns at both sides are, with boxes to be ticked."""
    return 3.1 * pt * MM_PER_PT + 2.0


def _put_card(flow: Flow, run: WallRun, pt: float) -> None:
    card = _card(flow, run, pt)
    middle = max(len(card.left), len(card.right))
    high = len(card.head) * sized(pt * HEAD) + (middle + len(card.buts)) * sized(pt) + 2.4
    flow.need(high)
    top, left = flow.y, flow.left
    flow.page.draw(line((left, top), (left + flow.wide, top), 0.3))
    flow.y = top + 1.2
    _ticks(flow, card.run, pt, flow.y)
    begin = left + _side(pt) + 1.0
    _column(flow.page, (begin, flow.y), card.head, pt * HEAD, bold=True)
    flow.y += len(card.head) * sized(pt * HEAD)
    _column(flow.page, (begin, flow.y), card.left, pt)
    _column(flow.page, (begin + _room(flow, pt) * SPLIT, flow.y), card.right, pt)
    flow.y += middle * sized(pt)
    _column(flow.page, (begin, flow.y), card.buts, pt, bold=True)
    flow.y = top + high


def _ticks(flow: Flow, run: WallRun, pt: float, top: float) -> None:
    """Put the boxes at both sides, each with its word, and the run's number beside the first."""
    size, small = pt * MM_PER_PT, pt * LABEL
    side, right = 1.1 * size, flow.left + flow.wide
    page = flow.page
    page.draw(square(flow.left, top + 0.4, side), square(right - side, top + 0.4, side))
    base = top + 0.6 + side + rise_mm(small)
    page.write((flow.left, base), "laid", small)
    page.write((right, base), "tested", small, anchor="end")
    number = flow.left + side + 1.2, top + 0.4 + side / 2 + CAPITALS * 1.4 * size / 2
    page.write(number, str(run.run), pt * 1.4, bold=True)


def _column(page: Page, at: tuple[float, float], lines: list[str], pt: float, *, bold: bool = False) -> None:
    for k, text in enumerate(lines):
        page.write((at[0], at[1] + k * sized(pt) + rise_mm(pt)), text, pt, bold=bold)
