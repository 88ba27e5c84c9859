"""The planner's own steps, one tube after another in the order of the file: no room is made in common.

Passages are chosen and places in them dealt out to all at once, as the planner does; then each tube is
threaded past those that are laid, relaxed by itself at every level, and never moved again. To be fair to it:

- what each tube holds by force, straight pieces off its nipples and in its passages, is kept free of others
  from the beginning, and so are the ends over nipples
- a tube that finds no way past the others through cells of 10 mm is threaded past the wood alone: relaxing
  may still find room
- where relaxing leaves something wrong, the tube takes other ways, and the best of them
- corners, ties and runs are made of all in the end, as the planner makes them
"""

import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.spatial import cKDTree

from routeviz.cabinet.solids import Cabinet, extents
from routeviz.laying import Planner
from routeviz.planning.choosing import Choice, chosen_ways
from routeviz.planning.dealing import Gate, gates_of
from routeviz.planning.finishing import finished
from routeviz.planning.freespace import LOOSE_MM, Grid, grid_of, middles
from routeviz.planning.obstacles import Obstacles, obstacles_of
from routeviz.planning.planner import AROUND_MM, BEYOND_MM, WIDE, WORN_MM
from routeviz.planning.relaxing import (
    COARSE,
    FINE,
    MIDDLE,
    State,
    Still,
    relaxed,
    state_of,
    stretches_of,
    strings_of,
)
from routeviz.planning.stations import Stations, stations_of
from routeviz.planning.steps import Step
from routeviz.planning.still import still_of
from routeviz.planning.strings import Strings
from routeviz.planning.threading import STRAIGHT_MM, Stretch, Threads, threaded
from routeviz.tubes.plans import Plan
from routeviz.tubes.routes import Tube

TRIES = 4  # ways that a tube may take in turn; where one leaves something wrong is dear to the next
ENOUGH = (0.98, 0.05)  # share of its bend and room in mm that a tube must have, as the planner says
FAR_MM = 50.0  # beyond which of its first string's box no tube comes while it is relaxed


@dataclass(frozen=True)
class Task:
    """What all tubes have in common: what stands there, and the places of each in its passages."""

    stations: Stations
    obstacles: Obstacles
    grid: Grid
    choice: Choice
    gates: dict[int, list[Gate]]

    def through(self, tube: int) -> list[tuple]:
        return [(self.choice.passages[one.passage], one.sense, one.place) for one in self.gates[tube]]


@dataclass(frozen=True)
class Lone:
    """A tube that is laid: its points; for each whether it was free to move, and what it need not mind."""

    points: np.ndarray
    free: np.ndarray
    exempt: np.ndarray


def one_by_one(seconds: float) -> Planner:
    """A planner that lays what it can in that much of the processor's time."""

    def planner(cabinets: Sequence[Cabinet], tubes: Sequence[Tube], _before: Plan | None) -> Iterator[Step]:
        until = time.process_time() + seconds
        task, still = _begun(cabinets, tubes)
        laid: dict[int, Lone] = {}
        grid = task.grid
        for tube in sorted(task.gates):
            if time.process_time() > until:
                break
            found = _laid(task, tube, grid, _with(still, task.stations, laid))
            if found is not None:
                laid[tube] = found
                grid = _shut(grid, found.points, float(task.stations.radii[tube]))
            yield Step(stage="laying", done=len(laid), of=len(task.stations.names))
        plan = _plan(task, cabinets, tubes, still, laid)
        yield Step(stage="laying", done=len(laid), of=len(task.stations.names), plan=plan)

    return planner


def _begun(cabinets: Sequence[Cabinet], tubes: Sequence[Tube]) -> tuple[Task, Still]:
    """What the planner begins with as well; and what stands still from the beginning."""
    cabinet = cabinets[-1]
    low, high = extents(cabinet)
    reach = max(tube.kind.outside_mm for tube in tubes) / 2 + AROUND_MM
    obstacles = obstacles_of(cabinets, (low - BEYOND_MM, high + BEYOND_MM), reach)
    stations = stations_of(cabinet, tubes, obstacles.names)
    passages = [cabinet.passages[name] for name in sorted(cabinet.passages)]
    grid = grid_of(obstacles, passages, float(np.median(stations.radii)))
    choice = chosen_ways(cabinet, stations, passages, grid, obstacles)
    free = [np.zeros((0, 4)) for _ in passages]
    gates = gates_of(stations, choice.passages, choice.chosen, choice.asked, obstacles, free)
    task = Task(stations, obstacles, grid, choice, gates)
    return task, _and_held(still_of(cabinet, tubes, stations), task)


def _and_held(still: Still, task: Task) -> Still:
    """What stands still, and the stubs of all tubes: off their nipples, and through their passages."""
    lines, groups = list(still.lines), [*still.groups]
    for tube in task.gates:
        bend, tips, ways = (getattr(task.stations, name)[tube] for name in ("bends", "tips", "ways"))
        own = [_line(tip, tip + bend * way) for tip, way in zip(tips, ways, strict=True) if way.any()]
        for passage, _, place in task.through(tube):
            half = (passage.thick_mm / 2 + STRAIGHT_MM) * passage.axes[2]
            own.append(_line(place - half, place + half))
        lines += own
        groups += [tube] * len(own)
    radii = np.append(still.radii, task.stations.radii[groups[len(still.lines) :]])
    return Still(lines=tuple(lines), radii=radii, groups=np.array(groups, dtype=np.int64))


