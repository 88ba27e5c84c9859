"""The first string of every tube: from its nipple, by the places it has in its passages, to its other end.

Each leaves its nipple as far straight as it will go down beyond, so that tubes of a row do not cross those
beside them; from there it takes the cheapest free way.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from routeviz.cabinet.passages import Passage
from routeviz.geometry.arrays import Floats, Ints
from routeviz.planning.freespace import Grid, free_cell, in_room, middles
from routeviz.planning.obstacles import Obstacles, clearances_at
from routeviz.planning.search import cheapest_way, thinned
from routeviz.planning.stations import Stations

LEG = 1.02  # of an outside diameter: no two corners of a plan are nearer than one
LOOK_MM = 4.0  # between points at which a straight run is looked at
SIDEWAYS = 0.5  # cosine from which a nipple counts as pointing along its passage: then nothing is peeled off
SEEN_MM = 0.5  # beyond what is asked for that must be free along a straight line
STRAIGHT_MM = 4.0  # beyond both faces of a passage that a tube goes straight on: it is not bent over the rim
CROWD = 4.0  # tubes that may share a cell of 10 mm before it gets dearer
SHUNNED = 6.0  # what a cell costs more from which no bend leads into a mouth: any other way is tried first
CROWDED = 0.4  # what each further one adds


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """Part of a tube's string: points (n, 3) in order, and whether they are held where they are."""

    points: Floats
    held: bool


class Threads:
    """Ways through the cells, one tube after the other, each aware of how many went before it."""

    def __init__(self, grid: Grid, radius: float) -> None:
        total = len(grid.dear)
        self.grid, self.radius = grid, radius
        self.rooms: dict[int, Floats] = {}
        self.clear = np.array(grid.clear)
        self.uses = np.zeros(total)
        self.costs, self.parents = np.zeros(total), np.zeros(total, dtype=np.int64)
        self.marks, self.mark = np.zeros(total, dtype=np.int64), 0
        self.worn = np.zeros(total)
        self.leads_out = grid.held_in > 1.0
        self.clear_of_ways_out = np.where(self.leads_out, -1.0, self.clear)

    def cells_near(self, points: Floats, reach: float) -> Ints:
        """Return the cells whose middles lie within reach of the middle of any cell that holds a point."""
        grid = self.grid
        steps = int(reach / grid.side) + 1
        around = np.stack(np.meshgrid(*[np.arange(-steps, steps + 1)] * 3, indexing="ij"), axis=-1).reshape(
            -1, 3
        )
        around = around[np.linalg.norm(around, axis=1) * grid.side <= reach]
        own = np.unique(np.floor((points - grid.low) / grid.side).astype(np.int64), axis=0)
        places = (own[:, None] + around[None]).reshape(-1, 3)
        places = places[((places >= 0) & (places < grid.counts)).all(axis=1)]
        return np.unique((places[:, 0] * grid.counts[1] + places[:, 1]) * grid.counts[2] + places[:, 2])

    def _dear(self, room: int) -> Floats:
        """Return what the cells of a room cost now; all others are shut."""
        if room not in self.rooms:
            self.rooms[room] = in_room(self.grid, room)
            self._reckon(np.nonzero((self.uses > 0) | (self.worn > 0))[0])
        return self.rooms[room]

    def _reckon(self, cells: Ints) -> None:
        """Reckon anew what cells cost that have come to be used or worn."""
        factors = 1 + np.maximum(self.uses[cells] + 1 - CROWD, 0) * CROWDED + self.worn[cells]
        for room, dear in self.rooms.items():
            own = self.grid.rooms[cells] == room
            dear[cells[own]] = self.grid.dear[cells[own]] * factors[own]

    def wear(self, points: Floats, reach: float) -> None:
        """Make the cells about places dearer, from now on."""
        cells = self.cells_near(points, reach)
        self.worn[cells] += 1.0
        self._reckon(cells)

    def occupy(self, points: Floats) -> None:
        """Count tubes where they lie now."""
        grid = self.grid
        places = np.clip(np.floor((points - grid.low) / grid.side).astype(np.int64), 0, grid.counts - 1)
        cells = (places[:, 0] * grid.counts[1] + places[:, 1]) * grid.counts[2] + places[:, 2]
        np.add.at(self.uses, cells, 1.0)
        self._reckon(np.unique(cells))

    def beside(self, place: Floats, axis: Floats, bend: float) -> Ints:
        """Return the cells from which no tube comes into a place along an axis.

        Its last bend goes about them: they lie within the ring that circles of the least bend sweep about the
        axis where they touch it.

        Parameters
        ----------
        place, axis : array, shape (3,)
            Of the mouth.
        bend : float
            Least bend radius.

        Returns
        -------
        cells : array of int, shape (n,)
            By number.
        """
        grid = self.grid
        cells = self.cells_near(place[None], 2 * bend)
        off = middles(grid.low, grid.side, grid.counts, cells) - place
        along = off @ axis
        aside = np.linalg.norm(off - along[:, None] * axis, axis=1)
        return np.asarray(cells[np.hypot(aside - bend, along) < bend - grid.side / 4])

    def way(
        self, begin: Floats, end: Floats, mouths: Sequence[tuple[Floats, Floats]] = (), bend: float = 0.0
    ) -> Floats | None:
        """Return a way from a place to a place, dearer where many tubes go already.

        Parameters
        ----------
        begin, end : array, shape (3,)
            The places.
        mouths : sequence of (array of shape (3,), array of shape (3,))
            Places and axes along which the tube comes and goes there.
        bend : float
            Least bend radius at mouths.

        Returns
        -------
        points : array, shape (n, 3), or None
            Both places among them; None where there is no free way.
        """
        grid = self.grid
        first = free_cell(grid, begin, 6 * grid.side)
        if first is None:
            return None
        room = int(grid.rooms[first])
        last = free_cell(grid, end, 6 * grid.side, room)
        if last is None:
            return None
        dear = self._dear(room)
        shunned = [self.beside(place, axis, bend) for place, axis in mouths]
        shut = np.unique(np.concatenate([np.zeros(0, dtype=np.int64), *shunned]))
        dear[shut] *= SHUNNED
        self.mark += 1
        back = cheapest_way(dear, grid.counts, first, last, self.costs, self.parents, self.marks, self.mark)
        dear[shut] /= SHUNNED
        cells = back[::-1]
        if not len(cells):
            return None
        self.uses[cells] += 1
        self._reckon(cells)
        return self._straightened(begin, cells, end, shut)

    def _straightened(self, begin: Floats, cells: Ints, end: Floats, shut: Ints) -> Floats:
        """Return a way without points that are not needed: straight lines are free, and off what is shut.

        A way that goes round where a part comes out goes on doing so.
        """  # noqa: DOC201
        grid = self.grid
        clear = self.clear if self.leads_out[cells].any() else self.clear_of_ways_out
        kept = clear[shut]
        between = middles(grid.low, grid.side, grid.counts, cells[1:-1])
        points = np.concatenate([begin[None], between, end[None]])
        clear[shut] = -1.0
        needed = thinned(points, clear, grid.counts, grid.low, grid.side, self.radius + SEEN_MM)
        clear[shut] = kept
        return np.asarray(points[needed])


