"""What stands on a page, as plain values in millimetres from its upper left corner; press.py prints them.

Whatever is put on a page leaves a box, so that it can be asked whether two things lie on each other or one
leaves the paper. Sizes of paper: ISO 216 for A4, ANSI/ASME Y14.1 for Letter (8 1/2 by 11 in). The fields
at the foot are those of ISO 7200 that serve at a bench (from memory).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from routeviz.records.settings import Paper
from routeviz.records.typefaces import ASCENT, DESCENT, MM_PER_PT, lines_of, shortened, width_mm

SIZES_MM: dict[Paper, tuple[float, float]] = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
MARGIN = 10.0  # of white paper on all sides: more than any printer leaves out
FOOT = 9.0  # height of the title block
AIR = 3.0  # between body and title block
LEAD = 1.25  # from line to line, in sizes of letters
GREY = 0.42

Point = tuple[float, float]
Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Writing:
    """Printable words on a line.

    Parameters
    ----------
    text : str
        As ``typefaces.printable`` gives it.
    at : tuple of float
        On the line on which they stand.
    pt : float
        Size of the letters.
    bold : bool
        Heavier letters.
    anchor : str
        Which end of them, or their middle, stands there.
    turn_deg : float
        Anticlockwise, about that place.
    grey : float
        0 is black, 1 is white.
    """

    text: str
    at: Point
    pt: float
    bold: bool = False
    anchor: Anchor = "start"
    turn_deg: float = 0.0
    grey: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Path:
    """A chain of straight lines, drawn, or filled where ``fill`` says how dark; 0 is black."""

    points: tuple[Point, ...]
    wide: float = 0.25
    closed: bool = False
    grey: float = 0.0
    dashes: tuple[float, ...] = ()
    fill: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Oval:
    """A circle or an ellipse; ``turn_deg`` turns the first of its radii clockwise from the right."""

    centre: Point
    radii: tuple[float, float]
    wide: float = 0.25
    turn_deg: float = 0.0
    grey: float = 0.0
    dashes: tuple[float, ...] = ()
    filled: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutout:
    """Things of which only what lies within a box is seen."""

    box: "Box"
    marks: "tuple[Mark, ...]"


Mark = Writing | Path | Oval | Cutout


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A rectangle on a page, and what is in it."""

    left: float
    top: float
    right: float
    bottom: float
    what: str = ""

    def overlaps(self, other: "Box", by_mm: float = 0.01) -> bool:
        """Return whether two boxes lie on each other by more than a hair."""
        across = min(self.right, other.right) - max(self.left, other.left)
        down = min(self.bottom, other.bottom) - max(self.top, other.top)
        return across > by_mm and down > by_mm

    def within(self, other: "Box", by_mm: float = 0.01) -> bool:
        """Return whether it leaves another one by no more than a hair."""
        return (
            self.left >= other.left - by_mm
            and self.top >= other.top - by_mm
            and self.right <= other.right + by_mm
            and self.bottom <= other.bottom + by_mm
        )


@dataclass(slots=True, kw_only=True)
class Page:
    """A page while it is filled.

    Parameters
    ----------
    size : tuple of float
        Width and height.
    title : str
        What it is a page of: a field of its title block, and an entry of the contents.
    scale : str
        Likewise: ``1:1``, or that it has none.
    has_block : bool
        Whether a title block is put at its foot; drawings have their own.
    marks : list of Mark
        In the order in which they are drawn.
    boxes : list of Box
        What takes up room: none may lie on another.
    """

    size: tuple[float, float]
    title: str
    scale: str = "none"
    has_block: bool = True
    marks: list[Mark] = field(default_factory=list)
    boxes: list[Box] = field(default_factory=list)

    @property
    def body(self) -> Box:
        """Return where things may stand above the title block."""
        wide, high = self.size
        foot = FOOT + AIR if self.has_block else 0.0
        return Box(left=MARGIN, top=MARGIN, right=wide - MARGIN, bottom=high - MARGIN - foot)

    def write(self, at: Point, text: str, pt: float, **how: object) -> None:
        """Put printable words on the page; ``how`` are further fields of ``Writing``."""
        one = Writing(text=text, at=at, pt=pt, **how)  # type: ignore[arg-type]
        self.marks.append(one)
        self.boxes.append(box_of(one))

    def draw(self, *marks: Mark) -> None:
        """Put lines on the page that may touch and cross anything."""
        self.marks += marks

    def claim(self, box: Box) -> None:
        """Say that something takes up a rectangle as a whole."""
        self.boxes.append(box)


