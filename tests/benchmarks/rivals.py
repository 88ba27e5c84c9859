"""Other ways to plan the same cabinets, in the same run: how many tubes are legal, how long, how much tube.

**Sampling.** RRT-Connect of the Open Motion Planning Library, one tube after another in the order of the
file, those that are laid being obstacles to the next. A state is a point of the tube's middle; a straight way
is judged by compiled distances (free_space.py), stepping as far as is free, not by samples. To be fair to it:

- every tube first runs straight off its nipples, as far as a right-angled turn of the least bend needs; these
  stubs of all tubes are obstacles from the beginning, so that no tube is laid over another's nipple
- in further rows it is told the passages too, by the best choice there is (choices.py): it then has three
  easy searches, to the first opening, to the second and to the nipple, instead of one through two slits
- its ways are shortened by the library (shortcuts and fewer corners; no splines: they leave no room to turn),
  then rounded with the least bend; where that fits nowhere, or meets something, it tries again
- making its tables and compiling are not counted, nor is checking; it calls back into Python for every
  straight way, which costs it some microseconds each

What one tube does not use of its time is left to the others.

**One by one.** The planner's own steps, without making room in common (one_by_one.py).

Time is that of the processor, so that nothing hangs on what else runs: what our planner took for the cabinet,
checks included; and TIMES as much in further rows.
"""

import tempfile
import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path

import numpy as np
from benchmarks.cabinets import a_cabinet
from benchmarks.choices import choices_of
from benchmarks.free_space import STEP, FreeSpace, free_space
from benchmarks.one_by_one import one_by_one
from benchmarks.outcomes import WARM, outcome, timed
from benchmarks.tables import lines
from ompl import base, geometric, util
from verifier.lays import case_of
from verifier.openings import Opening, openings
from verifier.parts import Case
from verifier.tubes import centreline
from verifier.wiring import asked_for

from routeviz.geometry.arrays import frozen
from routeviz.geometry.curves import length
from routeviz.laying import Planner
from routeviz.planning.planner import plan_tubes
from routeviz.planning.steps import Step
from routeviz.tubes.plans import Plan, PlannedTube

TIMES = 10
RANGE = 80.0  # longest branch of the library's trees, mm
SHORTEN = 0.2  # of the time of a search, at most, for shortening it
LARGEST_TURN = 119.0  # degrees; a corner may turn by 120
TRIES_IN_OPENING = 50
# Not how it hangs, for nobody has tied the library's tubes; nor what a passage is marked to hold.
ROUGH = ("kink", "rub", "touch", "squeeze", "intrude", "square")


@dataclass(frozen=True)
class Task:
    """One tube of a sampling run: its number, its ends, where the stubs end, the openings it is told of."""

    number: int
    tips: tuple[np.ndarray, np.ndarray]
    stubs: tuple[np.ndarray, np.ndarray]
    told: tuple[Opening, ...]


class Ways(base.MotionValidator):
    """Judges straight ways for the library."""

    def __init__(self, information: base.SpaceInformation, space: FreeSpace, radius: float) -> None:
        super().__init__(information)
        self.space, self.radius, self.owner = space, radius, -1

    def checkMotion(self, begin: base.State, end: base.State) -> bool:
        return self.space.is_free(as_point(begin), as_point(end), self.owner, self.radius)


def as_point(state: base.State) -> np.ndarray:
    return np.array([state[0], state[1], state[2]])


def sampled(path: Path, seconds: float, *, is_told: bool) -> tuple[dict[str, np.ndarray], float, float]:
    """Corners by tube, of all that were laid in that time; the least bend; the processor's time. Seeded."""
    util.noOutputHandler()
    util.RNG.setSeed(1)
    draw = np.random.default_rng(1)
    whole = case_of(path)
    asked = asked_for(whole.scene, path.parent)
    kind = whole.scene.tables["tubing"][asked[0].entry["tubing"]]
    outside, least = whole.scene.mm(kind["outside"]), whole.scene.mm(kind["least_bend"])
    space = free_space(whole, len(asked) * 6000)
    tasks = _tasks(whole, path, least, is_told)
    for task in tasks:
        for tip, stub in zip(task.tips, task.stubs, strict=True):
            space.add(_along(np.array([tip, stub])), task.number, outside / 2)
    search = _Search(space, outside / 2, least, draw)
    found: dict[str, np.ndarray] = {}
    left = seconds
    for count, task in enumerate(tasks):
        begun = time.process_time()
        corners = search.way(task, left / (len(tasks) - count))
        left -= time.process_time() - begun
        if corners is not None:
            found[asked[task.number].name] = corners
            space.add(_along(_rounded(corners, least)), task.number, outside / 2)
    return found, least, seconds - left


