"""The sides from which a case is drawn, and what is marked on such a view: zeros, passages, where one cuts.

Cutting lines have thick ends and arrows the way one looks (ISO 128-3, from memory).
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from routeviz.cabinet.passages import Passage
from routeviz.cabinet.zeros import Zeros
from routeviz.geometry.arrays import Floats
from routeviz.views.dimensions import HIGH, arrow
from routeviz.views.drawing import Arc, Fill, Mark, Stroke, Words
from routeviz.views.letters import width_mm
from routeviz.views.sections import plane_of

MOST = 3  # letters at one cutting line: of more, the first and the last


@dataclass(frozen=True, slots=True, kw_only=True)
class Aspect:
    """A side to look from: its axes as rows (right, up, out), each along one of the case's."""

    name: str
    title: str
    axes: Floats
    across: int
    upright: int
    measures: tuple[str, ...]


ASPECTS = (
    Aspect(
        name="front",
        title="From the front",
        axes=np.array([[1.0, 0, 0], [0, 0, 1], [0, -1, 0]]),
        across=0,
        upright=2,
        measures=("zero", "board", "keys", "row"),
    ),
    Aspect(
        name="top",
        title="From above",
        axes=np.array([[1.0, 0, 0], [0, 1, 0], [0, 0, 1]]),
        across=0,
        upright=1,
        measures=("zero", "board", "row", "passage"),
    ),
    Aspect(
        name="side",
        title="From the player's right",
        axes=np.array([[0, 1.0, 0], [0, 0, 1], [1, 0, 0]]),
        across=1,
        upright=2,
        measures=("zero", "board", "keys", "row"),
    ),
)


def zero_marks(zeros: Zeros, aspect: Aspect, thing: float, taken: list[shapely.Polygon]) -> list[Mark]:
    """Return a cross in a ring at each zero, with its name; zeros in one place share them."""
    found: dict[tuple[float, float], list[str]] = {}
    for name, mark in zeros.items():
        x, y = (aspect.axes[:2] @ mark.origin).tolist()
        found.setdefault((round(x, 3), round(y, 3)), []).append(name)
    marks: list[Mark] = []
    for (x, y), names in found.items():
        text, reach = "zero " + ", ".join(names), 2.2 * thing
        marks += [
            Arc(kind="dimension", centre=(x, y), radius=1.2 * thing),
            Stroke(kind="dimension", points=np.array([(x - reach, y), (x + reach, y)])),
            Stroke(kind="dimension", points=np.array([(x, y - reach), (x, y + reach)])),
        ]
        places = [(x + 2.6 * thing, y + up * thing) for up in (2.2, -2.2, 4.6, -4.6, 7.0, -7.0)]
        marks += haloed(text, free_place(text, places, thing, taken), thing)
    return marks


def free_place(
    text: str, places: Sequence[tuple[float, float]], thing: float, taken: list[shapely.Polygon]
) -> tuple[float, float]:
    """Return the first of some places at which words lie on no others, else the last, and take it."""
    for place in places:
        box = _paper(text, place, thing)
        if not any(box.intersects(other) for other in taken):
            break
    taken.append(box)
    return place


def _paper(text: str, at: tuple[float, float], thing: float) -> shapely.Polygon:
    wide, half, off = width_mm(text, HIGH) * thing, 0.75 * HIGH * thing, 0.4 * thing
    return shapely.box(at[0] - off, at[1] - half, at[0] + wide + off, at[1] + half)


def haloed(text: str, at: tuple[float, float], thing: float) -> list[Mark]:
    """Return words on white paper, so that they can be read on anything."""
    paper = shapely.get_coordinates(_paper(text, at, thing))[:-1]
    return [Fill(points=paper, ink="#ffffff"), Words(text=text, at=at, height_mm=HIGH)]


def cutting_marks(
    passages: Iterable[Passage],
    letters: Mapping[str, str],
    aspect: Aspect,
    thing: float,
    taken: list[shapely.Polygon],
) -> list[Mark]:
    """Return where the sections are: thick ends of the cutting line, arrows the way one looks, letters."""
    marks: list[Mark] = []
    found: dict[tuple[float, ...], list[tuple[str, Floats, Floats, Floats]]] = {}
    for passage in passages:
        looks = -(aspect.axes[:2] @ plane_of(passage, [one.axes for one in ASPECTS]).axes[2])
        if np.hypot(*looks) < 0.001:
            marks += _lettered(letters[passage.name], _seen(passage, aspect), thing, taken)
        if np.hypot(*looks) < 0.999:
            continue  # seen slanted or square: its plane is no line here
        outline = _seen(passage, aspect)
        along = np.array([-looks[1], looks[0]])
        middle = aspect.axes[:2] @ passage.origin
        ends = middle + np.outer([np.min(along @ outline), np.max(along @ outline)] - along @ middle, along)
        key = tuple(np.round(np.append(ends, looks) / (2.0 * thing)).tolist())
        found.setdefault(key, []).append((letters[passage.name], ends, along, looks))
    for some in found.values():
        every = [one[0] for one in some]
        said = ", ".join(every if len(every) <= MOST else [every[0], "…", every[-1]])
        marks += _cutting_mark(said, some[0][1:], thing, taken)
    return marks


def _seen(passage: Passage, aspect: Aspect) -> Floats:
    """Return where a passage's outline is seen, shape (2, k)."""
    return np.asarray(aspect.axes[:2] @ (passage.origin[:, None] + passage.axes[:2].T @ passage.outline.T))


def _cutting_mark(
    letters: str, line: tuple[Floats, Floats, Floats], thing: float, taken: list[shapely.Polygon]
) -> list[Mark]:
    """Return both ends of a cutting line, given by its ends, where it heads and where one looks."""
    ends, along, looks = line
    marks: list[Mark] = []
    for sign, begin in zip((-1.0, 1.0), ends, strict=True):
        tip, end = begin + sign * 1.0 * thing * along, begin + sign * 4.0 * thing * along
        shift = np.array([0.5 * width_mm(letters, HIGH) * thing, 0.0])
        spots = [end - looks * far * thing for far in (4.8, 7.6, 10.4, 13.2)]
        places = [(float(spot[0]), float(spot[1])) for spot in spots - shift]
        place = free_place(letters, places, thing, taken)
        marks += [
            Stroke(kind="cut", points=np.stack([tip, end])),
            Stroke(kind="dimension", points=np.stack([np.array(place) + shift, end])),
            arrow(end, looks, thing),
        ]
        marks += haloed(letters, place, thing)
        taken.append(shapely.LineString([tip, end, end - looks * 3.0 * thing]).buffer(0.6 * thing))
    return marks


def _lettered(letter: str, outline: Floats, thing: float, taken: list[shapely.Polygon]) -> list[Mark]:
    """Return the letter of a passage that is looked into, beside it."""
    (left, low), (right, high) = outline.min(axis=1).tolist(), outline.max(axis=1).tolist()
    wide, off = width_mm(letter, HIGH) * thing, 0.8 * HIGH * thing
    middle = 0.5 * (left + right - wide)
    places = [(middle, high + off), (middle, low - off), (left - wide - off, 0.5 * (low + high))]
    return haloed(
        letter, free_place(letter, [*places, (right + off, 0.5 * (low + high))], thing, taken), thing
    )