def _line(begin: np.ndarray, end: np.ndarray) -> np.ndarray:
    return np.linspace(begin, end, 2 + int(np.linalg.norm(end - begin) / FINE.step_mm))


def _with(still: Still, stations: Stations, laid: dict[int, Lone]) -> Still:
    """What stands still, and the tubes that are laid."""
    return Still(
        lines=(*still.lines, *(one.points for one in laid.values())),
        radii=np.append(still.radii, stations.radii[list(laid)]),
        groups=np.append(still.groups, np.array(list(laid), dtype=np.int64)),
    )


def _laid(task: Task, tube: int, grid: Grid, still: Still) -> Lone | None:
    """A tube relaxed by itself, the best of several ways; None where there is no way at all."""
    threads, best, least = Threads(grid, float(task.stations.radii[tube])), None, np.inf
    for _ in range(TRIES):
        found = threaded(task.stations, tube, task.through(tube), threads, task.obstacles)
        if found is None and best is None and threads.grid is grid:
            threads = Threads(task.grid, threads.radius)
            found = threaded(task.stations, tube, task.through(tube), threads, task.obstacles)
        if found is None:
            break
        strings, state = _relaxed(task, tube, found, still)
        lacks = float(state.lacking(strings, *ENOUGH)[0])
        own = slice(0, strings.firsts[1])
        if lacks < least:
            best, least = Lone(strings.points[own], strings.free[own], strings.exempt[own]), lacks
        if lacks == 0.0:
            break
        rooms = state.rooms[own]
        wrong = (rooms[:, 2] < ENOUGH[0]) | (rooms[:, :2].min(axis=1) < ENOUGH[1])
        threads.wear(strings.points[own][wrong], WORN_MM)
    return best


def _relaxed(task: Task, tube: int, found: list[Stretch], still: Still) -> tuple[Strings, State]:
    still = _near(still, np.concatenate([one.points for one in found]))
    for level, wide in zip((COARSE, MIDDLE, FINE), WIDE, strict=True):
        strings = strings_of([found], task.stations, [tube], level.step_mm, still)
        gaps = np.full(len(strings.radii), wide[0]), np.full(len(strings.radii), wide[1])
        *_, state = relaxed(strings, task.obstacles, level, gaps)
        (found,) = stretches_of(strings, 1)
    assert state is not None  # the last that relaxing yields
    return strings, state


def _near(still: Still, points: np.ndarray) -> Still:
    """What stands still not far from a tube's first string."""
    low, high = points.min(axis=0) - FAR_MM, points.max(axis=0) + FAR_MM
    near = [(line.max(axis=0) > low).all() and (line.min(axis=0) < high).all() for line in still.lines]
    lines = tuple(line for line, is_near in zip(still.lines, near, strict=True) if is_near)
    return Still(lines=lines, radii=still.radii[near], groups=still.groups[near])


def _shut(grid: Grid, line: np.ndarray, radius: float) -> Grid:
    """Cells without those in which a tube lies now, judged by their middles as beside wood."""
    cells = Threads(grid, radius).cells_near(line, 3 * radius + grid.side)
    far, _ = cKDTree(_fine(line)).query(middles(grid.low, grid.side, grid.counts, cells))
    clear, dear, rooms = grid.clear.copy(), grid.dear.copy(), grid.rooms.copy()
    clear[cells] = np.minimum(clear[cells], far - radius)
    taken = cells[clear[cells] - radius < -LOOSE_MM]
    dear[taken], rooms[taken] = np.inf, 0
    return replace(grid, clear=clear, dear=dear, rooms=rooms)


def _fine(line: np.ndarray) -> np.ndarray:
    return np.concatenate([(1 - share) * line[:-1] + share * line[1:] for share in np.linspace(0, 1, 5)])


def _plan(
    task: Task, cabinets: Sequence[Cabinet], tubes: Sequence[Tube], still: Still, laid: dict[int, Lone]
) -> Plan:
    own, lines, stations = list(laid), [*laid.values()], task.stations
    if not own:
        return Plan(tubes=(), no_ways=(), runs=())
    rows = [*(one.points for one in lines), *still.lines]
    firsts = np.append(0, np.cumsum([len(row) for row in rows]))
    loose = len(firsts) - 1 - len(own)
    free, exempt = (np.concatenate([getattr(one, name) for one in lines]) for name in ("free", "exempt"))
    rest = firsts[-1] - len(free)
    strings = Strings(
        points=np.concatenate(rows),
        firsts=firsts,
        free=np.append(free, np.zeros(rest)),
        owners=np.repeat(np.arange(len(rows)), np.diff(firsts)),
        groups=np.append(np.array(own, dtype=np.int64), still.groups),
        radii=np.append(stations.radii[own], still.radii),
        bends=np.append(stations.bends[own], np.ones(loose)),
        exempt=np.append(exempt, np.full(rest, -1)),
    )
    state = state_of(strings, task.obstacles)
    through = {tube: tuple(passage.name for passage, _, _ in task.through(tube)) for tube in own}
    return finished(cabinets, tubes, stations, (strings, state, own), through, ())
