"""Dimensions on a line drawing: between two places, and running from a zero to many.

After ISO 129-1 (from memory): thin lines, closed arrows, figures above the line or at its end; running
dimensions begin at a small circle. Figures are in the scene's own kind of unit, which the title block names.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from routeviz.scene.lengths import as_inches, as_mm
from routeviz.scene.quantities import CASE
from routeviz.views.drawing import Arc, Fill, Mark, Stroke, Words
from routeviz.views.letters import shortened, spread, width_mm

Point = tuple[float, float]
HIGH = 1.8  # capitals of figures on a drawing, mm on the sheet: the least of ISO 3098-1
ARROW = (1.8, 0.3)  # length of an arrow and half its width
PAST = 1.0  # by which an extension line passes the dimension line, and begins off what it measures
LINE_APART = 3.0  # between running lines of two zeros
LEADER = 3.5  # from the last of them to the words
PITCH, ROW = 3.0, 2.5  # between words of one place and the next, and between lines of one
MINUS = "\N{MINUS SIGN}"
PASSAGE = "passage "  # what passages are called by, before their letter
SAME_MM = 0.05  # places nearer than this are one


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A place that is measured from a zero.

    Parameters
    ----------
    name : str
        Of what is there.
    zero : str
        From which zero.
    from_mm : float
        Where that is, along the drawing's axis.
    at_mm : float
        Where the place is.
    begins_mm : float
        Where, across the axis, what is measured has its edge.
    """

    name: str
    zero: str
    from_mm: float
    at_mm: float
    begins_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Ruling:
    """How dimensions are written.

    Parameters
    ----------
    thing : float
        Millimetres of the thing a millimetre of the sheet.
    inches : bool
        Else in millimetres.
    words_mm : float
        The most room for the words of a running dimension.
    """

    thing: float
    inches: bool
    words_mm: float = 36.0

    def figure(self, mm: float) -> str:
        """Return a length as it is written on a drawing, without its unit."""
        if self.inches:
            return as_inches(mm).removesuffix(" in").replace("-", MINUS)
        return as_mm(mm).removesuffix(" mm").removesuffix(".0").replace("-", MINUS)


def between(first: Point, last: Point, aside: float, ruling: Ruling) -> list[Mark]:
    """Return the dimension of a level or an upright distance.

    Parameters
    ----------
    first, last : tuple of float
        What is measured: level with each other or one above the other, the left or lower one first.
    aside : float
        Where the dimension line is, in mm of the sheet: above or to the left of both; if negative, below
        or to the right.
    ruling : Ruling
        How it is written.

    Returns
    -------
    marks : list of Stroke, Fill and Words
        The arrows are outside where there is no room between.
    """
    ends = np.array([first, last], dtype=np.float64)
    long = float(np.linalg.norm(ends[1] - ends[0]))
    ahead = (ends[1] - ends[0]) / long
    left = np.array([-ahead[1], ahead[0]])
    thing = ruling.thing
    one, other = ends + aside * thing * left
    sign = np.sign(aside)
    tight = long < 3.0 * ARROW[0] * thing
    text = ruling.figure(long)
    far = 2.0 * ARROW[0] * thing * ahead
    line = np.stack([one - far, other + far] if tight else [one, other])
    beside = tight or width_mm(text, HIGH) * thing > long
    middle = (
        other + far + ahead * (0.6 + 0.5 * width_mm(text, HIGH)) * thing if beside else 0.5 * (one + other)
    )
    middle = middle + left * (0.5 * HIGH + 0.8) * thing * (not beside)
    marks: list[Mark] = [
        Stroke(
            kind="dimension",
            points=np.stack([end + sign * PAST * thing * left, spot + sign * PAST * thing * left]),
        )
        for end, spot in zip(ends, (one, other), strict=True)
    ]
    marks += [
        Stroke(kind="dimension", points=line),
        arrow(one, ahead if tight else -ahead, thing),
        arrow(other, -ahead if tight else ahead, thing),
        Words(
            text=text,
            at=(float(middle[0]), float(middle[1])),
            height_mm=HIGH,
            anchor="middle",
            turn_deg=float(np.degrees(np.arctan2(ahead[1], ahead[0]))),
        ),
    ]
    return marks


def arrow(tip: np.ndarray, heading: np.ndarray, thing: float) -> Fill:
    """Return an arrow's head."""
    long, half = ARROW[0] * thing, ARROW[1] * thing
    aside = np.array([-heading[1], heading[0]])
    back = tip - long * heading
    return Fill(points=np.stack([tip, back + half * aside, back - half * aside]))


