"""How long would a tube be through a chain of passages? Measured through free cells, from mouth to mouth."""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from routeviz.cabinet.passages import Passage
from routeviz.geometry.arrays import Floats, Ints, frozen
from routeviz.planning.freespace import Grid, coarser, free_cell
from routeviz.planning.mouths import NEAR_MM, Chain, Mouths, before, entered, left
from routeviz.planning.search import NONE, distances_from

# Cells of the search in one of those that lengths are told by: a tenth is near enough to choose by.
COARSE = 3
ANYWHERE_MM = 1e3  # from a mouth to the larger cell that it is in: it is known to be free
FOLD_MM = 400.0  # what a fold that cannot be bent costs: any way round is better
ALIKE = 0.9  # cosine from which two passages are gone through in one direction


@dataclass(frozen=True, slots=True, kw_only=True)
class WayLengths:
    """How far n tubes' ends and the mouths of p passages are from each other; ``inf`` where there is no way.

    Parameters
    ----------
    ends : array, shape (n, 2, p, 2)
        From each end to each mouth, within its room.
    between : array, shape (p, 2, p, 2)
        From mouth to mouth, within their room.
    within : array, shape (n,)
        From end to end, where both are in one room.
    through : array, shape (p,)
        From one side of a passage to the other.
    """

    ends: Floats
    between: Floats
    within: Floats
    through: Floats


def way_lengths(ends: Floats, rooms: Ints, mouths: Mouths, grid: Grid) -> WayLengths:
    """Return all lengths that ways are made of.

    Parameters
    ----------
    ends : array, shape (n, 2, 3)
        Where each tube has left its nipples.
    rooms : array of int, shape (n, 2)
        The rooms of these; 0 for none.
    mouths : Mouths
        Of all passages.
    grid : Grid
        Free space with the passages closed.

    Returns
    -------
    lengths : WayLengths
        Too long by a tenth at most.
    """
    tubes, passages = len(ends), len(mouths.rooms)
    to_ends = np.full((tubes, 2, passages, 2), np.inf)
    between = np.full((passages, 2, passages, 2), np.inf)
    within = np.full(tubes, np.inf)
    for room in sorted({*rooms.ravel().tolist(), *mouths.rooms.ravel().tolist()} - {0}):
        larger, links = coarser(grid, room, COARSE)
        own_ends = _cells(larger, ends, rooms == room, NEAR_MM)
        own_mouths = _cells(larger, mouths.points, mouths.rooms == room, NEAR_MM)
        begins = _cells(larger, mouths.points, mouths.rooms == room, ANYWHERE_MM)
        for (passage, side), cell in begins.items():
            far = distances_from(larger.dear, links, larger.counts, cell, NONE) * larger.side
            for (tube, end), other in own_ends.items():
                to_ends[tube, end, passage, side] = far[other]
            for (passing, entry), other in own_mouths.items():
                between[passage, side, passing, entry] = far[other]
        _fill_within(within, own_ends, larger, links)
    through = np.linalg.norm(mouths.points[:, 0] - mouths.points[:, 1], axis=1)
    return WayLengths(
        ends=frozen(to_ends), between=frozen(between), within=frozen(within), through=frozen(through)
    )


def _cells(grid: Grid, points: Floats, chosen: NDArray[np.bool_], reach: float) -> dict[tuple[int, int], int]:
    """Return the free cells of some of many pairs of points (n, 2, 3), by pair and side."""
    cells = {}
    for number, side in np.argwhere(chosen).tolist():
        cell = free_cell(grid, points[number, side], reach)
        if cell is not None:
            cells[number, side] = cell
    return cells


def _fill_within(within: Floats, cells: dict[tuple[int, int], int], grid: Grid, links: Ints) -> None:
    """Write how far tubes' ends are from each other where both are in the room: a search a starting cell."""
    begun: dict[int, list[tuple[int, int]]] = {}
    for (tube, end), cell in cells.items():
        if end == 0 and (tube, 1) in cells:
            begun.setdefault(cell, []).append((tube, cells[tube, 1]))
    for cell, goals in begun.items():
        only = goals[0][1] if len(goals) == 1 else NONE
        far = distances_from(grid.dear, links, grid.counts, cell, only)
        for tube, goal in goals:
            within[tube] = far[goal] * grid.side


def along(lengths: WayLengths, chain: Chain, tube: int) -> float:
    """Return how long a tube is through a chain of passages; ``inf`` where it cannot go that way."""
    if not chain:
        return float(lengths.within[tube])
    (first, sense), (last, final) = chain[0], chain[-1]
    total = lengths.ends[tube, 0, first, entered(sense)] + lengths.ends[tube, 1, last, left(final)]
    for (one, way), (other, onwards) in itertools.pairwise(chain):
        total += lengths.between[one, left(way), other, entered(onwards)]
    return float(total + sum(float(lengths.through[passage]) for passage, _ in chain))


def folds(chain: Chain, bend: float, passages: Sequence[Passage]) -> float:
    """Return what shifts cost that would have to be made in less room than two bends take.

    A shift sideways by y between two parallel runs takes a run of sqrt(y (4 R - y)), at most 2 R; sqrt(3 R y)
    is within a sixth of that up to y = 2 R.

    Parameters
    ----------
    chain : tuple of (int, int)
        Passages in order.
    bend : float
        The tube's least bend radius.
    passages : sequence of Passage
        All.

    Returns
    -------
    cost : float
        In millimetres of way.
    """
    total = 0.0
    for (one, way), (other, onwards) in itertools.pairwise(chain):
        first, second = passages[one], passages[other]
        gap = before(second, entered(onwards), 0.0) - before(first, left(way), 0.0)
        axis = first.axes[2]
        run = float(gap @ axis) * way
        aside = float(np.linalg.norm(gap - run * way * axis))
        if way * onwards * float(axis @ second.axes[2]) > ALIKE and run < _run_wanted(first, aside, bend):
            total += FOLD_MM
    return total


def _run_wanted(passage: Passage, aside: float, bend: float) -> float:
    """Return the run that a shift takes for the tube that has to shift least: by the passage's width less."""
    shift = max(aside - float(np.abs(passage.outline).max()), 0.0)
    return 2 * bend if shift > 2 * bend else float(np.sqrt(shift * 3 * bend))
