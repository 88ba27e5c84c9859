"""Headings, paragraphs and lists, one below the other, from page to page."""

from collections.abc import Sequence

from routeviz.records.paper import Page, line, new_page, sized, square
from routeviz.records.settings import Paper
from routeviz.records.typefaces import lines_of, rise_mm, width_mm

TEXT_PT, HEAD_PT, TITLE_PT = 9.5, 12.0, 16.0
TICK_MM = 3.4
INDENT_MM = 5.5
BULLET = "•"


class Flow:
    """Pages that are filled from above; ``y`` is how far down the last one is full.

    Parameters
    ----------
    paper : str
        ``A4`` or ``Letter``.
    title : str
        Stands above the first page, smaller above those that follow, and in every title block.
    lying : bool
        Whether pages lie on their long side.
    scale : str
        As of ``Page``.
    """

    def __init__(self, paper: Paper, title: str, *, lying: bool = False, scale: str = "none") -> None:
        self.paper: Paper = paper
        self.title, self.lying, self.scale = title, lying, scale
        self.pages: list[Page] = []
        self.y = 0.0
        self.next_page()

    @property
    def page(self) -> Page:
        """Return the page that is being filled."""
        return self.pages[-1]

    @property
    def left(self) -> float:
        """Return where lines begin."""
        return self.page.body.left

    @property
    def wide(self) -> float:
        """Return how wide lines may be."""
        return self.page.body.right - self.page.body.left

    @property
    def room(self) -> float:
        """Return how much room is left below on the page."""
        return self.page.body.bottom - self.y

    @property
    def is_fresh(self) -> bool:
        """Return whether nothing stands on the page but its title."""
        return self.y <= self._begins

    def next_page(self) -> None:
        """Begin a page."""
        more = bool(self.pages)
        self.pages.append(new_page(self.paper, self.title, lying=self.lying, scale=self.scale))
        self.y = self.page.body.top
        self.lines(f"{self.title}, continued" if more else self.title, 10.0 if more else TITLE_PT, bold=True)
        self.y += 1.5
        self._begins = self.y

    def need(self, high: float) -> None:
        """Begin a page unless so much room is left, or the page is fresh."""
        if high > self.room and not self.is_fresh:
            self.next_page()

    def skip(self, mm: float) -> None:
        """Leave some room."""
        self.y += mm

    def heading(self, text: str, keep_mm: float = 12.0) -> None:
        """Put a heading, with as much room below it as it asks for."""
        lines = lines_of(text, HEAD_PT, self.wide, bold=True)
        self.need(len(lines) * sized(HEAD_PT) + 3.0 + keep_mm)
        self.y += 0.0 if self.is_fresh else 2.5
        self.lines(text, HEAD_PT, bold=True)
        self.y += 0.8

    def paragraph(self, text: str, pt: float = TEXT_PT, *, bold: bool = False, after: float = 1.2) -> None:
        """Put a paragraph; its lines may go on on the next page."""
        self.lines(text, pt, bold=bold)
        self.y += after

    def bullets(self, texts: Sequence[str], pt: float = TEXT_PT, *, ticks: bool = False) -> None:
        """Put a list, with dots or with boxes to be ticked."""
        for text in texts:
            lines = lines_of(text, pt, self.wide - INDENT_MM)
            self.need(min(len(lines), 3) * sized(pt))
            if ticks:
                self.page.draw(square(self.left, self.y + 0.1, TICK_MM))
            else:
                self.page.write((self.left + 1.0, self.y + rise_mm(pt)), BULLET, pt)
            self.lines(text, pt, indent=INDENT_MM)
            self.y += 0.9

    def lines(self, text: str, pt: float, *, bold: bool = False, indent: float = 0.0) -> None:
        """Put a text in lines."""
        for one in lines_of(text, pt, self.wide - indent, bold=bold):
            if self.pages and sized(pt) > self.room:
                self.next_page()
            self.page.write((self.left + indent, self.y + rise_mm(pt)), one, pt, bold=bold)
            self.y += sized(pt)

    def to_fill_in(self, label: str, wide: float, at: float, pt: float = TEXT_PT) -> float:
        """Put a label and a line to write on, beginning at a place across; return where the line ends."""
        base = self.y + rise_mm(pt)
        self.page.write((at, base), label, pt)
        begin = at + width_mm(label, pt) + 1.5
        self.page.draw(line((begin, base + 0.8), (begin + wide, base + 0.8), 0.18))
        return begin + wide
