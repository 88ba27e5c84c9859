"""How long would a tube be through a chain of passages? Measured through free cells, from mouth to mouth."""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from routeviz.cabinet.passages import Passage
from routeviz.geometry.arrays import Floats, Ints, frozen
from routeviz.planning.freespace import Grid, coarser, free_cell
from routeviz.planning.mouths import NEAR_MM, Chain, Mouths, before, entered, left
from routeviz.planning.search import distances_from

# Cells of the search in one of those that lengths are told by: a tenth is near enough to choose by.
COARSE = 3
ANYWHERE_MM = 1e3  # from a mouth to the larger cell that it is in: it is known to be free
SLOPE = math.sqrt(0.5)  # sine and cosine of the 45 degrees at which a ribbon still goes on
ACROSS = 4.0  # what a millimetre costs that has to be gone across: the room there is soon full
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


def way_lengths(
    ends: Floats, rooms: Ints, chains: Sequence[Sequence[Chain]], mouths: Mouths, grid: Grid
) -> WayLengths:
    """Return all lengths that ways are made of.

    Parameters
    ----------
    ends : array, shape (n, 2, 3)
        Where each tube has left its nipples.
    rooms : array of int, shape (n, 2)
        The rooms of these; 0 for none.
    chains : sequence of sequence of Chain
        What each tube may go through: only what is asked of these is measured.
    mouths : Mouths
        Of all passages.
    grid : Grid
        Free space with the passages closed.

    Returns
    -------
    lengths : WayLengths
        Too long by a tenth or so: first steps along a diagonal are told longest.
    """
    tubes, passages = len(ends), len(mouths.rooms)
    to_ends = np.full((tubes, 2, passages, 2), np.inf)
    between = np.full((passages, 2, passages, 2), np.inf)
    within = np.full(tubes, np.inf)
    asked = _asked(chains, passages)
    for room in sorted({*rooms.ravel().tolist(), *mouths.rooms.ravel().tolist()} - {0}):
        larger, links = coarser(grid, room, COARSE)
        here = mouths.rooms == room
        own_ends = _cells(larger, ends, rooms == room, NEAR_MM)
        own_mouths = _cells(larger, mouths.points, here, NEAR_MM)
        goals = np.array([*own_ends.values(), *own_mouths.values()], dtype=np.int64)
        for mouth, cell in _cells(larger, mouths.points, here & asked, ANYWHERE_MM).items():
            far = distances_from(larger.dear, links, larger.counts, cell, goals) * larger.side
            for end, other in own_ends.items():
                to_ends[*end, *mouth] = far[other]
            for entry, other in own_mouths.items():
                between[*mouth, *entry] = far[other]
        straight = {end: cell for end, cell in own_ends.items() if () in chains[end[0]]}
        _fill_within(within, straight, larger, links)
    through = np.linalg.norm(mouths.points[:, 0] - mouths.points[:, 1], axis=1)
    return WayLengths(
        ends=frozen(to_ends), between=frozen(between), within=frozen(within), through=frozen(through)
    )


def _asked(chains: Sequence[Sequence[Chain]], passages: int) -> NDArray[np.bool_]:
    """Return from which mouths (p, 2) lengths are asked: the first of a chain, and where one is left."""
    asked = np.zeros((passages, 2), dtype=np.bool_)
    for chain in {chain for own in chains for chain in own if chain}:
        asked[chain[0][0], entered(chain[0][1])] = True
        for passage, sense in chain:
            asked[passage, left(sense)] = True
    return asked


def _cells(grid: Grid, points: Floats, chosen: NDArray[np.bool_], reach: float) -> dict[tuple[int, int], int]:
    """Return the free cells of some of many pairs of points (n, 2, 3), by pair and side."""
    cells = {}
    for number, side in np.argwhere(chosen).tolist():
        cell = free_cell(grid, points[number, side], reach)
        if cell is not None:
            cells[number, side] = cell
    return cells


def _fill_within(within: Floats, cells: dict[tuple[int, int], int], grid: Grid, links: Ints) -> None:
    """Write how far tubes' ends are from each other, where both are here: a search for each starting cell."""
    begun: dict[int, list[tuple[int, int]]] = {}
    for (tube, end), cell in cells.items():
        if end == 0 and (tube, 1) in cells:
            begun.setdefault(cell, []).append((tube, cells[tube, 1]))
    for cell, goals in begun.items():
        others = np.array([goal for _, goal in goals], dtype=np.int64)
        far = distances_from(grid.dear, links, grid.counts, cell, others)
        for tube, goal in goals:
            within[tube] = far[goal] * grid.side


def along(lengths: WayLengths, chain: Chain, tubes: Ints) -> Floats:
    """Return how long each of k tubes is through a chain of passages; ``inf`` where it cannot go that way."""
    if not chain:
        return np.asarray(lengths.within[tubes])
    (first, sense), (last, final) = chain[0], chain[-1]
    between = sum(float(lengths.through[passage]) for passage, _ in chain)
    for (one, way), (other, onwards) in itertools.pairwise(chain):
        between += float(lengths.between[one, left(way), other, entered(onwards)])
    ends = lengths.ends[tubes, 0, first, entered(sense)] + lengths.ends[tubes, 1, last, left(final)]
    return np.asarray(ends + between)


def folds(chain: Chain, bends: Floats, passages: Sequence[Passage]) -> Floats:
    """Return what shifts cost each of k tubes that have to be made in little room between two passages.

    In a run of x a tube turned by 45 degrees and back, bent to R, comes 2 R (1 - cos 45) aside on its two
    arcs, which take a run of 2 R sin 45, and as far again as the rest of the run. What is further has to lie
    across: there is room for one or two such tubes, not for a ribbon.

    Parameters
    ----------
    chain : tuple of (int, int)
        Passages in order.
    bends : array, shape (k,)
        The tubes' least bend radii.
    passages : sequence of Passage
        All.

    Returns
    -------
    costs : array, shape (k,)
        In millimetres of way.
    """
    total = np.zeros(np.shape(bends))
    for (one, way), (other, onwards) in itertools.pairwise(chain):
        first, second = passages[one], passages[other]
        gap = before(second, entered(onwards), 0.0) - before(first, left(way), 0.0)
        axis = first.axes[2]
        run = float(gap @ axis) * way
        aside = float(np.linalg.norm(gap - run * way * axis))
        if way * onwards * float(axis @ second.axes[2]) > ALIKE:
            shift = max(aside - float(np.abs(first.outline).max()), 0.0)
            easy = np.maximum(2 * bends * (1 - SLOPE) + run - 2 * bends * SLOPE, 0.0)
            total += np.minimum(ACROSS * np.maximum(shift - easy, 0.0), FOLD_MM)
    return total
