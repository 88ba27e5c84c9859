"""The line drawings on pages that lie, each with its own frame and title block, at the scale that it says."""

from collections.abc import Sequence

from routeviz.lay import Lay
from routeviz.records.drawn import marks_of_drawing
from routeviz.records.paper import MARGIN, SIZES_MM, Box, Page
from routeviz.records.settings import Settings
from routeviz.views.drawing import Drawing
from routeviz.views.drawings import drawings


def drawings_for(lay: Lay, settings: Settings, date: str) -> tuple[Drawing, ...]:
    """Return the line drawings of a lay, made for the paper on which they are printed."""
    wide, high = SIZES_MM[settings.paper]
    return drawings(lay, sheet_mm=(high, wide), inches=settings.first_unit == "in", date=date)


def drawing_pages(drawn: Sequence[Drawing]) -> list[Page]:
    """Return a page a drawing."""
    return [_page(drawing) for drawing in drawn]


def _page(drawing: Drawing) -> Page:
    wide, high = drawing.sheet_mm
    title = dict(drawing.fields).get("Drawing", drawing.title)
    page = Page(size=(wide, high), title=f"Drawing: {title}", scale=str(drawing.scale), has_block=False)
    page.draw(*marks_of_drawing(drawing))
    page.claim(Box(left=MARGIN, top=MARGIN, right=wide - MARGIN, bottom=high - MARGIN, what=drawing.title))
    return page
