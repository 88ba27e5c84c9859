"""How far is every free place from where tubes go, can a hand reach it, and is there wood to hold to?

What is told here says only which places for a tee or coupler are looked at first: join_places.py.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from routeviz.cabinet.motions import Fixed
from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.arrays import Floats, Ints, frozen_ints
from routeviz.planning.freespace import SHUT, Grid, coarser, free_cell, grid_of, middles
from routeviz.planning.mouths import NEAR_MM
from routeviz.planning.obstacles import Obstacles, fill_clearances
from routeviz.planning.search import EVERYWHERE, distances_from

FACTOR = 2  # cells of the search in one of those in which distances are told: two fingers wide
OPEN = 2.0  # what a step through a passage costs, that takes its room from others
HALF_HAND_MM = 45.0  # a hand is as wide as that on both sides of its middle; common practice, no source
FINGERS_MM = 80.0  # so far beyond what is free for the hand its fingers still hold something; the same
OUT_OF_REACH_MM = 400.0  # of tube that a place is worth which a hand can reach
HOLD = 0.3  # what a millimetre from the nearest wood is worth in tube
FAR_FROM_WOOD_MM = 100.0  # from here on it is all the same: a bracket is needed


@dataclass(frozen=True, slots=True, kw_only=True)
class Fields:
    """Distances through free space, passages open, from whatever is asked for; and what a place costs.

    Parameters
    ----------
    grid : Grid
        Free space with the passages closed.
    larger : Grid
        The same in larger cells, passages open, all rooms as one.
    links : array of int, shape (3, c)
        Which of its cells hang together.
    dues : array, shape (c,)
        What a cell of ``grid`` costs for being far from wood, or out of reach.
    known : dict
        Distances by where they are from.
    """

    grid: Grid
    larger: Grid
    links: Ints
    dues: Floats
    known: dict[tuple[float, ...], Floats] = field(default_factory=dict)


def fields_of(cabinet: Cabinet, obstacles: Obstacles, radius: float) -> Fields:
    """Return the free space of a case, for tubes of a radius.

    Parameters
    ----------
    cabinet : Cabinet
        The case.
    obstacles : Obstacles
        What stands there.
    radius : float
        Half the outside diameter of the thickest tube.

    Returns
    -------
    fields : Fields
        No distances are known yet.
    """
    grid = grid_of(obstacles, [cabinet.passages[name] for name in sorted(cabinet.passages)], radius)
    dear = np.where(grid.clear <= SHUT, OPEN, grid.dear)
    whole = replace(grid, dear=dear, rooms=frozen_ints(np.isfinite(dear).astype(np.int64)))
    larger, links = coarser(whole, 1, FACTOR)
    dues = np.where(_reached(grid), 0.0, OUT_OF_REACH_MM) + HOLD * _from_wood(grid, cabinet, obstacles)
    return Fields(grid=grid, larger=larger, links=links, dues=dues)


def far_from(fields: Fields, goal: Floats) -> Floats:
    """Return how far each of the larger cells is from a place; ``inf`` where no free way leads."""
    key = tuple(goal.tolist())
    if key not in fields.known:
        cell = free_cell(fields.larger, goal, NEAR_MM)
        far = np.full(len(fields.larger.dear), np.inf)
        if cell is not None:
            larger = fields.larger
            far = distances_from(larger.dear, fields.links, larger.counts, cell, EVERYWHERE) * larger.side
        fields.known[key] = far
    return fields.known[key]


def larger_cells(fields: Fields, points: Floats) -> Ints:
    """Return in which of the larger cells points (n, 3) lie."""
    larger = fields.larger
    places = np.floor((points - larger.low) / larger.side).astype(np.int64)
    i, j, k = np.clip(places, 0, larger.counts - 1).T
    return np.asarray((i * larger.counts[1] + j) * larger.counts[2] + k)


def free_middles(fields: Fields, low: Floats, high: Floats) -> tuple[Ints, Floats]:
    """Return the free cells whose middles, in whole millimetres, lie between two corners; and these."""
    grid = fields.grid
    cells = np.flatnonzero(grid.rooms > 0)
    places = np.rint(middles(grid.low, grid.side, grid.counts, cells))
    inside = ((places >= low) & (places <= high)).all(axis=1)
    return cells[inside], places[inside]


def _reached(grid: Grid) -> NDArray[np.bool_]:
    """Return which cells fingers reach, of a hand that has come in from outside; all, if none can come in."""
    free = (grid.clear >= 0).reshape(grid.counts)
    hand = ndimage.distance_transform_edt(free) * grid.side >= HALF_HAND_MM
    rooms, _ = ndimage.label(hand)
    rim = np.ones(rooms.shape, dtype=bool)
    rim[1:-1, 1:-1, 1:-1] = False
    outside = np.isin(rooms, np.unique(rooms[rim & hand])) & hand
    if not outside.any():
        return np.ones(outside.size, dtype=bool)
    far = ndimage.distance_transform_edt(~outside) * grid.side
    return np.asarray(far <= FINGERS_MM).ravel()


def _from_wood(grid: Grid, cabinet: Cabinet, obstacles: Obstacles) -> Floats:
    """Return how far each cell is from something that stands still; at most so far that it matters."""
    still = {s.name for s in cabinet.solids if isinstance(s.movement, Fixed)}
    near = np.flatnonzero(grid.clear < 0)
    points = middles(grid.low, grid.side, grid.counts, near)
    clear, things = np.zeros(len(near)), np.full(len(near), -1, dtype=np.int64)
    fill_clearances(obstacles.table, points, obstacles.reach, clear, things)
    holds = np.array([name in still for name in obstacles.names] + [False])
    wood = np.zeros(len(grid.clear), dtype=bool)
    wood[near[holds[things]]] = True
    if not wood.any():
        return np.zeros(len(wood))
    far = ndimage.distance_transform_edt(~wood.reshape(grid.counts)) * grid.side
    return np.minimum(far, FAR_FROM_WOOD_MM).ravel()


def mean_far(fields: Fields, goals: Sequence[Floats]) -> Floats:
    """Return for each larger cell how far it is from some places, in the mean."""
    return np.asarray(np.mean([far_from(fields, goal) for goal in goals], axis=0))