def new_page(paper: Paper, title: str, *, lying: bool = False, scale: str = "none") -> Page:
    """Return an empty page, upright or lying on its long side."""
    wide, high = SIZES_MM[paper]
    return Page(size=(high, wide) if lying else (wide, high), title=title, scale=scale)


def box_of(one: Writing) -> Box:
    """Return the room that words take up, be they turned."""
    wide, size = width_mm(one.text, one.pt, bold=one.bold), one.pt * MM_PER_PT
    begin = {"start": 0.0, "middle": -wide / 2, "end": -wide}[one.anchor]
    turn = math.radians(one.turn_deg)
    corners = [(x, y) for x in (begin, begin + wide) for y in (-ASCENT * size, DESCENT * size)]
    xs = [one.at[0] + x * math.cos(turn) + y * math.sin(turn) for x, y in corners]
    ys = [one.at[1] - x * math.sin(turn) + y * math.cos(turn) for x, y in corners]
    return Box(left=min(xs), top=min(ys), right=max(xs), bottom=max(ys), what=one.text)


def moved(mark: Mark, by: Point) -> Mark:
    """Return a mark, moved to the right and down."""
    right, down = by
    match mark:
        case Writing():
            return replace(mark, at=(mark.at[0] + right, mark.at[1] + down))
        case Path():
            return replace(mark, points=tuple((x + right, y + down) for x, y in mark.points))
        case Oval():
            return replace(mark, centre=(mark.centre[0] + right, mark.centre[1] + down))
        case Cutout(box=box):
            box = Box(
                left=box.left + right, top=box.top + down, right=box.right + right, bottom=box.bottom + down
            )
            return Cutout(box=box, marks=tuple(moved(one, by) for one in mark.marks))


def square(left: float, top: float, side: float) -> Path:
    """Return a box to be ticked."""
    return rectangle(Box(left=left, top=top, right=left + side, bottom=top + side), 0.3)


def rectangle(box: Box, wide: float = 0.25, *, grey: float = 0.0, fill: float | None = None) -> Path:
    """Return the outline of a box, or the box filled."""
    corners = ((box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom))
    return Path(points=corners, wide=wide, closed=True, grey=grey, fill=fill)


def line(one: Point, other: Point, wide: float = 0.25, *, grey: float = 0.0) -> Path:
    """Return a straight line."""
    return Path(points=(one, other), wide=wide, grey=grey)


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """What the title block says on every page of a set."""

    title: str
    file: str
    date: str
    maker: str


def finished(pages: Sequence[Page], block: Block) -> tuple[Page, ...]:
    """Return pages with title block and number at the foot of each."""
    for number, page in enumerate(pages, 1):
        sheet = f"{number} / {len(pages)}"
        if page.has_block:
            _put_block(page, block, sheet)
        else:
            page.write(
                (page.size[0] - MARGIN, page.size[1] - 4.5), f"sheet {sheet} of the set", 6.5, anchor="end"
            )
    return tuple(pages)


def _put_block(page: Page, block: Block, sheet: str) -> None:
    wide, high = page.size
    top, left = high - MARGIN - FOOT, MARGIN
    fields = (
        ("title", block.title, 4.0),
        ("document", page.title, 3.0),
        ("identification", block.file, 2.6),
        ("scale", page.scale, 1.0),
        ("date of issue", block.date, 1.5),
        ("creator", block.maker, 1.7),
        ("sheet", sheet, 1.2),
    )
    share = (wide - 2 * MARGIN) / sum(part for *_, part in fields)
    page.draw(rectangle(Box(left=left, top=top, right=wide - MARGIN, bottom=top + FOOT), 0.35))
    for name, says, part in fields:
        room = part * share - 2.0
        page.write((left + 1.0, top + 2.3), name, 5.0, grey=GREY)
        for k, (text, pt) in enumerate(_fitted(says, room)):
            page.write((left + 1.0, top + 5.3 + 2.6 * k), text, pt, bold=name in ("title", "sheet"))
        left += part * share
        if name != "sheet":
            page.draw(line((left, top), (left, top + FOOT), 0.13))


def _fitted(text: str, room: float) -> list[tuple[str, float]]:
    """Return at most two lines in the largest size of letters that takes them all."""
    for pt in (8.0, 7.0, 6.0):
        lines = lines_of(text, pt, room, bold=True)
        if len(lines) <= (1 if pt > 7.0 else 2):
            return [(one, pt) for one in lines]
    return [(lines[0], 6.0), (shortened(" ".join(lines[1:]), 6.0, room, bold=True), 6.0)]


def sized(pt: float) -> float:
    """Return from line to line in millimetres."""
    return LEAD * pt * MM_PER_PT
