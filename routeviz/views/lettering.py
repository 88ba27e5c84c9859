"""What is written on a picture and where: heading, numbered badges, words, legend, scale bar, caption.

How each is inked is in inking.py, where marks find room in spots.py. A page is several times as fine as its
picture, which is its average: so that edges are smooth.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from PIL import Image, ImageDraw

from routeviz.checks.findings import Finding
from routeviz.geometry.arrays import Floats
from routeviz.views.cameras import View, projected, scale_bar_mm
from routeviz.views.closeups import Closeup, in_sight
from routeviz.views.display import Display, Entry, Label, Marker, briefly
from routeviz.views.inking import (
    Letters,
    Pen,
    Place,
    badge,
    blank,
    haloed,
    leader,
    plate,
    plate_size,
    sample,
    scale_bar,
    width,
    words,
    wrapped,
)
from routeviz.views.shades import LABEL_INKS, PALE_INK
from routeviz.views.spots import Room, mark_spots, word_spot
from routeviz.views.surroundings import Surroundings, in_view

FINE = 2  # every pixel of a picture is the average of 2 by 2 of its page
HEAD, FOOT, COLUMN, CAPTION, MARGIN = 60.0, 66.0, 380.0, 112.0, 22.0  # thousandths of the picture's height
ROWS, ROW = 2, 28.0  # of the legend, and from one to the next
RULE = "#cfd4da"
MARK = 27.0  # size of a badge
MOST_MARKS = 99  # more would cover the picture
GRID = (32, 20)  # across and down a close-up: where it is looked what is seen, to find places for names
LEAST_SEEN = 0.02  # share of a close-up that a part fills before it is named


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """How a page is divided.

    Parameters
    ----------
    size : tuple of int
        Of the page, ``FINE`` times the picture's, in page pixels.
    area : tuple of int
        Left, top, right and bottom of what is seen, in page pixels.
    rows : int
        Of the legend.
    """

    size: tuple[int, int]
    area: tuple[int, int, int, int]
    rows: int = ROWS

    @property
    def seen(self) -> tuple[int, int]:
        """Width and height of what is seen, in the picture's pixels."""
        return (self.area[2] - self.area[0]) // FINE, (self.area[3] - self.area[1]) // FINE


@dataclass(frozen=True, slots=True, kw_only=True)
class Whole:
    """What a view of the whole is about: what is shown, from where, what hides what, words for the column."""

    shown: Display
    view: View
    around: Surroundings
    words: tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Near:
    """What a close-up is about: the finding, how it is seen, and everything around it."""

    closeup: Closeup
    finding: Finding
    around: Surroundings


def whole_page(size: tuple[int, int], *, with_column: bool, rows: int = ROWS) -> Page:
    """Return the page for a view of the whole: a column for findings if there are any, the legend below."""
    return _page(size, COLUMN if with_column else 0.0, 0.0, rows)


def near_page(size: tuple[int, int], *, rows: int = ROWS) -> Page:
    """Return the page for a view of one finding: a caption below, and under it the legend."""
    return _page(size, 0.0, CAPTION, rows)


def whole_picture(page: Page, image: Image.Image, seen: Whole) -> Image.Image:
    """Return the picture of the whole, lettered.

    Parameters
    ----------
    page : Page
        From ``whole_page``.
    image : Image
        What is seen, of the size ``page.seen``.
    seen : Whole
        What it shows.

    Returns
    -------
    picture : Image
        Of the size for which the page was made.
    """
    shown, view = seen.shown, seen.view
    has_column = page.area[2] < page.size[0]
    said = view.title if has_column else f"{view.title}: {seen.words[0]}"
    sheet, pen = _begun(page, image, shown.title, said)
    room = Room(page.area)
    markers = shown.markers[:MOST_MARKS]
    tags = _tags(page, view, shown, seen.around, frozenset())
    _with_tubes(room, page, view, tags)
    places = _places(page, view, [m.point for m in markers])
    spots = mark_spots(places, MARK * pen.unit, room)
    for tag, points in tags:
        _label(pen, tag, _pairs(_places(page, view, points)), room)
    for label in shown.labels:
        if label.kind != "tube":
            _label(pen, label, _pairs(_places(page, view, label.points)), room)
    _marks(pen, markers, places, spots)
    if has_column:
        _column(pen, page, shown, *seen.words)
    _foot(pen, page, view, shown.legend, "" if view.parallel else " in the middle")
    return sheet.reduce(FINE)


