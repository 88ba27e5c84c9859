"""Cells halved until none can hold anything nearer: the loop behind sweeps.py.

What a cell is stands in cells.py, what it can hold at least in bounds.py.
"""

import math

import numpy as np

from routeviz.geometry import cells as cell
from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.bounds import is_settled, look
from routeviz.geometry.cells import (
    BY_LENGTH,
    BY_SECTION,
    COLUMNS,
    HALVE,
    HIGH,
    LEAST,
    LENGTH,
    LOW,
    NOT_AGAIN,
    RADIUS,
    Task,
    frame_at,
)
from routeviz.geometry.compiled import compiled, inner
from routeviz.geometry.distances import BODY, FULL, nearest_on, taken_along
from routeviz.geometry.trees import Tree, overlapping

DEEPEST = 2048  # cells that may wait at once; halving length, travel and section to rounding needs some 300
MOST_CELLS = 100_000  # cells for one link and one piece; then the bound stands as it is, wide but proven


@compiled
def sweep(task: Task, tree: Tree, lows: Floats, highs: Floats, firsts: Ints, rows: Ints) -> None:
    """Measure every pair that has a row; roughly first, so that most need no second look."""
    pieces, found = task.swept.pieces, task.found
    candidates = np.empty((most_links(firsts) * pieces.shape[0], 3), np.int64)
    cells, hits = np.empty((DEEPEST, COLUMNS)), np.empty(pieces.shape[0], np.int64)
    for curve in range(rows.shape[0]):
        count = 0
        for link in range(firsts[curve], firsts[curve + 1]):
            near = overlapping(tree, lows[link], highs[link], task.reach + task.links[link, RADIUS], hits)
            count = listed(pieces, link, rows[curve], hits[:near], candidates, count)
        waiting = np.empty(count)
        for k in range(2 * count):
            link, piece, row = candidates[k % count, 0], candidates[k % count, 1], candidates[k % count, 2]
            most = 1 if k < count else MOST_CELLS
            if most > 1 and is_settled(task, row, waiting[k % count]):
                found[row, LOW] = min(found[row, LOW], waiting[k % count])
                continue
            least = refine(task, link, piece, row, cells, most)
            if most == 1:
                waiting[k] = least
            else:
                found[row, LOW] = min(found[row, LOW], least)


@inner
def most_links(firsts: Ints) -> int:
    """Return how many pieces the longest curve has."""
    most = 0
    for curve in range(firsts.shape[0] - 1):
        most = max(most, firsts[curve + 1] - firsts[curve])
    return most


@inner
def listed(pieces: Floats, link: int, rows: Ints, hits: Ints, candidates: Ints, count: int) -> int:
    """Add those hits that have a row to the candidates; return how many there are now."""
    for piece in hits:
        row = rows[int(pieces[piece, BODY])]
        if row >= 0:
            candidates[count, 0], candidates[count, 1], candidates[count, 2] = link, piece, row
            count += 1
    return count


@inner
def begin(task: Task, link: int, piece: int, cells: Floats) -> None:
    """Make the first cell: a whole piece of tube over a whole travel."""
    half = 0.5 * task.links[link, LENGTH]
    still = task.swept.bodies[int(task.swept.pieces[piece, BODY]), FULL] == 0.0
    part = 0.0 if still else 0.5
    cells[0, cell.INTO], cells[0, cell.HALF] = half, half
    cells[0, cell.TRAVEL], cells[0, cell.PART] = part, part
    cells[0, cell.ASIDE], cells[0, cell.ACROSS], cells[0, cell.SIDE] = 0.0, 0.0, -1.0
    cells[0, LEAST], cells[0, HALVE] = -math.inf, NOT_AGAIN


@inner
def refine(  # noqa: C901  one place calls look, or it would be compiled twice
    task: Task, link: int, piece: int, row: int, cells: Floats, most: int
) -> float:
    """Return what a link comes no nearer to a piece than, having looked at so many cells at most.

    Cells are halved, the most promising first, until none can hold what is nearer by more than the tolerance.

    Returns
    -------
    least : float
        Of all cells.
    """
    begin(task, link, piece, cells)
    top, count, seen, least = 0, 1, 0, math.inf
    while True:
        best = top
        for i in range(top, top + count):
            look(task, link, piece, row, cells, i)
            if cells[i, LEAST] < cells[best, LEAST]:
                best = i
        seen, top = seen + count, top + count
        if count > 0:
            for column in range(COLUMNS):
                cells[best, column], cells[top - 1, column] = cells[top - 1, column], cells[best, column]
        stays = True
        while stays and top > 0:
            top -= 1
            stays = cells[top, HALVE] == NOT_AGAIN or seen >= most or top + 4 > DEEPEST
            stays = stays or is_settled(task, row, cells[top, LEAST])
            if stays:
                least = min(least, cells[top, LEAST])
        if stays:
            return least
        if cells[top, HALVE] == BY_SECTION:
            count = quartered(cells, top, task.links[link, RADIUS])
        else:
            count = halved(cells, top, cell.INTO if cells[top, HALVE] == BY_LENGTH else cell.TRAVEL)


@inner
def halved(cells: Floats, i: int, column: int) -> int:
    """Replace a cell by its two halves along a column and the one after, its half width."""
    half = 0.5 * cells[i, column + 1]
    cells[i, column + 1] = half
    for other in range(COLUMNS):
        cells[i + 1, other] = cells[i, other]
    cells[i, column] -= half
    cells[i + 1, column] += half
    return 2


@inner
def quartered(cells: Floats, i: int, radius: float) -> int:
    """Replace a cell by those quarters of its square that meet the section; return how many do."""
    side = 0.5 * (radius if cells[i, cell.SIDE] < 0.0 else cells[i, cell.SIDE])
    aside, across, count = cells[i, cell.ASIDE], cells[i, cell.ACROSS], 0
    cells[i, cell.SIDE] = side
    for k in range(4):
        for other in range(COLUMNS):
            cells[i + count, other] = cells[i, other]
        cells[i + count, cell.ASIDE] = aside + (side if k % 2 == 1 else -side)
        cells[i + count, cell.ACROSS] = across + (side if k >= 2 else -side)
        if cell.inner_edge(cells, i + count) < radius:
            count += 1
    return count


@compiled
def fill_places(task: Task, found: Floats, places: Floats) -> None:
    """Write for each row the arc length, the centreline's point and the body's nearest point."""
    bodies = task.swept.bodies
    for row in range(found.shape[0]):
        if not found[row, HIGH] < math.inf:
            continue
        link, piece = int(found[row, cell.AT_LINK]), int(found[row, cell.AT_PIECE])
        body = int(task.swept.pieces[piece, BODY])
        into, travel = found[row, cell.AT_INTO], found[row, cell.AT_TRAVEL]
        point, tangent, normal = frame_at(task, link, body, into, travel)
        side = cell.crossed(tangent, normal)
        wall = cell.moved(point, found[row, cell.AT_ASIDE], normal, found[row, cell.AT_ACROSS], side)
        _, nearest = nearest_on(task.swept, piece, wall)
        places[row, 0] = task.links[link, cell.BEGINS] + into
        here, touch = taken_along(bodies, body, travel, point), taken_along(bodies, body, travel, nearest)
        for axis in range(3):
            places[row, 1 + axis], places[row, 4 + axis] = here[axis], touch[axis]
