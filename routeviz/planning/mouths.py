"""Where is each passage entered and left, and which rooms does it join?

Rooms are what hangs together with all passages closed: freespace.py.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from routeviz.cabinet.passages import Passage
from routeviz.geometry.arrays import Floats, Ints, frozen, frozen_ints
from routeviz.planning.freespace import Grid, free_cell

BEFORE_MM = 12.0  # from a passage's face to where it is entered: half a least bend of common tube
FARTHER = 3  # times that, up to which it is tried: something may stand just before a passage, and leave a way
NEAR_MM = 60.0  # how far from a place a free cell may be: beyond that it is walled in

Chain = tuple[tuple[int, int], ...]  # passages in order, and +1 where one is gone through along its direction


@dataclass(frozen=True, slots=True, kw_only=True)
class Mouths:
    """The two sides of each of p passages.

    Parameters
    ----------
    points : array, shape (p, 2, 3)
        Before the face that comes first along the passage's direction, and behind the other.
    rooms : array of int, shape (p, 2)
        Which room each side opens into; 0 where something stands in the way.
    """

    points: Floats
    rooms: Ints


def mouths_of(passages: Sequence[Passage], grid: Grid) -> Mouths:
    """Return where each passage is entered and left, and which rooms it joins."""
    points = np.zeros((len(passages), 2, 3))
    rooms = np.zeros((len(passages), 2), dtype=np.int64)
    for number, passage in enumerate(passages):
        for side in (0, 1):
            for far in range(1, FARTHER + 1):
                spot = before(passage, side, far * BEFORE_MM)
                cell = free_cell(grid, spot, float(np.abs(passage.outline).max()))
                if cell is not None and rooms[number, side] == 0:
                    rooms[number, side], points[number, side] = grid.rooms[cell], spot
    return Mouths(points=frozen(points), rooms=frozen_ints(rooms))


def before(passage: Passage, side: int, far: float) -> Floats:
    """Return the point (3,) so far before the middle of a passage's face; side 1 is that it leads out of."""
    sense = -1.0 if side == 0 else 1.0
    return np.asarray(passage.origin + sense * (passage.thick_mm / 2 + far) * passage.axes[2])


def entered(sense: int) -> int:
    """Return by which side a passage is entered."""
    return 0 if sense > 0 else 1


def left(sense: int) -> int:
    """Return by which side a passage is left."""
    return 1 - entered(sense)


def room_at(grid: Grid, point: Floats) -> int:
    """Return the room of a point, by the nearest free cell; 0 where it is walled in."""
    cell = free_cell(grid, point, NEAR_MM)
    return 0 if cell is None else int(grid.rooms[cell])
