"""What stands between two rooms, or in a place?"""

from collections import Counter

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from routeviz.geometry.arrays import Floats, Ints
from routeviz.planning.freespace import SHUT, Grid, middles
from routeviz.planning.obstacles import Obstacles, fill_clearances

Rooms = frozenset[int]

THIN = 0.5  # of a cell's side by which a wall may be thicker than the thinnest to be told as it


def wall_between(grid: Grid, obstacles: Obstacles, here: Rooms, there: Rooms) -> str | None:
    """Return the name of the thing that closes rooms off from others: where they are nearest to each other.

    Parameters
    ----------
    grid : Grid
        The case.
    obstacles : Obstacles
        What stands there.
    here, there : frozenset of int
        Rooms by number, no room in both.

    Returns
    -------
    name : str or None
        None where either has no cell.
    """
    mine, theirs = (np.isin(grid.rooms, sorted(rooms)) & (grid.rooms > 0) for rooms in (here, there))
    if not mine.any() or not theirs.any():
        return None
    far = _cells_from(grid, mine) + _cells_from(grid, theirs)
    wall = (grid.rooms == 0) & (grid.clear > SHUT)
    if not wall.any():
        return None
    cells = np.flatnonzero(wall & (far <= far[wall].min() + THIN))
    return _commonest(obstacles, middles(grid.low, grid.side, grid.counts, cells))


def _cells_from(grid: Grid, chosen: NDArray[np.bool_]) -> Floats:
    """Return how far each cell is from the nearest chosen one, in cells."""
    return np.asarray(ndimage.distance_transform_edt(~chosen.reshape(grid.counts))).ravel()


def _commonest(obstacles: Obstacles, points: Floats) -> str | None:
    """Return the thing to which most points are nearest; of equals the first by name."""
    things = nearest_things(obstacles, points)
    counted = Counter(obstacles.names[thing] for thing in things.tolist() if thing >= 0)
    return min(counted, key=lambda name: (-counted[name], name), default=None)


def thing_at(obstacles: Obstacles, point: Floats) -> str | None:
    """Return the name of what is nearest to a point (3,); None where nothing is near."""
    return _commonest(obstacles, point[None])


def nearest_things(obstacles: Obstacles, points: Floats) -> Ints:
    """Return which thing each point (n, 3) is nearest to; -1 for none in reach."""
    clear, things = np.zeros(len(points)), np.zeros(len(points), dtype=np.int64)
    fill_clearances(obstacles.table, np.array(points), obstacles.reach, clear, things)
    return things