def near_picture(page: Page, image: Image.Image, shown: Display, near: Near) -> Image.Image:
    """Return the picture of one finding.

    Parameters
    ----------
    page : Page
        From ``near_page``.
    image : Image
        What is seen, of the size ``page.seen``.
    shown : Display
        All there is.
    near : Near
        What it is about.

    Returns
    -------
    picture : Image
        Lettered.
    """
    closeup, finding, around = near.closeup, near.finding, near.around
    sheet, pen = _begun(page, image, shown.title, f"{finding.severity.capitalize()} {closeup.number}")
    room = Room(page.area)
    markers = [m for m in shown.markers if m.number == closeup.number]
    places = _places(page, closeup.view, [m.point for m in markers])
    tags = _tags(page, closeup.view, shown, around, closeup.faded)
    tags.sort(key=lambda tag: tag[0].name not in closeup.about)
    _with_tubes(room, page, closeup.view, tags)
    spots = mark_spots(places, 1.3 * MARK * pen.unit, room)
    for label, points in tags:
        _label(pen, label, _pairs(_places(page, closeup.view, points)), room)
    called = {label.name: label for label in shown.labels if label.kind == "part"}
    for label, at in _near_labels(page, closeup, around):
        _label(pen, called.get(label.name, label), at, room)
    _marks(pen, markers, places, spots, 1.3 * MARK)
    _caption(pen, page, finding, closeup)
    _foot(pen, page, closeup.view, shown.legend, " at the place shown")
    return sheet.reduce(FINE)


def legend_rows(size: tuple[int, int], legend: Sequence[Entry]) -> int:
    """Return in how many rows a legend stands on pictures of a size: two, or as many more as it needs."""
    pen = Pen(draw=ImageDraw.Draw(blank((1, 1))), unit=FINE * size[1] / 1000.0)
    return max((row for *_, row in _legend_places(pen, FINE * size[0], legend)), default=0) + 1


def _page(size: tuple[int, int], column: float, caption: float, rows: int) -> Page:
    unit = size[1] / 1000.0
    foot = caption + FOOT + ROW * max(rows - ROWS, 0)
    area = (0, round(HEAD * unit), size[0] - round(column * unit), size[1] - round(foot * unit))
    left, top, right, bottom = (FINE * edge for edge in area)
    return Page(size=(FINE * size[0], FINE * size[1]), area=(left, top, right, bottom), rows=max(rows, ROWS))


def _begun(page: Page, image: Image.Image, title: str, what: str) -> tuple[Image.Image, Pen]:
    sheet = blank(page.size)
    sheet.paste(
        image.resize((FINE * image.width, FINE * image.height), Image.Resampling.NEAREST), page.area[:2]
    )
    pen = Pen(draw=ImageDraw.Draw(sheet), unit=page.size[1] / 1000.0)
    middle = 0.5 * HEAD * pen.unit
    left = MARGIN * pen.unit
    room = page.size[0] - 3 * left - width(pen, what, 20.0)
    title = wrapped(pen, title, Letters(25.0, bold=True), room, 1)[0]
    words(pen, (left, middle), title, Letters(25.0, bold=True))
    words(pen, (page.size[0] - left, middle), what, Letters(20.0, ink=PALE_INK, anchor="rm"))
    _rule(pen, (0, HEAD * pen.unit), (page.size[0], HEAD * pen.unit))
    return sheet, pen


def _rule(pen: Pen, start: Place, end: Place) -> None:
    pen.draw.line([start, end], fill=RULE, width=max(1, round(pen.unit)))


def _places(page: Page, view: View, points: Sequence[Floats] | Floats) -> Floats:
    """Return where points stand on the page; those behind the eye far off it."""
    places, depths = projected(view, np.asarray(points, dtype=np.float64).reshape(-1, 3), page.seen)
    places[depths <= 0.0] = -1e6
    return FINE * places + np.array(page.area[:2], dtype=np.float64)


