"""Where may tubes lie? The case in cells, how much is free in each, and which hang together as rooms.

Passages are closed here, so that a room is what can be reached without going through one.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy import ndimage
from shapely import Polygon

from routeviz.cabinet.passages import Passage
from routeviz.geometry.arrays import Floats, Ints, frozen, frozen_ints
from routeviz.planning.leaving import WaysOut, off_ways_out
from routeviz.planning.obstacles import Obstacles, clearances_at

# Two tubes wide: finer took longer and laid no more, at 15 mm narrow ways between parts are missed.
SIDE_MM = 10.0
MOST_CELLS = 1_500_000  # larger cases get larger cells: what they cost in time and memory is bounded
LOOSE_MM = 1.5  # by which a cell's middle may be too near something: its best point is not its middle
EASY_MM = 3.0  # free beside the tube: from here on a cell costs no more for being narrow
NARROW = 0.15  # per mm short of that; a way round is worth half as much again
TIGHT = 3.0  # what a cell costs that only just counts as free
# What a cell costs by how many of six directions lead out of the case: nobody lays a tube round the outside
# of a case, or over its open front or back, where there is a way within.
SHELTER = np.array([1.0, 1.0, 1.2, 1.8, 2.6, 3.6, 3.6])
# What a cell costs where a part comes by on its way out: a tube there is pulled at each service, so it goes
# round where that is no further than it would lie in the way. A judgement; no source.
HOLDS_IN = 2.0
NOTHING_LEAVES = WaysOut(table=None, nipples=np.zeros((0, 3)))
SHUT = -1e3  # what is free in a closed passage: less than any tube could want
MORE_THAN_HALF = 0.6  # of a cell's side that is closed beyond a passage's faces at least
SHUT_MM = 6.0  # beyond a passage's faces that is closed with it: more than half a cell


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Cells of the case; cell (i, j, k) is number ``(i * counts[1] + j) * counts[2] + k``.

    Parameters
    ----------
    low : array, shape (3,)
        Least corner.
    side : float
        Of a cell.
    counts : array of int, shape (3,)
        Cells each way.
    clear : array, shape (c,)
        From each cell's middle to what stands there, less what that asks for; below 0 in passages.
    dear : array, shape (c,)
        What a step into the cell costs, >= 1; ``inf`` where no tube may go.
    rooms : array of int, shape (c,)
        Number of the room from 1; 0 where no tube may go.
    held_in : array, shape (c,)
        By how much a cell costs more because parts come by there on their way out; 1 elsewhere.
    """

    low: Floats
    side: float
    counts: Ints
    clear: Floats
    held_in: Floats
    dear: Floats
    rooms: Ints


def grid_of(
    obstacles: Obstacles, passages: Sequence[Passage], radius: float, ways: WaysOut = NOTHING_LEAVES
) -> Grid:
    """Return the case in cells, for tubes of a radius.

    Parameters
    ----------
    obstacles : Obstacles
        What stands there.
    passages : sequence of Passage
        Closed.
    radius : float
        Of a tube's outside.
    ways : WaysOut
        Where parts come by on their way out.

    Returns
    -------
    grid : Grid
        Cells of the whole room.
    """
    size = obstacles.high - obstacles.low
    side = max(SIDE_MM, float(np.cbrt(size.prod() / MOST_CELLS)))
    counts = np.maximum(np.ceil(size / side), 1).astype(np.int64)
    points = middles(obstacles.low, side, counts, np.arange(int(counts.prod())))
    clear = clearances_at(obstacles.table, points, obstacles.reach)
    for passage in passages:
        clear[_inside(passage, points, side)] = SHUT
    held_in = np.where(off_ways_out(ways, points, obstacles.reach) < radius, HOLDS_IN, 1.0)
    dear, rooms = _costs_and_rooms(clear.reshape(counts), held_in, radius)
    return Grid(
        low=frozen(obstacles.low),
        side=side,
        counts=frozen_ints(counts),
        clear=frozen(clear),
        held_in=frozen(held_in),
        dear=frozen(dear),
        rooms=frozen_ints(rooms),
    )


def for_radius(grid: Grid, radius: float) -> Grid:
    """Return the same case for tubes of another radius.

    Parameters
    ----------
    grid : Grid
        For tubes of any radius.
    radius : float
        Less than what obstacles were looked at for.

    Returns
    -------
    grid : Grid
        Rooms are numbered anew.
    """
    dear, rooms = _costs_and_rooms(grid.clear.reshape(grid.counts), grid.held_in, radius)
    return replace(grid, dear=frozen(dear), rooms=frozen_ints(rooms))


def _costs_and_rooms(clear: Floats, held_in: Floats, radius: float) -> tuple[Floats, Ints]:
    """Return what a step into each cell costs, and its room, both shape (c,), by what is free there."""
    free = clear - radius
    narrow = np.where(free >= 0, 1 + np.clip(EASY_MM - free, 0, None) * NARROW, TIGHT)
    shelter = SHELTER[_open_ways(clear < 0)]
    dear = np.where(free >= -LOOSE_MM, narrow * shelter * held_in.reshape(clear.shape), np.inf)
    # Cells that meet at an edge only do not join rooms: through such a corner a wall may go.
    rooms, _ = ndimage.label(np.isfinite(dear))
    return dear.ravel(), np.asarray(rooms, dtype=np.int64).ravel()


