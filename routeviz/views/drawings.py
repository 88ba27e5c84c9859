"""The line drawings of a lay: front, top, side, and a section through each passage, each on a sheet.

Third angle: the view from above stands above the front, that from the right at its right. What is hidden is
decided in linework.py, what is cut in sections.py, what is measured in features.py.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from importlib.metadata import version
from pathlib import PurePath

import numpy as np
import shapely

from routeviz.cabinet.passages import Passage
from routeviz.cabinet.solids import extents
from routeviz.cabinet.zeros import Zeros
from routeviz.geometry.arrays import Floats
from routeviz.geometry.curves import chords
from routeviz.lay import Lay
from routeviz.scene.lengths import INCHES
from routeviz.tubes.routes import Tube
from routeviz.views.aspects import ASPECTS, Aspect, cutting_marks, zero_marks
from routeviz.views.dimensions import (
    HIGH,
    PASSAGE,
    PAST,
    SAME_MM,
    Entry,
    Ruling,
    between,
    running,
    running_room,
)
from routeviz.views.drawing import SCALES, Drawing, Mark, Scale, Stroke, fitting_scale, kind_of
from routeviz.views.features import Feature, entries, features_of, zeros_of
from routeviz.views.knowing import doubtful_words
from routeviz.views.linework import Model, model_of, outlines
from routeviz.views.sections import (
    Cut,
    Plane,
    cut_faces,
    cut_marks,
    cuts,
    face_marks,
    leader_room,
    leaders,
    plane_of,
)
from routeviz.views.title_block import Block, Placed, on_a_sheet, room_of

A4 = (297.0, 210.0)
COURSE_MM = 0.2  # by which an earlier course may be off, in the case: a fiftieth of a millimetre on the sheet
FINE = 0.04  # by which a tube's outline may be off, mm on the sheet: a quarter of a thin line
OVERALL = 7.0  # from a view to its overall dimension
WORDS = (36.0, 28.0, 20.0, 16.0)  # room for names of what is measured: the widest with which a scale fits
ASIDE = 6.0  # from a section to its dimensions
AIR = 4.0  # kept free about a view, its dimensions included


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheets:
    """What all sheets of a lay are drawn from."""

    lay: Lay
    zeros: Zeros
    features: tuple[Feature, ...]
    block: Block
    sheet_mm: tuple[float, float]
    letters: dict[str, str]
    earlier: tuple[Tube, ...] = ()


def drawings(
    lay: Lay, *, sheet_mm: tuple[float, float] = A4, inches: bool | None = None, date: str = ""
) -> tuple[Drawing, ...]:
    """Return the line drawings of a lay, the same for the same lay.

    Parameters
    ----------
    lay : Lay
        A scene with all that is known.
    sheet_mm : tuple of float
        Width and height of each sheet; the scale is the largest of ISO 5455 that has room.
    inches : bool or None
        Whether dimensions are in inches; where not said, as the scene is written.
    date : str
        For the title block; blank where not given.

    Returns
    -------
    drawings : tuple of Drawing
        Front, top, side, then a section a passage, lettered in the scene's order.
    """
    sheets = _sheets(lay, sheet_mm, inches, date)
    passages = lay.cabinet.passages
    found = _views(sheets)
    found += [
        _section(sheets, passage, number)
        for number, passage in enumerate(passages.values(), len(ASPECTS) + 1)
    ]
    return tuple(found)


def compared_drawings(
    lay: Lay, earlier: Sequence[Tube], *, sheet_mm: tuple[float, float] = A4
) -> tuple[Drawing, ...]:
    """Return front, top and side of a lay, with the centrelines of tubes as they lay before.

    Parameters
    ----------
    lay : Lay
        As it is now.
    earlier : sequence of Tube
        As they lay before, those with a route.
    sheet_mm : tuple of float
        Width and height of each sheet.

    Returns
    -------
    drawings : tuple of Drawing
        The same for the same lays.
    """
    sheets = _sheets(lay, sheet_mm, None, "")
    block = replace(sheets.block, sheets=len(ASPECTS))
    return tuple(_views(replace(sheets, block=block, letters={}, earlier=tuple(earlier))))


def _sheets(lay: Lay, sheet_mm: tuple[float, float], inches: bool | None, date: str) -> Sheets:
    passages = lay.cabinet.passages
    letters = {name: _letter(number) for number, name in enumerate(passages)}
    zeros = zeros_of(lay)
    return Sheets(
        lay=lay,
        zeros=zeros,
        features=features_of(lay, zeros, letters),
        block=Block(
            title=lay.cabinet.title + (f" – {lay.cabinet.stage}" if lay.cabinet.stage else ""),
            number=PurePath(lay.reading.file).name,
            maker=f"routeviz {version('routeviz')}",
            date=date,
            inches=lay.reading.scene.units in INCHES if inches is None else inches,
            sheets=len(ASPECTS) + len(passages),
        ),
        sheet_mm=sheet_mm,
        letters=letters,
    )


def _views(sheets: Sheets) -> list[Drawing]:
    low, high = extents(sheets.lay.cabinet)
    about = fitting_scale(float(np.max(high - low)), 0.0, room_of(sheets.sheet_mm), 1.0)
    model = model_of(sheets.lay.cabinet, sheets.lay.tubes, FINE / about.share)
    return [_view(sheets, aspect, model, number) for number, aspect in enumerate(ASPECTS, 1)]


def _letter(number: int) -> str:
    """Return A to Z, then AA, AB and so on."""
    letters = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def _view(sheets: Sheets, aspect: Aspect, model: Model, number: int) -> Drawing:
    corners = (model.corners if len(model.corners) else np.zeros((1, 3))) @ aspect.axes.T
    courses = _courses(sheets.earlier, aspect)
    before = [stroke.points for stroke in courses]
    every = np.concatenate([corners[:, :2], (model.chains.points @ aspect.axes.T)[:, :2], *before])
    low, high = every.min(axis=0), every.max(axis=0)
    level = entries(sheets.features, sheets.zeros, aspect.across, aspect.upright, aspect.measures)
    upright = entries(sheets.features, sheets.zeros, aspect.upright, aspect.across, aspect.measures)
    scale, ruling, aside = _view_scale(sheets, high - low, level, upright)
    thing = ruling.thing
    beyond = OVERALL + HIGH + 2.0
    marks = [*outlines(model, aspect.axes, FINE * thing), *courses]
    taken: list[shapely.Polygon] = []
    cut = [passage for name, passage in sheets.lay.cabinet.passages.items() if name in sheets.letters]
    marks += cutting_marks(cut, sheets.letters, aspect, thing, taken)
    marks += running(level, float(low[1]) - AIR * thing * 0.5, "level", ruling)
    marks += running(upright, float(low[0]) - AIR * thing * 0.5, "upright", ruling)
    marks += _overall(corners[:, :2], ruling)
    marks += zero_marks(sheets.zeros, aspect, thing, taken)
    placed = Placed(
        name=aspect.name,
        title=f"{aspect.title}, now and before" if sheets.earlier else aspect.title,
        marks=marks,
        low=tuple((low - aside * thing).tolist()),
        high=tuple((high + beyond * thing).tolist()),
        notes=_notes(sheets),
    )
    return on_a_sheet(placed, scale, sheets.sheet_mm, sheets.block, number)


def _courses(tubes: Sequence[Tube], aspect: Aspect) -> list[Stroke]:
    """Return the centrelines of tubes as they lay before; nothing hides them."""
    lines = [chords(tube.curve, COURSE_MM)[0] for tube in tubes if tube.curve is not None]
    return [Stroke(kind="earlier", points=(line @ aspect.axes.T)[:, :2]) for line in lines]


def _overall(corners: Floats, ruling: Ruling) -> list[Mark]:
    """Return how wide and how high all parts are together, measured from where they reach farthest."""
    (left, bottom), (right, top) = corners.min(axis=0).tolist(), corners.max(axis=0).tolist()
    if right - left < SAME_MM or top - bottom < SAME_MM:
        return []
    marks = between((left, top), (right, top), OVERALL, ruling)
    marks += between((right, bottom), (right, top), -OVERALL, ruling)
    off = PAST * ruling.thing
    for side in (left, right):
        high = float(corners[np.abs(corners[:, 0] - side) < SAME_MM, 1].max())
        ends = [(side, high + off), (side, top + off)]
        marks += [Stroke(kind="dimension", points=np.array(ends))] if high < top - off else []
    for level in (bottom, top):
        far = float(corners[np.abs(corners[:, 1] - level) < SAME_MM, 0].max())
        ends = [(far + off, level), (right + off, level)]
        marks += [Stroke(kind="dimension", points=np.array(ends))] if far < right - off else []
    return marks


def _view_scale(
    sheets: Sheets, size: Floats, level: Sequence[Entry], upright: Sequence[Entry]
) -> tuple[Scale, Ruling, Floats]:
    """Return the largest scale that leaves room for dimensions, how they are written, and their room.

    Names are cut short where that makes the drawing larger.

    Returns
    -------
    scale, ruling : Scale, Ruling
        As chosen.
    aside : array, shape (2,)
        Room on the sheet at the left and below.
    """
    found: list[tuple[Scale, Ruling, Floats]] = []
    for words in WORDS:
        ruling = Ruling(thing=1.0, inches=sheets.block.inches, words_mm=words)
        aside = np.array([running_room(upright, ruling), running_room(level, ruling)]) + 0.5 * AIR
        room = np.array(room_of(sheets.sheet_mm)) - aside - (OVERALL + HIGH + 2.0) - AIR
        scale = fitting_scale(float(size[0]), float(size[1]), (float(room[0]), float(room[1])), 1.0)
        found.append((scale, replace(ruling, thing=1.0 / scale.share), aside))
    return max(found, key=lambda one: one[0].share)


def _notes(sheets: Sheets) -> list[str]:
    notes = [
        "Running dimensions from the zero case, unless another zero is named. Moving parts at rest.",
        "Parts that stand before all tubes are looked through. Hidden edges of large parts only; what is "
        "hidden by tubes is left out.",
    ]
    if sheets.earlier:
        count = len(sheets.earlier)
        notes.append(f"{count} {'tube' if count == 1 else 'tubes'} lay elsewhere before, or are gone.")
    missing = sum(1 for tube in sheets.lay.tubes if tube.curve is None)
    if missing:
        notes.append(f"{missing} of {len(sheets.lay.tubes)} tubes have no route and are not drawn.")
    if sheets.letters:
        notes.append(
            "Sections: " + ", ".join(f"{letter} {name}" for name, letter in sheets.letters.items()) + "."
        )
    drawn = replace(sheets.lay.cabinet, keep_clear=(), nipples={})
    words = doubtful_words(drawn, sheets.lay.tubes)
    return [*notes, words] if words else notes


def _section(sheets: Sheets, passage: Passage, number: int) -> Drawing:
    plane = plane_of(passage, [one.axes for one in ASPECTS])
    outline = (passage.outline @ passage.axes[:2]) @ plane.axes[:2].T
    low, high = outline.min(axis=0), outline.max(axis=0)
    some = cuts(sheets.lay.tubes, plane)
    scale, window = _window(sheets, some, low, high)
    thing = 1.0 / scale.share
    shown = [cut for cut in some if shapely.contains_xy(window, *cut.centre)]
    faces = cut_faces(sheets.lay.cabinet, plane, window)
    ruling = Ruling(thing=thing, inches=sheets.block.inches)
    left, bottom, right, top = window.bounds
    statuses = [sheets.lay.cabinet.solids[number].status for number, _ in faces]
    marks: list[Mark] = face_marks(faces, window, thing, [kind_of("cut", status) for status in statuses])
    marks.append(
        Stroke(kind="centre" if passage.solid is not None else "phantom", points=outline, closed=True)
    )
    marks += cut_marks(shown, thing)
    marks += leaders(shown, window, thing)
    (x, y), (far_x, far_y) = low.tolist(), high.tolist()
    column = leader_room(shown, thing)
    marks += between((x, y), (far_x, y), (bottom - y) / thing - ASIDE, ruling)
    marks += between((far_x, y), (far_x, far_y), (far_x - right) / thing - column - ASIDE, ruling)
    letter = sheets.letters[passage.name]
    room = (column + ASIDE + 2.0) * thing
    placed = Placed(
        name=f"section-{letter.lower()}",
        title=f"Section {letter}–{letter}: {passage.name}",
        marks=marks,
        low=(left - room, bottom - (ASIDE + 2.0) * thing),
        high=(right + room, top + 2.0 * thing),
        notes=_section_notes(sheets, passage, plane, shown),
    )
    return on_a_sheet(placed, scale, sheets.sheet_mm, sheets.block, number)


def _window(sheets: Sheets, some: Sequence[Cut], low: Floats, high: Floats) -> tuple[Scale, shapely.Polygon]:
    """Return at which scale a passage is drawn, and how much about it."""
    wide, tall = room_of(sheets.sheet_mm)
    for scale in SCALES[1:]:
        column = leader_room(some, 1.0 / scale.share) + 10.0
        half = 0.5 * np.array([wide - 2 * column, tall - 18.0]) / scale.share
        size = high - low
        if (half >= 0.5 * size + 12.0 / scale.share).all():
            break
    least = 0.5 * size + 12.0 / scale.share
    half = np.minimum(half, np.maximum(least, 0.5 * size + 40.0))
    middle = 0.5 * (low + high)
    return scale, shapely.box(*(middle - half), *(middle + half))


def _section_notes(sheets: Sheets, passage: Passage, plane: Plane, shown: Sequence[Cut]) -> list[str]:
    feature = next(f for f in sheets.features if f.name == PASSAGE + sheets.letters[passage.name])
    zero = sheets.zeros[feature.zero].origin
    ruling = Ruling(thing=1.0, inches=sheets.block.inches)
    words = [
        f"{word} {ruling.figure(a)} to {ruling.figure(b)}"
        for word, a, b in zip(
            ("right", "back", "up"),
            (feature.low - zero).tolist(),
            (feature.high - zero).tolist(),
            strict=True,
        )
    ]
    side = max(ASPECTS, key=lambda one: float(one.axes[2] @ plane.axes[2]))
    inside = shapely.Polygon((passage.outline @ passage.axes[:2]) @ plane.axes[:2].T)
    count = sum(1 for cut in shown if shapely.contains_xy(inside, *cut.centre))
    return [
        f"Seen {side.title[0].lower()}{side.title[1:]}. What lies in the plane alone is drawn: half way "
        "through the passage, moving parts at rest.",
        f"The opening, from the zero {feature.zero}: {', '.join(words)}.",
        "1 tube goes through it, by its tag."
        if count == 1
        else f"{count} tubes go through it, by their tags.",
    ]