def running_room(entries: Sequence[Entry], ruling: Ruling) -> float:
    """Return how much room running dimensions take on the sheet, square to their lines."""
    rows = _rows(entries, ruling)
    if not rows:
        return 0.0
    zeros = len(_zeros(entries))
    return LINE_APART * zeros + LEADER + max(width_mm(t, HIGH) for _, _, text in rows for t in text) + 1.0


def running(
    entries: Sequence[Entry], base_mm: float, axis: Literal["level", "upright"], ruling: Ruling
) -> list[Mark]:
    """Return running dimensions: of each zero a line, and all words in one row or column beside the last.

    Parameters
    ----------
    entries : sequence of Entry
        What is measured, in any order.
    base_mm : float
        The height above the lines, or where they have their right: nothing else is drawn beyond.
    axis : str
        ``level`` below a drawing, ``upright`` to its left.
    ruling : Ruling
        How it is written.

    Returns
    -------
    marks : list of Stroke, Arc, Fill and Words
        None for no entries.
    """
    rows = _rows(entries, ruling)
    marks: list[Mark] = []
    lines = {zero: base_mm - (k + 1) * LINE_APART * ruling.thing for k, zero in enumerate(_zeros(entries))}
    upright = axis == "upright"
    for zero, line in lines.items():
        marks += _running_line([e for e in entries if e.zero == zero], line, upright, ruling)
    last = base_mm - (len(lines) * LINE_APART) * ruling.thing
    words = last - LEADER * ruling.thing
    sizes = [(PITCH + ROW * (len(text) - 1)) * ruling.thing for _, _, text in rows]
    places = spread([at for at, _, _ in rows], sizes)
    for (at, zero, text), place in zip(rows, places, strict=True):
        leader = [(lines[zero], at), (last - 0.8 * ruling.thing, at), (words + 0.5 * ruling.thing, place)]
        marks.append(Stroke(kind="dimension", points=np.array([_turned(p, upright) for p in leader])))
        for k, said in enumerate(text):
            down = (0.5 * (len(text) - 1) - k) * ROW * ruling.thing
            spot = _turned((words, place + (down if upright else -down)), upright)
            turn_deg = 0.0 if upright else 90.0
            marks.append(Words(text=said, at=spot, height_mm=HIGH, anchor="end", turn_deg=turn_deg))
    return marks


def _turned(place: Point, upright: bool) -> Point:
    """Return a place given across and along lines."""
    return place if upright else (place[1], place[0])


def _zeros(entries: Sequence[Entry]) -> list[str]:
    return list(dict.fromkeys(entry.zero for entry in entries))


def _rows(entries: Sequence[Entry], ruling: Ruling) -> list[tuple[float, str, list[str]]]:
    """Return places in order with their zero and lines of words: what lies in one place has one row."""
    found: dict[tuple[float, str], list[Entry]] = {}
    for entry in entries:
        found.setdefault((round(entry.at_mm / SAME_MM), entry.zero), []).append(entry)
    rows = []
    for (_, zero), some in sorted(found.items()):
        figure = ruling.figure(some[0].at_mm - some[0].from_mm)
        names = _listed([entry.name for entry in some])
        said = f"{zero} {figure}" if zero != CASE else figure
        lines = [f"{said} {names}"]
        if width_mm(lines[0], HIGH) > ruling.words_mm:
            lines = [said, shortened(names, HIGH, ruling.words_mm)]
        rows.append((some[0].at_mm, zero, lines))
    return rows


def _listed(names: Sequence[str]) -> str:
    """Return names in a row, each once, the word ``passage`` only with the first of several."""
    single = list(dict.fromkeys(names))
    passages = all(name.startswith(PASSAGE) for name in single)
    return ", ".join([single[0], *(name.removeprefix(PASSAGE) if passages else name for name in single[1:])])


def _running_line(entries: Sequence[Entry], line: float, upright: bool, ruling: Ruling) -> list[Mark]:
    origin, thing = entries[0].from_mm, ruling.thing
    reach = sorted([origin, *(entry.at_mm for entry in entries)])
    ends = [(line, reach[0]), (line, reach[-1])]
    marks: list[Mark] = [
        Stroke(kind="dimension", points=np.array([_turned(p, upright) for p in ends])),
        Arc(kind="dimension", centre=_turned((line, origin), upright), radius=0.9 * thing),
    ]
    for entry in entries:
        spot = np.array(_turned((line, entry.at_mm), upright))
        off = entry.begins_mm - PAST * thing
        from_it = [(off, entry.at_mm), (line, entry.at_mm)]
        marks.append(Stroke(kind="dimension", points=np.array([_turned(p, upright) for p in from_it])))
        if abs(entry.at_mm - origin) > ARROW[0] * thing:
            heading = np.array(_turned((0.0, np.sign(entry.at_mm - origin)), upright))
            marks.append(arrow(spot, heading, thing))
    return marks