def _open_ways(solid: NDArray[np.bool_]) -> Ints:
    """Return for each cell in how many of the six directions nothing stands between it and the end."""
    found = np.zeros(solid.shape, dtype=np.int64)
    for axis in range(3):
        for flip in (False, True):
            one = np.flip(solid, axis) if flip else solid
            seen = np.logical_or.accumulate(one, axis=axis)
            found += ~(np.flip(seen, axis) if flip else seen)
    return found


def in_room(grid: Grid, room: int) -> Floats:
    """Return what a step into each cell costs for who may not leave a room."""
    return np.where(grid.rooms == room, grid.dear, np.inf)


def coarser(grid: Grid, room: int, factor: int) -> tuple[Grid, Ints]:
    """Return a room in larger cells, and which of them hang together.

    Parameters
    ----------
    grid : Grid
        The case.
    room : int
        Which room.
    factor : int
        How many cells go into a larger one each way.

    Returns
    -------
    grid : Grid
        A cell is free where any of its cells is, and costs what the cheapest costs, and more by the share of
        them where parts come by.
    links : array of int, shape (3, c)
        1 where two free cells, one in each of two neighbours, touch: a wall between them is not lost.
    """
    counts = -(-grid.counts // factor)
    padded, more = np.full(counts * factor, np.inf), np.ones(counts * factor)
    within = tuple(slice(0, n) for n in grid.counts)
    padded[within] = (in_room(grid, room) / grid.held_in).reshape(grid.counts)
    more[within] = grid.held_in.reshape(grid.counts)
    shape = [n for pair in zip(counts, [factor] * 3, strict=True) for n in pair]
    dear = (padded.reshape(shape).min(axis=(1, 3, 5)) * more.reshape(shape).mean(axis=(1, 3, 5))).ravel()
    free = np.isfinite(padded)
    links = np.zeros((3, len(dear)), dtype=np.int64)
    for axis in range(3):
        both = np.zeros_like(free)
        here, there = [slice(None)] * 3, [slice(None)] * 3
        here[axis], there[axis] = slice(factor - 1, -1, factor), slice(factor, None, factor)
        both[tuple(here)] = free[tuple(here)] & free[tuple(there)]
        links[axis] = both.reshape(shape).any(axis=(1, 3, 5)).ravel()
    larger = Grid(
        low=grid.low,
        side=grid.side * factor,
        counts=frozen_ints(counts),
        clear=frozen(np.zeros(0)),
        held_in=frozen(np.zeros(0)),
        dear=frozen(dear),
        rooms=frozen_ints(np.where(np.isfinite(dear), room, 0)),
    )
    return larger, frozen_ints(links)


def middles(low: Floats, side: float, counts: Ints, cells: Ints) -> Floats:
    """Return the middles (n, 3) of cells by number."""
    places = np.stack(np.unravel_index(cells, tuple(counts.tolist())), axis=1)
    return np.asarray(low + side * (places + 0.5))


def free_cell(grid: Grid, point: Floats, reach: float, room: int | None = None) -> int | None:
    """Return the free cell nearest to a point, in a room if one is asked for; None if none is near.

    Parameters
    ----------
    grid : Grid
        The case.
    point : array, shape (3,)
        Anywhere.
    reach : float
        How far off the cell's middle may be, beyond the side of a cell.
    room : int, optional
        Which room it must be in.

    Returns
    -------
    cell : int or None
        Of equally near ones that of the least number.
    """
    steps = int(np.ceil(reach / grid.side)) + 1
    own = np.floor((point - grid.low) / grid.side).astype(np.int64)
    least, most = np.clip(own - steps, 0, grid.counts - 1), np.clip(own + steps, 0, grid.counts - 1)
    near = tuple(slice(a, b + 1) for a, b in zip(least.tolist(), most.tolist(), strict=True))
    rooms = grid.rooms.reshape(grid.counts)[near]
    fit = rooms > 0 if room is None else rooms == room
    x, y, z = (
        (grid.low[n] + grid.side * (np.arange(least[n], most[n] + 1) + 0.5) - point[n]) ** 2 for n in range(3)
    )
    squares = np.where(fit, x[:, None, None] + y[:, None] + z, np.inf)
    best = np.unravel_index(int(np.argmin(squares)), rooms.shape)
    if not squares[best] <= (reach + grid.side) ** 2:
        return None
    i, j, k = (int(a + b) for a, b in zip(least, best, strict=True))
    return (i * int(grid.counts[1]) + j) * int(grid.counts[2]) + k


def _inside(passage: Passage, points: Floats, side: float) -> Ints:
    """Return which points lie within a passage's outline, between its faces or close to them."""
    reach = passage.thick_mm / 2 + max(SHUT_MM, MORE_THAN_HALF * side)
    rim = passage.origin + passage.outline @ passage.axes[:2]
    low, high = rim.min(axis=0) - reach, rim.max(axis=0) + reach
    near = np.arange(len(points))
    for axis in range(3):
        along = points[near, axis]
        near = near[(along >= low[axis]) & (along <= high[axis])]
    spots = (points[near] - passage.origin) @ passage.axes.T
    outline = Polygon(passage.outline)
    inside = shapely.contains_xy(outline, spots[:, 0], spots[:, 1]) & (np.abs(spots[:, 2]) <= reach)
    return np.asarray(near[inside])