def _label(pen: Pen, label: Label, at: Sequence[Place], room: Room) -> None:
    """Write a label at the first of its places that has room, or not at all."""
    if label.kind == "tube":
        spot = word_spot(at, *plate_size(pen, label.text, 12.5), room, label.name)
        if spot is not None:
            plate(pen, spot, label.text, 12.5)
        return
    wide = width(pen, label.text, 15.0, bold=True) + 8.0 * pen.unit
    spot = word_spot(at, wide, 24.0 * pen.unit, room)
    if spot is None and label.kind != "part":
        spot = word_spot(at, wide, 24.0 * pen.unit, Room(room.whole, room.taken))
    if spot is not None:
        haloed(pen, spot, label.text, 15.0, LABEL_INKS[label.kind])


def _tags(
    page: Page, view: View, shown: Display, around: Surroundings, faded: frozenset[str]
) -> list[tuple[Label, Floats]]:
    """Return the labels of tubes that are not faded, each with those of its places that can be seen."""
    labels = [label for label in shown.labels if label.kind == "tube" and label.name not in faded]
    if not labels:
        return []
    points = np.concatenate([label.points for label in labels])
    places = _places(page, view, points)
    left, top, right, bottom = page.area
    seen = in_view(view, points, around, faded)
    seen &= (places[:, 0] > left) & (places[:, 0] < right) & (places[:, 1] > top) & (places[:, 1] < bottom)
    ends = np.cumsum([len(label.points) for label in labels])[:-1]
    parts = zip(labels, np.split(points, ends), np.split(seen, ends), strict=True)
    return [(label, some[there]) for label, some, there in parts]


def _with_tubes(room: Room, page: Page, view: View, tags: Sequence[tuple[Label, Floats]]) -> None:
    """Note where tubes are seen, so that nothing else is written over them."""
    distance = float(np.linalg.norm(view.eye - view.target))
    left, top, right, bottom = page.area
    for label, _ in tags:
        points = label.points[np.argsort(label.along)]
        places, (_, depths) = _places(page, view, points), projected(view, points, (2, 2))
        on_page = (
            (places[:, 0] > left) & (places[:, 0] < right) & (places[:, 1] > top) & (places[:, 1] < bottom)
        )
        nearer = distance / float(depths[on_page].min()) if on_page.any() and not view.parallel else 1.0
        half = 0.5 * label.wide_mm * nearer * FINE * page.seen[1] / view.height_mm
        room.add_strand(label.name, places, half)


def _marks(
    pen: Pen, markers: Sequence[Marker], places: Floats, spots: Sequence[Place | None], size: float = MARK
) -> None:
    put = [(m, (float(p[0]), float(p[1])), s) for m, p, s in zip(markers, places, spots, strict=True) if s]
    for marker, place, spot in put:
        leader(pen, place, spot, marker.severity)
    for marker, _, spot in put:
        badge(pen, spot, size, str(marker.number), marker.severity)


def _near_labels(page: Page, closeup: Closeup, around: Surroundings) -> list[tuple[Label, list[Place]]]:
    """Return which parts are named in a close-up, each with places where it is seen, its middle first."""
    found: list[tuple[Label, list[Place]]] = []
    seen = in_sight(closeup, around, page.seen[0] / page.seen[1], GRID)
    for name, text in seen.names.items():
        cells = np.argwhere(seen.cells == name)
        if len(cells) and (len(cells) >= LEAST_SEEN * seen.cells.size or text in closeup.about):
            order = np.argsort(((cells - cells.mean(axis=0)) ** 2).sum(axis=1), kind="stable")
            places = (cells[order][:, ::-1] + 0.5) / seen.cells.shape[::-1] * np.array(page.seen) * FINE
            label = Label(name=text, text=text, kind="part", points=np.zeros((0, 3)))
            found.append((label, _pairs(places + np.array(page.area[:2]))))
    return found


def _pairs(places: Floats) -> list[Place]:
    return [(float(x), float(y)) for x, y in places]


