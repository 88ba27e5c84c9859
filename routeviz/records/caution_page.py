"""The first page: what to heed before a hand goes into the case, what is in the set, how it was made."""

from collections.abc import Sequence

from routeviz.lay import Lay
from routeviz.records.flow import BULLET, Flow
from routeviz.records.paper import Page, sized
from routeviz.records.settings import SOURCES, Settings
from routeviz.records.typefaces import lines_of, rise_mm, width_mm
from routeviz.views.page_work import cautions
from routeviz.views.safety import SAFETY

TITLE = "Before you begin"
NEVER = (
    "These sheets tell where tubes lie. They are no licence and no code: where local rules on mains, "
    "lifting, lead or "
    "waste say otherwise, the rules hold, and what is for licensed hands is left to them.",
)
PT = 10.0


def caution_pages(lay: Lay, settings: Settings, contents: Sequence[tuple[str, str]]) -> list[Page]:
    """Return the first page of a set.

    Parameters
    ----------
    lay : Lay
        As checked.
    settings : Settings
        How the set was made.
    contents : sequence of (str, str)
        What is in it, and on which sheets.

    Returns
    -------
    pages : list of Page
        One, unless names are very long.
    """
    flow = Flow(settings.paper, TITLE)
    flow.paragraph(lay.reading.scene.title, 14.0, bold=True)
    about = lay.reading.scene.about
    if about:
        flow.paragraph(about, 9.0)
    for caution in cautions(lay):
        flow.paragraph(f"▲ {caution[:1].upper()}{caution[1:]}.", 11.0, bold=True)
    flow.heading("Heed")
    flow.bullets([f"{text}." for text in SAFETY], PT)
    for text in NEVER:
        flow.paragraph(text, PT, bold=True)
    flow.heading("In this set")
    for title, sheets in contents:
        _entry(flow, title, sheets)
    flow.heading("How it was made")
    flow.bullets(_made(settings), 8.5)
    return flow.pages


def _entry(flow: Flow, title: str, sheets: str, pt: float = 9.0) -> None:
    room = flow.wide - width_mm(sheets, pt) - 8.0
    lines = lines_of(title, pt, room)
    flow.need(len(lines) * sized(pt))
    for k, text in enumerate(lines):
        base = flow.y + rise_mm(pt)
        if not k:
            flow.page.write((flow.left + 1.0, base), BULLET, pt)
            flow.page.write((flow.left + flow.wide, base), sheets, pt, anchor="end")
        flow.page.write((flow.left + 4.0, base), text, pt)
        flow.y += sized(pt)


def _made(settings: Settings) -> tuple[str, ...]:
    stands = (
        "the case on its back, seen from above"
        if settings.worker == "leaned"
        else f"from the {settings.side}"
    )
    return (
        f"For {settings.paper}, {'inches' if settings.first_unit == 'in' else 'millimetres'} first; "
        f"the worker looks {stands}.",
        "Print at 100 %, not fitted to the paper; measure the 100 mm line on the sheets at 1:1.",
        "Expected lengths: " + SOURCES["over_nipple_mm"] + ".",
        "The lay is as drawn, not as it hangs. The date is filled in by hand where none is printed.",
    )
