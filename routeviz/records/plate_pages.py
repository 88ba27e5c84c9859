"""Plates at true size: each passage from both faces, on as few pages as hold them, tiled where one is larger.

Tiles overlap by a strip. Where four tiles or two meet stands a mark, a cross in a ring, printed on each of
them: laid one on the other, the sheets fit. A line of 100 mm is on every page.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from routeviz.lay import Lay
from routeviz.records.drawn import marks_of_svg
from routeviz.records.paper import Box, Cutout, Mark, Oval, Page, line, moved, new_page, rectangle
from routeviz.records.settings import Paper, Settings
from routeviz.views.plate_faces import Face
from routeviz.views.plates import plate

FACES: tuple[Face, ...] = ("front", "back")
OVERLAP = 14.0  # of two tiles
STRIP = 14.0  # below a tile, for its check line and words
CHECK = 100.0
RING, ARM = 2.0, 5.0  # of a registration mark
APART = 2.0  # between two plates on a page
TRUE_SIZE = "1:1"


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """A plate to be put on paper."""

    title: str
    size: tuple[float, float]
    marks: tuple[Mark, ...]


def plate_pages(lay: Lay, settings: Settings) -> list[Page]:
    """Return the pages with all plates of a lay, in the scene's order of passages."""
    pages: list[Page] = []
    for name in lay.cabinet.passages:
        faces = [Plate(title=f"Plate: {name}", size=size, marks=marks) for size, marks in _faces(lay, name)]
        pages += placed(faces, settings.paper)
    return pages


def placed(plates: Sequence[Plate], paper: Paper) -> list[Page]:
    """Return pages with plates: several on one where they have room, one on several where it has not."""
    pages: list[Page] = []
    y = math.inf
    for one in plates:
        if not any(_fits(one, new_page(paper, "", lying=lying).body) for lying in (False, True)):
            pages += tiled(one, paper)
            y = math.inf
            continue
        if y + one.size[1] > (pages[-1].body.bottom if pages else 0.0) or not _beside(one, pages):
            lying = not _fits(one, new_page(paper, "").body)
            pages.append(new_page(paper, one.title, lying=lying, scale=TRUE_SIZE))
            y = pages[-1].body.top
        y = _put(pages[-1], one, y) + APART
    return pages


def tiled(one: Plate, paper: Paper) -> list[Page]:
    """Return a plate in tiles, row by row, upright or lying, whichever takes fewer."""
    grids = {lying: _grid(one.size, new_page(paper, "", lying=lying).body) for lying in (False, True)}
    lying = len(grids[True][0]) * len(grids[True][1]) < len(grids[False][0]) * len(grids[False][1])
    columns, rows = grids[lying]
    pages = []
    for row, top in enumerate(rows):
        for column, left in enumerate(columns):
            page = new_page(paper, one.title, lying=lying, scale=TRUE_SIZE)
            where = f"Tile: row {row + 1} of {len(rows)}, column {column + 1} of {len(columns)}"
            _put_tile(page, one, (left, top), (columns, rows), where)
            pages.append(page)
    return pages


def check_line(page: Page, left: float, y: float) -> None:
    """Put a line of 100 mm on a page, to be measured on the print; what is said of it stands below."""
    ends = (left, y), (left + CHECK, y)
    page.draw(line(*ends), *(line((x, y - 1.5), (x, y + 1.5)) for x, _ in ends))
    says = f"This line is {CHECK:.0f} mm long. If it is not on the print, print at 100 %, not fitted."
    page.write((left, y + 5.0), says, 8.0)


def _faces(lay: Lay, name: str) -> Iterator[tuple[tuple[float, float], tuple[Mark, ...]]]:
    for face in FACES:
        yield marks_of_svg(plate(lay, name, face))


def _fits(one: Plate, body: Box) -> bool:
    return one.size[0] <= body.right - body.left and one.size[1] <= body.bottom - body.top


def _beside(one: Plate, pages: Sequence[Page]) -> bool:
    return bool(pages) and one.size[0] <= pages[-1].body.right - pages[-1].body.left


def _put(page: Page, one: Plate, top: float) -> float:
    left = (page.size[0] - one.size[0]) / 2
    page.draw(*(moved(mark, (left, top)) for mark in one.marks))
    page.claim(Box(left=left, top=top, right=left + one.size[0], bottom=top + one.size[1], what=one.title))
    return top + one.size[1]


def _grid(size: tuple[float, float], body: Box) -> tuple[list[float], list[float]]:
    """Return where tiles begin on a plate, across and down."""
    tile = body.right - body.left, body.bottom - body.top - STRIP
    return _begins(size[0], tile[0]), _begins(size[1], tile[1])


def _begins(long: float, tile: float) -> list[float]:
    count = max(math.ceil((long - OVERLAP) / (tile - OVERLAP)), 1)
    return [k * (tile - OVERLAP) for k in range(count)]


def _put_tile(
    page: Page, one: Plate, begin: tuple[float, float], grid: tuple[list[float], list[float]], where: str
) -> None:
    body = page.body
    tile = Box(left=body.left, top=body.top, right=body.right, bottom=body.bottom - STRIP, what=where)
    by = body.left - begin[0], body.top - begin[1]
    page.draw(Cutout(box=tile, marks=tuple(moved(mark, by) for mark in one.marks)))
    page.draw(rectangle(tile, 0.13, grey=0.6))
    wide, high = tile.right - tile.left, tile.bottom - tile.top
    for x, y in _meeting(grid, (wide, high), one.size):
        at = x + by[0], y + by[1]
        if tile.left < at[0] < tile.right and tile.top < at[1] < tile.bottom:
            page.draw(*registration(at))
    page.claim(tile)
    check_line(page, body.left + 1.0, tile.bottom + 4.0)
    page.write((body.right, tile.bottom + 4.5), f"{where}. Lay ring on ring.", 8.0, anchor="end")


def _meeting(
    grid: tuple[list[float], list[float]], tile: tuple[float, float], size: tuple[float, float]
) -> list[tuple[float, float]]:
    """Return where registration marks stand on a plate: two at least in each strip that two tiles share.

    A strip's middle is met by those that run across it, and by the middles of the tiles beside it; where
    it is crossed by none, two places on it keep sheets from turning about a single mark.

    Returns
    -------
    places : list of tuple of float
        From the plate's upper left corner.
    """
    strips = [[after + OVERLAP / 2 for _, after in pairwise(begins)] for begins in grid]
    middles = [
        [begin + tile[k] / 2 for begin in grid[k]]
        if len(grid[k]) > 1
        else [min(tile[k], size[k]) * share for share in (0.1, 0.9)]
        for k in (0, 1)
    ]
    upright = [(x, y) for x in strips[0] for y in (*strips[1], *middles[1])]
    return upright + [(x, y) for x in middles[0] for y in strips[1]]


def registration(at: tuple[float, float]) -> tuple[Mark, ...]:
    """Return a registration mark about a place."""
    x, y = at
    return (
        Oval(centre=at, radii=(RING, RING), wide=0.18),
        line((x - ARM, y), (x + ARM, y), 0.13),
        line((x, y - ARM), (x, y + ARM), 0.13),
    )
