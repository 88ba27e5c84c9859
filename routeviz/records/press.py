"""Pages as a PDF: true to size, letters embedded, the same bytes for the same pages.

Every file declares itself PDF/A: that costs 3 kB, for the colour space that greys are meant in, and no look.
It is declared and its structure is held to in the tests; nobody has certified it.
Fpdf2 makes the file. Lines are written as operators of the page's content, many in one path: that halves
file and time. Readers are asked not to scale when they print.
"""

import logging
import math
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from itertools import groupby

from fpdf import FPDF, ViewerPreferences

from routeviz.records.paper import Box, Cutout, Mark, Oval, Page, Path, Point, Writing
from routeviz.records.self_description import LEVEL, xmp_of
from routeviz.records.typefaces import MM_PER_PT, as_seen, width_mm
from routeviz.views.inking import font_file

FACE = "sans"
PT_PER_MM = 1 / MM_PER_PT
BOW = 4 / 3 * (math.sqrt(2) - 1)  # a Bézier curve with such arms is a quarter of a circle to 3 in 10,000
QUIET = "fontTools.subset"


def pdf_bytes(pages: Sequence[Page], title: str, made: datetime) -> bytes:
    """Return pages as a PDF file.

    Parameters
    ----------
    pages : sequence of Page
        At least one.
    title : str
        Of the file.
    made : datetime
        The moment that the file tells, with its time zone.

    Returns
    -------
    content : bytes
        The same for the same pages.
    """
    pdf = FPDF(unit="mm", enforce_compliance=LEVEL)
    pdf.set_auto_page_break(False)
    pdf.set_creation_date(made)
    pdf.set_xmp_metadata(xmp_of(title, made, creator="routeviz", producer="fpdf2"))
    pdf.viewer_preferences = ViewerPreferences(print_scaling="None")
    for bold in (False, True):
        pdf.add_font(FACE, "B" if bold else "", font_file(bold=bold))
    hand = _Hand(pdf)
    for page in pages:
        pdf.add_page(format=page.size)
        _put(hand, page.size[1], page.marks)
    with _quiet():
        return bytes(pdf.output())


@contextmanager
def _quiet() -> Iterator[None]:
    """Keep the package that picks the letters from telling of each table that it leaves out."""
    logger = logging.getLogger(QUIET)
    before, logger.level = logger.level, logging.ERROR
    try:
        yield
    finally:
        logger.level = before


def _put(hand: "_Hand", high: float, marks: Sequence[Mark]) -> None:
    for style, some in groupby(marks, key=_style):
        if style is None:
            for mark in some:
                if isinstance(mark, Writing):
                    hand.write(mark)
                elif isinstance(mark, Cutout):
                    _cut_out(hand, high, mark)
            continue
        wide, grey, dashes, fill = style
        steps = " ".join(step for mark in some for step in _steps(mark, high))
        if fill is not None:
            hand.pdf._out(f"q {_number(fill)} g {steps} f Q")
            continue
        dashed = " ".join(_number(PT_PER_MM * dash) for dash in dashes)
        caps = "0 J" if dashes else "1 J"
        look = f"{_number(PT_PER_MM * wide)} w {_number(grey)} G {caps} 1 j [{dashed}] 0 d"
        hand.pdf._out(f"q {look} {steps} S Q")


def _style(mark: Mark) -> tuple[float, float, tuple[float, ...], float | None] | None:
    match mark:
        case Path():
            return mark.wide, mark.grey, mark.dashes, mark.fill
        case Oval():
            return mark.wide, mark.grey, mark.dashes, mark.grey if mark.filled else None
        case _:
            return None


def _steps(mark: Mark, high: float) -> Iterator[str]:
    if isinstance(mark, Path):
        for k, point in enumerate(mark.points):
            yield f"{_pair(point, high)} {'l' if k else 'm'}"
        if mark.closed:
            yield "h"
    elif isinstance(mark, Oval):
        yield from _oval(mark, high)


def _oval(mark: Oval, high: float) -> Iterator[str]:
    turn = math.radians(mark.turn_deg)
    (x, y), (long, short) = mark.centre, mark.radii

    def place(right: float, down: float) -> str:
        across, along = long * right, short * down
        at = (
            x + across * math.cos(turn) - along * math.sin(turn),
            y + across * math.sin(turn) + along * math.cos(turn),
        )
        return _pair(at, high)

    yield f"{place(1, 0)} m"
    for ax, ay, bx, by in ((1, 0, 0, 1), (0, 1, -1, 0), (-1, 0, 0, -1), (0, -1, 1, 0)):
        arms = place(ax + BOW * bx, ay + BOW * by), place(bx + BOW * ax, by + BOW * ay)
        yield f"{arms[0]} {arms[1]} {place(bx, by)} c"
    yield "h"


def _cut_out(hand: "_Hand", high: float, mark: Cutout) -> None:
    box: Box = mark.box
    with hand.pdf.rect_clip(box.left, box.top, box.right - box.left, box.bottom - box.top):
        _put(hand, high, mark.marks)
    hand.look = None  # what was set within is set back


class _Hand:
    """What writes: it sets face and grey of letters only where they change, which takes time."""

    def __init__(self, pdf: FPDF) -> None:
        self.pdf = pdf
        self.look: tuple[bool, float, float] | None = None

    def write(self, mark: Writing) -> None:
        """Put words on the page."""
        look = (mark.bold, mark.pt, mark.grey)
        if look != self.look:
            self.pdf.set_font(FACE, "B" if mark.bold else "", mark.pt)
            self.pdf.set_text_color(round(255 * mark.grey))
            self.look = look
        (x, y), seen = mark.at, as_seen(mark.text)
        back = 0.0
        if mark.anchor != "start":
            wide = width_mm(mark.text, mark.pt, bold=mark.bold)
            back = wide if mark.anchor == "end" else wide / 2
        if mark.turn_deg:
            with self.pdf.rotation(mark.turn_deg, x, y):
                self.pdf.text(x - back, y, seen)
        else:
            self.pdf.text(x - back, y, seen)


def _pair(point: Point, high: float) -> str:
    return f"{_number(PT_PER_MM * point[0])} {_number(PT_PER_MM * (high - point[1]))}"


def _number(value: float) -> str:
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