def straight_run(
    tip: Floats, way: Floats, goal: Floats, axis: Floats, reach: tuple[float, float], obstacles: Obstacles
) -> float:
    """Return how far a tube should leave its nipple straight: as far as its goal lies in that direction.

    Parameters
    ----------
    tip, way : array, shape (3,)
        The nipple's.
    goal : array, shape (3,)
        The next place on its way.
    axis : array, shape (3,)
        The way through there: a nipple that points along it needs no more than its least.
    reach : tuple of float
        The tube's radius, and the least that it must go.
    obstacles : Obstacles
        It ends before anything that stands in its way.

    Returns
    -------
    run : float
        From the tip.
    """
    radius, least = reach
    wanted = float((goal - tip) @ way)
    if abs(float(way @ axis)) > SIDEWAYS or wanted <= least:
        return least
    along = np.arange(least, wanted + LOOK_MM, LOOK_MM)
    clear = clearances_at(obstacles.table, tip + along[:, None] * way, 2 * radius + SEEN_MM)
    shut = np.nonzero(clear < radius + SEEN_MM)[0]
    return wanted if not len(shut) else max(least, float(along[shut[0]]) - 2 * LOOK_MM)


def threaded(
    stations: Stations,
    tube: int,
    through: Sequence[tuple[Passage, int, Floats]],
    threads: Threads,
    obstacles: Obstacles,
) -> list[Stretch] | None:
    """Return a tube's first string, stretch by stretch; None where free space has no way.

    Parameters
    ----------
    stations : Stations
        All tubes.
    tube : int
        Which.
    through : sequence of (Passage, int, array of shape (3,))
        Passages in order, with the sense in which each is gone through, and the tube's place in it.
    threads : Threads
        Ways so far.
    obstacles : Obstacles
        What stands there.

    Returns
    -------
    stretches : list of Stretch or None
        Held and free ones; each begins where the last ended.
    """
    radius, bend = float(stations.radii[tube]), float(stations.bends[tube])
    tips, ways = stations.tips[tube], stations.ways[tube]
    gates = [
        (
            place - sense * (passage.thick_mm / 2 + STRAIGHT_MM) * passage.axes[2],
            place + sense * (passage.thick_mm / 2 + STRAIGHT_MM) * passage.axes[2],
        )
        for passage, sense, place in through
    ]
    axes = [sense * passage.axes[2] for passage, sense, _ in through]
    ends = []
    for end in (0, 1):
        goal = (gates[0][0] if end == 0 else gates[-1][1]) if gates else tips[1 - end]
        axis = (axes[0] if end == 0 else axes[-1]) if axes else ways[1 - end]
        run = straight_run(tips[end], ways[end], goal, axis, (radius, bend), obstacles)
        ends.append(tips[end] + run * ways[end])
    leg = 2 * radius * LEG
    stretches: list[Stretch] = []
    if ways[0].any():
        stretches.append(Stretch(points=np.stack([tips[0], tips[0] + leg * ways[0]]), held=True))
    count = len(gates)
    for number in range(count + 1):
        begin = ends[0] if number == 0 else gates[number - 1][1] + bend * axes[number - 1]
        end = ends[1] if number == count else gates[number][0] - bend * axes[number]
        leave = (gates[number - 1][1], axes[number - 1]) if number else (tips[0], ways[0])
        arrive = (gates[number][0], axes[number]) if number < count else (tips[1], ways[1])
        mouths = [mouth for mouth in (leave, arrive) if mouth[1].any()]
        way = threads.way(begin, end, mouths, bend)
        if way is None:
            return None
        first = stretches[-1].points[-1] if stretches else tips[0]
        last = gates[number][0] if number < count else tips[1] + leg * ways[1]
        stretches.append(Stretch(points=_joined(first, way, last), held=False))
        if number < count:
            stretches.append(Stretch(points=np.stack(gates[number]), held=True))
    if ways[1].any():
        stretches.append(Stretch(points=np.stack([tips[1] + leg * ways[1], tips[1]]), held=True))
    return stretches


def _joined(first: Floats, way: Floats, last: Floats) -> Floats:
    points = np.concatenate([first[None], way, last[None]])
    far = np.linalg.norm(np.diff(points, axis=0), axis=1) > 1e-6
    return np.asarray(points[np.append(True, far)])