def _tasks(whole: Case, path: Path, least: float, is_told: bool) -> list[Task]:
    asked = asked_for(whole.scene, path.parent)
    ways: dict[str, tuple[str, ...]] = {}
    if is_told:
        ways = choices_of(whole, {one.name: one.ends for one in asked}).best()
    every, tasks = openings(whole), []
    for number, one in enumerate(asked):
        ends = [whole.nipples[name] for name in one.ends]
        tips = tuple(end.tip for end in ends)
        stubs = tuple(end.tip + (least + 0.1) * end.direction for end in ends)
        tasks.append(Task(number, tips, stubs, tuple(every[name] for name in ways.get(one.name, ()))))
    return tasks


class _Search:
    """The library's search, set up once for all tubes of a cabinet."""

    def __init__(self, space: FreeSpace, radius: float, least: float, draw: np.random.Generator) -> None:
        self.space, self.radius, self.least, self.draw = space, radius, least, draw
        self.states = base.RealVectorStateSpace(3)
        bounds = base.RealVectorBounds(3)
        for axis, (low, high) in enumerate(zip(*space.room, strict=True)):
            bounds.setLow(axis, float(low))
            bounds.setHigh(axis, float(high))
        self.states.setBounds(bounds)
        self.information = base.SpaceInformation(self.states)
        self.owner = -1
        self.information.setStateValidityChecker(lambda state: self._is_free(as_point(state)))
        self.ways = Ways(self.information, space, radius)
        self.information.setMotionValidator(self.ways)
        self.information.setup()

    def way(self, task: Task, seconds: float) -> np.ndarray | None:
        """Corners from tip to tip that can be rounded, or None when time is up, or there is no way."""
        self.owner = self.ways.owner = task.number
        if not all(self._is_free(stub) for stub in task.stubs):
            return None
        until = time.process_time() + seconds
        while (left := until - time.process_time()) > 0:
            inner = self._inner(task, left)
            if inner is not None:
                corners = np.array([task.tips[0], *inner, task.tips[1]])
                if self._is_legal(corners):
                    return corners
        return None

    def _inner(self, task: Task, seconds: float) -> list[np.ndarray] | None:
        """Points from stub to stub, shortened."""
        stops = [task.stubs[0], *(self._spot(one) for one in task.told), task.stubs[1]]
        begun, points = time.process_time(), [stops[0]]
        for begin, end in pairwise(stops):
            left = seconds - (time.process_time() - begun)
            part = self._between(begin, end, left)
            if part is None:
                return None
            points += part[1:]
        path = geometric.PathGeometric(self.information)
        for point in points:
            path.append(self._state(point))
        shorter = geometric.PathSimplifier(self.information)
        until = time.process_time() + max(SHORTEN * seconds, 0.01)
        while time.process_time() < until:
            changed = shorter.reduceVertices(path)
            changed = shorter.partialShortcutPath(path) or changed
            changed = shorter.collapseCloseVertices(path) or changed
            if not changed:
                break
        return [as_point(state) for state in path.getStates()]

    def _spot(self, opening: Opening) -> np.ndarray:
        """A free point in an opening; its middle where none is found."""
        low, high = opening.outline.min(axis=0), opening.outline.max(axis=0)
        for _ in range(TRIES_IN_OPENING):
            across = self.draw.uniform(low, high)
            point = opening.origin + across @ opening.axes[:2]
            if self._is_free(point):
                return point
        return opening.origin + (low + high) / 2 @ opening.axes[:2]

    def _between(self, begin: np.ndarray, end: np.ndarray, seconds: float) -> list[np.ndarray] | None:
        if seconds <= 0 or not self._is_free(end):  # the library waits for a goal that is not free
            return None
        problem = base.ProblemDefinition(self.information)
        problem.setStartAndGoalStates(self._state(begin), self._state(end))
        planner = geometric.RRTConnect(self.information)
        planner.setRange(RANGE)
        planner.setProblemDefinition(problem)
        planner.setup()
        until = time.process_time() + seconds
        planner.solve(base.PlannerTerminationCondition(lambda: time.process_time() > until))
        if not problem.hasExactSolution():
            return None
        return [as_point(state) for state in problem.getSolutionPath().getStates()]

    def _is_free(self, point: np.ndarray) -> bool:
        return self.space.free(point, self.owner, self.radius) >= 0

    def _state(self, point: np.ndarray) -> base.State:
        state = self.states.allocState()
        for axis in range(3):
            state[axis] = float(point[axis])
        return state

    def _is_legal(self, corners: np.ndarray) -> bool:
        """Whether corners can be rounded with the least bend, and are free then."""
        legs = np.diff(corners, axis=0)
        long = np.linalg.norm(legs, axis=1)
        ways = legs / long[:, None]
        turns = np.arccos(np.clip((ways[:-1] * ways[1:]).sum(axis=1), -1, 1))
        cuts = self.least * np.tan(turns / 2)
        free = long - np.concatenate([[0], cuts]) - np.concatenate([cuts, [0]])
        if np.degrees(turns.max()) > LARGEST_TURN or free.min() < 0:
            return False
        points = _rounded(corners, self.least)
        # the stubs are inside what their nipples excuse, and belong to the tube itself
        far = [np.linalg.norm(points - corners[end], axis=1) > self.least for end in (0, -1)]
        return self.space.is_curve_free(points[far[0] & far[1]], self.owner, self.radius)


