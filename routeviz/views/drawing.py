"""What a line drawing is, as plain values: strokes, circles and words, in millimetres of the thing drawn.

It is laid out for one scale: words and line widths are millimetres on the sheet, all else is true size.
Svg.py and dxf.py only translate it. Line kinds and widths follow ISO 128-2, lettering heights ISO 3098-1,
scales ISO 5455 (all from memory).
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from routeviz.geometry.arrays import Floats, frozen
from routeviz.scene.doubts import Status
from routeviz.views.shades import MANNERS

Kind = Literal[
    "cut",
    "outline",
    "tube",
    "thin",
    "hidden",
    "hidden tube",
    "centre",
    "phantom",
    "earlier",
    "hatch",
    "dimension",
    "frame",
    "inferred",
    "analogous",
    "assumed",
    "designed",
]
Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True, slots=True)
class Line:
    """How lines of a kind are drawn.

    Parameters
    ----------
    width_mm : float
        On the sheet.
    dashes : tuple of float
        Drawn and left out in turn, in line widths; empty for a continuous line.
    ink : str
        Six hex digits after ``#``; grey, so that it prints as it looks.
    says : str
        What such lines are, with the number of the line in ISO 128-2.
    """

    width_mm: float
    dashes: tuple[float, ...]
    ink: str
    says: str


LINES: dict[Kind, Line] = {
    "cut": Line(0.5, (), "#000000", "outline of what is cut (01.2)"),
    "outline": Line(0.25, (), "#000000", "visible outline and edge (01.2)"),
    "tube": Line(0.18, (), "#000000", "outline of a tube (01.2)"),
    "thin": Line(0.13, (), "#000000", "leader, zero, break (01.1)"),
    "hidden": Line(0.13, (12, 3), "#606060", "hidden outline (02.1)"),
    "hidden tube": Line(0.13, (12, 3), "#808080", "hidden tube, its centreline alone (02.1)"),
    "centre": Line(0.13, (24, 3, 1, 3), "#000000", "centre line (04.1)"),
    "phantom": Line(
        0.13, (24, 3, 1, 3, 1, 3), "#606060", "part before the view, outline of a free passage (05.1)"
    ),
    "earlier": Line(
        0.35, (12, 2, 1, 2, 1, 2), "#909090", "how a tube lay before, its centreline alone (05.1)"
    ),
    "hatch": Line(0.13, (), "#606060", "hatching of what is cut (01.1)"),
    "dimension": Line(0.13, (), "#000000", "dimension (01.1)"),
    "frame": Line(0.35, (), "#000000", "frame and title block"),
    # Wide, and with shorter dashes than the standard's, so that small parts show them; no other line is so.
    "inferred": Line(0.25, (6, 6), "#000000", f"inferred: {MANNERS['inferred'].says} (03.2)"),
    "analogous": Line(0.25, (18, 3, 6, 3), "#000000", f"analogous: {MANNERS['analogous'].says} (08.2)"),
    "assumed": Line(0.25, (1, 2.5), "#000000", f"assumed: {MANNERS['assumed'].says} (07.2)"),
    "designed": Line(0.25, (9, 3, 9, 3, 1, 3), "#000000", f"designed: {MANNERS['designed'].says} (11.2)"),
}


DOUBTFUL: dict[Status, Kind] = {
    "designed": "designed",
    "inferred": "inferred",
    "analogous": "analogous",
    "assumed": "assumed",
}


def kind_of(usual: Kind, status: Status | None) -> Kind:
    """Return with which kind of line a thing is drawn: the usual one, if it was measured or nobody said."""
    return usual if status is None else DOUBTFUL.get(status, usual)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """A chain of straight lines, shape (n, 2), n >= 2; back to its start where closed."""

    kind: Kind
    points: Floats
    closed: bool = False

    def __post_init__(self) -> None:
        """Take a read-only copy."""
        object.__setattr__(self, "points", frozen(self.points))


@dataclass(frozen=True, slots=True, kw_only=True)
class Arc:
    """A circle, or the part of one from one angle anticlockwise to another, in degrees from the right."""

    kind: Kind
    centre: tuple[float, float]
    radius: float
    from_deg: float = 0.0
    to_deg: float = 360.0

    @property
    def whole(self) -> bool:
        """Whether it is all of the circle."""
        return self.to_deg - self.from_deg >= 360.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Fill:
    """A polygon, shape (n, 2), filled with an ink."""

    points: Floats
    ink: str = "#000000"

    def __post_init__(self) -> None:
        """Take a read-only copy."""
        object.__setattr__(self, "points", frozen(self.points))


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """Words on a line.

    Parameters
    ----------
    text : str
        As written; may hold anything.
    at : tuple of float
        Where, half way up the capitals.
    height_mm : float
        Of capitals, on the sheet.
    anchor : str
        Which end of them, or their middle, stands there.
    turn_deg : float
        Anticlockwise.
    bold : bool
        Heavier letters.
    """

    text: str
    at: tuple[float, float]
    height_mm: float
    anchor: Anchor = "start"
    turn_deg: float = 0.0
    bold: bool = False


Mark = Stroke | Arc | Fill | Words


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """So many millimetres on the sheet for so many of the thing."""

    sheet: int
    thing: int

    @property
    def share(self) -> float:
        """Millimetres on the sheet a millimetre of the thing."""
        return self.sheet / self.thing

    def __str__(self) -> str:
        """Return it as it is written: ``1:10``."""
        return f"{self.sheet}:{self.thing}"


SCALES = tuple(
    Scale(sheet=s, thing=t)
    for s, t in ((5, 1), (2, 1), (1, 1), (1, 2), (1, 5), (1, 10), (1, 20), (1, 50), (1, 100))
)


def fitting_scale(wide: float, high: float, room: tuple[float, float], largest: float = 5.0) -> Scale:
    """Return the largest scale of ISO 5455 at which a thing has room on a sheet.

    Parameters
    ----------
    wide, high : float
        Of the thing, in mm.
    room : tuple of float
        Width and height on the sheet, in mm.
    largest : float
        The most that it may be enlarged.

    Returns
    -------
    scale : Scale
        The smallest of all where none is small enough.
    """
    fits = [
        s for s in SCALES if wide * s.share <= room[0] and high * s.share <= room[1] and s.share <= largest
    ]
    return fits[0] if fits else SCALES[-1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """A drawing.

    Parameters
    ----------
    name : str
        For a file: letters, digits and hyphens.
    title : str
        What is seen.
    scale : Scale
        For which it is laid out.
    sheet_mm : tuple of float
        Width and height of the sheet.
    corner : tuple of float
        The sheet's lower left corner, in the drawing's own millimetres.
    marks : tuple of Stroke, Arc, Fill or Words
        In the order in which they are drawn.
    fields : tuple of (str, str)
        What the title block says, by the names of ISO 7200 where it has one (from memory).
    """

    name: str
    title: str
    scale: Scale
    sheet_mm: tuple[float, float]
    corner: tuple[float, float] = (0.0, 0.0)
    marks: tuple[Mark, ...] = ()
    fields: tuple[tuple[str, str], ...] = ()


def on_sheet(drawing: Drawing, points: Floats) -> Floats:
    """Return where points of a drawing are on its sheet: mm from its left and from its upper edge."""
    flat = (np.asarray(points, dtype=np.float64).reshape(-1, 2) - drawing.corner) * drawing.scale.share
    return np.column_stack([flat[:, 0], drawing.sheet_mm[1] - flat[:, 1]])
