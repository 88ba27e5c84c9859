"""The sheet about a line drawing: frame, title block, projection, scale bar, and which line means what.

The fields follow ISO 7200, the projection symbol ISO 5456-2, the frame ISO 5457 (all from memory); they stand
in a column at the right, so that a case at 1:10 has room beside them on a sheet of A4 or Letter.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from routeviz.geometry.arrays import Floats
from routeviz.views.cameras import scale_bar_mm
from routeviz.views.drawing import (
    LINES,
    Anchor,
    Arc,
    Drawing,
    Fill,
    Kind,
    Mark,
    Scale,
    Stroke,
    Words,
)
from routeviz.views.letters import broken, shortened

MARGIN = 10.0  # of the frame
COLUMN = 56.0  # width of the title block
PAD = 1.5
SMALL, USUAL, TITLE = 1.5, 1.8, 2.5  # capitals
MOST = 4  # lines of a field
LEAD = 1.75  # from line to line, in heights of capitals
BAR = 36.0  # the most that a scale bar may be long
INCH = 25.4
INCH_BARS = (0.25, 0.5, 1, 2, 3, 6, 12, 24, 36, 48, 96, 120, 240)
THIRD_ANGLE = "third angle: each view as it is seen from its side"


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """What a title block says of all sheets of a set.

    Parameters
    ----------
    title : str
        The scene's.
    number : str
        What tells the set: the scene's file.
    maker : str
        Program and version.
    date : str
        As given; empty for a blank to be filled in.
    inches : bool
        Whether dimensions are in inches, else in millimetres.
    sheets : int
        How many there are.
    """

    title: str
    number: str
    maker: str
    date: str
    inches: bool
    sheets: int


def room_of(sheet_mm: tuple[float, float]) -> tuple[float, float]:
    """Return width and height of what a sheet leaves for the drawing itself."""
    return sheet_mm[0] - 2 * MARGIN - COLUMN, sheet_mm[1] - 2 * MARGIN


def fields_of(block: Block, says: str, scale: Scale, sheet: int) -> tuple[tuple[str, str], ...]:
    """Return what the title block says, field by field."""
    return (
        ("Title", block.title),
        ("Drawing", says),
        ("Identification", block.number),
        ("Scale", str(scale)),
        ("Sheet", f"{sheet} / {block.sheets}"),
        ("Dimensions in", "inches, to 1/16" if block.inches else "millimetres"),
        ("Projection", THIRD_ANGLE),
        ("Date of issue", block.date),
        ("Approved by", ""),
        ("Creator", block.maker),
        ("State", "as drawn, not as it hangs"),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A drawing's own marks, and how much room they take with all words.

    Parameters
    ----------
    name, title : str
        As of ``Drawing``.
    marks : sequence of Mark
        In millimetres of the thing.
    low, high : tuple of float
        Corners of the room that they take.
    notes : sequence of str
        What is said beside it.
    """

    name: str
    title: str
    marks: Sequence[Mark]
    low: tuple[float, float]
    high: tuple[float, float]
    notes: Sequence[str] = ()