def _column(pen: Pen, page: Page, shown: Display, counts: str, note: str) -> None:
    """List the findings beside the picture under the numbers of its marks."""
    u = pen.unit
    left, right = page.area[2] + 14.0 * u, page.size[0] - 14.0 * u
    lowest = page.area[3] - (50.0 if note else 28.0) * u
    _rule(pen, (page.area[2], page.area[1]), (page.area[2], page.area[3]))
    y = page.area[1] + 24.0 * u
    for line in wrapped(pen, counts, Letters(15.5, bold=True), right - left, 2):
        words(pen, (left, y), line, Letters(15.5, bold=True))
        y += 23.0 * u
    y += 8.0 * u
    listed = 0
    for marker in shown.markers:
        lines = wrapped(pen, marker.says, Letters(14.0), right - left - 34.0 * u, 2)
        if y + 19.0 * u * len(lines) > lowest:
            break
        badge(pen, (left + 12.0 * u, y + 3.0 * u), 19.0, str(marker.number), marker.severity)
        y = _lines(pen, (left + 34.0 * u, y), lines, Letters(14.0)) + 8.5 * u
        listed += 1
    for line in _not_listed(shown, listed):
        lines = wrapped(pen, line, Letters(13.5), right - left, 6)
        if y < lowest:
            y = _lines(pen, (left, y), lines, Letters(13.5, ink=PALE_INK))
    if note:
        words(pen, (left, page.area[3] - 16.0 * u), note, Letters(13.5, ink=PALE_INK))


def _not_listed(shown: Display, listed: int) -> list[str]:
    """Return what the column has no room for, and what has no place on any picture."""
    more = len(shown.markers) - listed
    rest = [f"and {more} more, in the printed list"] if more else []
    return rest + ([f"not shown: {', '.join(shown.placeless)}"] if shown.placeless else [])


def _lines(pen: Pen, at: Place, lines: Sequence[str], letters: Letters) -> float:
    """Write lines one below the other and return where the next would stand."""
    y = at[1]
    for line in lines:
        words(pen, (at[0], y + 3.0 * pen.unit), line, letters)
        y += 18.5 * pen.unit
    return y


def _caption(pen: Pen, page: Page, finding: Finding, closeup: Closeup) -> None:
    u, top = pen.unit, page.area[3]
    left, right = MARGIN * u, page.size[0] - MARGIN * u
    _rule(pen, (0, top), (page.size[0], top))
    badge(pen, (left + 15.0 * u, top + 31.0 * u), 26.0, str(closeup.number), finding.severity)
    x = left + 42.0 * u
    head = briefly(finding)
    words(pen, (x, top + 31.0 * u), head, Letters(20.0, bold=True))
    y = top + 60.0 * u
    for text in (finding.says, f"Remedy: {finding.remedy}" if finding.remedy else ""):
        line = wrapped(pen, text, Letters(16.0), right - x, 1)
        words(pen, (x, y), line[0] if line else "", Letters(16.0))
        y += 26.0 * u
    if closeup.faded:
        faded = "what stood in the way is faded"
        words(pen, (right, top + 31.0 * u), faded, Letters(14.0, ink=PALE_INK, anchor="rm"))


def _foot(pen: Pen, page: Page, view: View, legend: Sequence[Entry], where: str) -> None:
    """Draw the legend in its rows, and the scale bar at the right."""
    u = pen.unit
    top = page.size[1] - (FOOT + ROW * (page.rows - ROWS)) * u
    _rule(pen, (0, top), (page.size[0], top))
    mm_a_pixel = view.height_mm / (FINE * page.seen[1])
    bar_mm = scale_bar_mm(210.0 * u * mm_a_pixel)
    right = page.size[0] - MARGIN * u
    scale_bar(pen, (right, top + 37.0 * u), bar_mm / mm_a_pixel, f"{bar_mm:g} mm{where}")
    for entry, x, row in _legend_places(pen, page.size[0], legend):
        if row < page.rows:
            y = top + (19.0 + ROW * row) * u
            after = x + sample(pen, (x, y), entry.form, entry.look, entry.severity) + 8.0 * u
            words(pen, (after, y), entry.text, Letters(14.0))


def _legend_places(pen: Pen, wide: float, legend: Sequence[Entry]) -> Iterator[tuple[Entry, float, int]]:
    """Yield how far from the left, and in which row, each line of a legend stands on a page so wide."""
    u = pen.unit
    x, row = MARGIN * u, 0
    for entry in legend:
        text = width(pen, entry.text, 14.0)
        if x + 42.0 * u + text > wide - (MARGIN + 300.0) * u:
            x, row = MARGIN * u, row + 1
        yield entry, x, row
        x += (24.0 if entry.form == "badge" else 34.0) * u + 8.0 * u + text + 22.0 * u