def _rounded(corners: np.ndarray, least: float) -> np.ndarray:
    return centreline(corners, np.full(len(corners) - 2, least)).points


def _along(points: np.ndarray) -> np.ndarray:
    """The same line with points not farther apart than STEP."""
    rows = [points[:1]]
    for begin, end in pairwise(points):
        count = int(np.ceil(np.linalg.norm(end - begin) / STEP))
        rows.append(begin + np.arange(1, count + 1)[:, None] / count * (end - begin))
    return np.vstack(rows)


# ── side by side ─────────────────────────────────────────────────────────────────────────────────
HEADS = ("seed", "who", "processor s", "wall s", "laid", "legal", "length m", "mm a tube")


@dataclass(frozen=True)
class Made:
    """What a way of planning made of a cabinet: seconds, tubes laid, legal ones by the checks, length."""

    who: str
    processor_s: float
    wall_s: float
    laid: int
    legal: int
    length_m: float

    def words(self) -> tuple[str, ...]:
        each = f"{1000 * self.length_m / self.laid:.0f}" if self.laid else "-"
        counts = str(self.laid), str(self.legal)
        return (
            self.who,
            f"{self.processor_s:.1f}",
            f"{self.wall_s:.1f}",
            *counts,
            f"{self.length_m:.2f}",
            each,
        )


def side_by_side(tubes: int, seeds: Iterable[int]) -> Iterator[str]:
    """A table: ours, one by one, and the library told the passages and not, at equal time and at TIMES."""
    warm()
    rows = ((str(seed), *one.words()) for seed in seeds for one in compared(seed, tubes))
    yield from lines(HEADS, rows, {"who": 20})


def compared(seed: int, tubes: int) -> Iterator[Made]:
    """What each way of planning makes of a cabinet, ours first."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "cabinet.toml"
        path.write_text(a_cabinet(seed, tubes).text, encoding="utf-8")
        yield from all_of(path)


def all_of(path: Path) -> Iterator[Made]:
    """The same of a scene that is read as the cabinets are."""
    ours = _made("ours", path, plan_tubes)
    yield ours
    for times in (1, TIMES):
        given = times * ours.processor_s
        yield _made(f"one by one, {times} x", path, one_by_one(given))
        yield _by_sampling(f"sampling, {times} x", path, given, is_told=False)
        yield _by_sampling(f"sampling, told, {times} x", path, given, is_told=True)


def warm() -> None:
    """Compile what planning and sampling ask, in a cabinet of few tubes."""
    outcome(*WARM)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "cabinet.toml"
        path.write_text(a_cabinet(*WARM).text, encoding="utf-8")
        sampled(path, 2.0, is_told=True)


def _by_sampling(who: str, path: Path, seconds: float, *, is_told: bool) -> Made:
    begun = time.perf_counter()
    found, least, spent = sampled(path, seconds, is_told=is_told)
    wall = time.perf_counter() - begun

    def planner(_cabinets: object, _tubes: object, _before: object) -> Iterator[Step]:
        routes = tuple(
            PlannedTube(
                name=name, through=(), corners=frozen(corners),
                radii=frozen(np.full(len(corners) - 2, least)), ties=(),
            )
            for name, corners in found.items()
        )  # fmt: skip
        yield Step(stage="", done=len(routes), of=len(routes), plan=Plan(tubes=routes, no_ways=(), runs=()))

    return replace(_made(who, path, planner), processor_s=spent, wall_s=wall)


def _made(who: str, path: Path, planner: Planner) -> Made:
    """Legal are tubes that no fault of ROUGH speaks of."""
    laying, spent = timed(path, planner)
    lay = laying.lay
    if lay is None:
        return Made(who, spent.processor_s, spent.whole_s, 0, 0, 0.0)
    curves = {tube.name: tube.curve for tube in lay.tubes if tube.curve is not None}
    faulty = {
        name
        for finding in lay.findings
        if finding.severity == "fault" and finding.rule in ROUGH
        for name in (finding.tube, finding.other, *finding.tubes)
    }
    legal = [name for name in curves if name not in faulty]
    total = sum(length(curve) for curve in curves.values()) / 1000
    return Made(who, spent.processor_s, spent.whole_s, len(curves), len(legal), total)