def on_a_sheet(
    placed: Placed, scale: Scale, sheet_mm: tuple[float, float], block: Block, sheet: int
) -> Drawing:
    """Return a drawing in the middle of a sheet with frame, title block, scale bar and meaning of lines.

    Parameters
    ----------
    placed : Placed
        What is drawn.
    scale : Scale
        At which.
    sheet_mm : tuple of float
        Width and height.
    block : Block
        What the title block says.
    sheet : int
        The sheet's number in the set.

    Returns
    -------
    drawing : Drawing
        Whole.
    """
    share = scale.share
    wide, high = room_of(sheet_mm)
    corner = (
        0.5 * (placed.low[0] + placed.high[0]) - (MARGIN + 0.5 * wide) / share,
        0.5 * (placed.low[1] + placed.high[1]) - (MARGIN + 0.5 * high) / share,
    )
    fields = fields_of(block, placed.title, scale, sheet)
    pen = Pen(corner=corner, share=share)
    kinds = {mark.kind for mark in placed.marks if isinstance(mark, Stroke | Arc)}
    return Drawing(
        name=placed.name,
        title=f"{block.title}: {placed.title}",
        scale=scale,
        sheet_mm=sheet_mm,
        corner=corner,
        marks=(*placed.marks, *_column(pen, fields, placed.notes, kinds, (sheet_mm, block.inches))),
        fields=fields,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Pen:
    """What draws in millimetres of the sheet, from its lower left corner."""

    corner: tuple[float, float]
    share: float

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Return where a place on the sheet is, in millimetres of the thing."""
        return self.corner[0] + x / self.share, self.corner[1] + y / self.share

    def line(self, kind: Kind, *places: tuple[float, float], closed: bool = False) -> Stroke:
        """Return a stroke through places on the sheet."""
        return Stroke(kind=kind, points=self.many(places), closed=closed)

    def many(self, places: Sequence[tuple[float, float]]) -> Floats:
        """Return places on the sheet in millimetres of the thing."""
        return np.array([self.at(x, y) for x, y in places])

    def words(self, x: float, y: float, text: str, height: float, anchor: Anchor = "start") -> Words:
        """Return words at a place on the sheet."""
        return Words(text=text, at=self.at(x, y), height_mm=height, anchor=anchor, bold=height == TITLE)


def _column(
    pen: Pen,
    fields: Sequence[tuple[str, str]],
    notes: Sequence[str],
    kinds: set[Kind],
    sheet: tuple[tuple[float, float], bool],
) -> list[Mark]:
    """Return all that stands about a drawing: from below the block, then scale bar, lines and notes."""
    (wide, high), inches = sheet
    left, right, top = wide - MARGIN - COLUMN, wide - MARGIN, high - MARGIN
    marks: list[Mark] = [
        pen.line("frame", (MARGIN, MARGIN), (right, MARGIN), (right, top), (MARGIN, top), closed=True),
        pen.line("frame", (left, MARGIN), (left, top)),
    ]
    y = _block(pen, dict(fields), left, marks)
    y = _scale_bar(pen, left, y + 4.0, inches, marks)
    y = _legend(pen, left, y + 4.0, kinds, marks)
    _notes(pen, left, (y, top), notes, marks)
    return marks


def _block(pen: Pen, said: dict[str, str], left: float, marks: list[Mark]) -> float:
    """Draw the title block; return where it ends above."""
    y = MARGIN
    rows: list[tuple[tuple[str, ...], float]] = [
        (("State",), USUAL),
        (("Creator", "Approved by"), USUAL),
        (("Date of issue", "Sheet"), USUAL),
        (("Dimensions in", "Scale"), USUAL),
        (("Projection",), USUAL),
        (("Identification",), USUAL),
        (("Drawing",), USUAL),
        (("Title",), TITLE),
    ]
    for names, size in rows:
        wide = COLUMN / len(names)
        room = wide - 2 * PAD - (16.0 if names == ("Projection",) else 0.0)
        lines = [_at_most(broken(said[name], size, room, bold=size == TITLE), size, room) for name in names]
        high = 2 * PAD + LEAD * (SMALL + size * max(len(some) for some in lines)) - 0.4
        for k, (name, some) in enumerate(zip(names, lines, strict=True)):
            x = left + k * wide
            if k:
                marks.append(pen.line("thin", (x, y), (x, y + high)))
            at = y + high - PAD - 0.5 * SMALL
            marks.append(pen.words(x + PAD, at, name, SMALL))
            at -= 0.5 * LEAD * (SMALL + size)
            for line in some:
                marks.append(pen.words(x + PAD, at, line, size))
                at -= LEAD * size
        if names == ("Projection",):
            marks += _third_angle(pen, left + COLUMN - 16.0, y + 0.5 * high)
        y += high
        marks.append(pen.line("frame" if names == ("Title",) else "thin", (left, y), (left + COLUMN, y)))
    return y


def _at_most(lines: list[str], size: float, room: float) -> list[str]:
    """Return no more than four lines, the last with an ellipsis if there were more."""
    if len(lines) <= MOST:
        return lines
    return [*lines[: MOST - 1], shortened(lines[MOST - 1] + " …", size, room, bold=size == TITLE)]


def _third_angle(pen: Pen, x: float, y: float) -> list[Mark]:
    """Return the symbol: a cone's narrow end seen from the left stands at its left."""
    low, high, long = 1.25, 2.5, 5.0
    first = x + 3.0
    cone = [(x + 7.5, y - low), (x + 7.5 + long, y - high), (x + 7.5 + long, y + high), (x + 7.5, y + low)]
    marks: list[Mark] = [
        Arc(kind="outline", centre=pen.at(first, y), radius=radius / pen.share) for radius in (low, high)
    ]
    return [
        *marks,
        pen.line("outline", *cone, closed=True),
        pen.line("centre", (first - 3.5, y), (first + 3.5, y)),
        pen.line("centre", (first, y - 3.5), (first, y + 3.5)),
        pen.line("centre", (x + 6.8, y), (x + 8.2 + long, y)),
    ]


def _scale_bar(pen: Pen, left: float, y: float, inches: bool, marks: list[Mark]) -> float:
    """Draw a bar of round length, half of it dark; return where it ends above."""
    most = BAR / pen.share
    if inches:
        many = max((n for n in INCH_BARS if n * INCH <= most), default=INCH_BARS[0])
        long, said = many * INCH, (f"{many / 2:g}", f"{many:g} in")
    else:
        long = scale_bar_mm(most)
        said = (f"{long / 2:g}", f"{long:g} mm")
    wide, x = long * pen.share, left + PAD + 2.0
    box = [(x, y), (x + wide, y), (x + wide, y + 1.5), (x, y + 1.5)]
    marks += [
        Fill(points=pen.many([(x, y), (x + wide / 2, y), (x + wide / 2, y + 1.5), (x, y + 1.5)])),
        pen.line("thin", *box, closed=True),
        pen.words(x, y + 3.2, "0", USUAL, "middle"),
        pen.words(x + wide / 2, y + 3.2, said[0], USUAL, "middle"),
        pen.words(x + wide, y + 3.2, said[1], USUAL, "middle"),
    ]
    return y + 5.0


def _legend(pen: Pen, left: float, y: float, kinds: set[Kind], marks: list[Mark]) -> float:
    """Draw a sample of each kind of line that is there, with what it means; return where that ends above."""
    for kind in [kind for kind in reversed(LINES) if kind in kinds]:
        lines = broken(LINES[kind].says, SMALL, COLUMN - 2 * PAD - 14.0)
        for line in reversed(lines):
            marks.append(pen.words(left + PAD + 14.0, y, line, SMALL))
            y += LEAD * SMALL
        first = y - LEAD * SMALL
        marks.append(pen.line(kind, (left + PAD, first), (left + PAD + 12.0, first)))
        y += 0.4
    return y


def _notes(pen: Pen, left: float, span: tuple[float, float], notes: Sequence[str], marks: list[Mark]) -> None:
    """Write notes from above as far as there is room; the last line there ends in an ellipsis if not all."""
    low, y = span[0], span[1] - PAD - USUAL
    rows = [
        (line, 0.6 * USUAL if line is lines[-1] else 0.0)
        for lines in (broken(note, USUAL, COLUMN - 2 * PAD) for note in notes)
        for line in lines
    ]
    for k, (line, after) in enumerate(rows):
        ends = y - 2 * LEAD * USUAL - after < low and k < len(rows) - 1
        text = shortened(line + " …", USUAL, COLUMN - 2 * PAD) if ends else line
        marks.append(pen.words(left + PAD, y, text, USUAL))
        if ends:
            return
        y -= LEAD * USUAL + after
