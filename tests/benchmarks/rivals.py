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

Time is what our planner took for the cabinet, checks included, and TIMES as much in further rows; what one
tube does not use is left to the others.

**Our own.** All of OURS: whatever the planner offers besides, such as its search run one tube after another,
is put beside it by a line there.
"""

import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np
from benchmarks.cabinets import a_cabinet
from benchmarks.choices import choices_of
from benchmarks.free_space import STEP, FreeSpace, free_space
from benchmarks.outcomes import outcome, timed
from benchmarks.planning import WARM
from ompl import base, geometric, util
from verifier.lays import case_of
from verifier.openings import Opening, openings
from verifier.parts import Case
from verifier.tubes import centreline
from verifier.wiring import asked_for

from routeviz.geometry.arrays import frozen
from routeviz.geometry.curves import length
from routeviz.laying import Laying, Planner
from routeviz.planning.planner import plan_tubes
from routeviz.planning.steps import Step
from routeviz.tubes.plans import Plan, PlannedTube

OURS: dict[str, Planner] = {"ours": plan_tubes}  # the first one's time is what others are given
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
    """Corners by tube, of all that were laid in that time; the least bend; seconds spent. Seeded."""
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
        begun = time.perf_counter()
        corners = search.way(task, left / (len(tasks) - count))
        left -= time.perf_counter() - begun
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
        self.information.setStateValidityChecker(
            lambda state: self.space.free(as_point(state), self.owner, self.radius) >= 0
        )
        self.ways = Ways(self.information, space, radius)
        self.information.setMotionValidator(self.ways)
        self.information.setup()

    def way(self, task: Task, seconds: float) -> np.ndarray | None:
        """Corners from tip to tip that can be rounded, or None when time is up."""
        self.owner = self.ways.owner = task.number
        until = time.perf_counter() + seconds
        while (left := until - time.perf_counter()) > 0:
            inner = self._inner(task, left)
            if inner is not None:
                corners = np.array([task.tips[0], *inner, task.tips[1]])
                if self._is_legal(corners):
                    return corners
        return None

    def _inner(self, task: Task, seconds: float) -> list[np.ndarray] | None:
        """Points from stub to stub, shortened."""
        stops = [task.stubs[0], *(self._spot(one) for one in task.told), task.stubs[1]]
        begun, points = time.perf_counter(), [stops[0]]
        for begin, end in pairwise(stops):
            left = seconds - (time.perf_counter() - begun)
            part = self._between(begin, end, left)
            if part is None:
                return None
            points += part[1:]
        path = geometric.PathGeometric(self.information)
        for point in points:
            path.append(self._state(point))
        shorter = geometric.PathSimplifier(self.information)
        until = time.perf_counter() + max(SHORTEN * seconds, 0.01)
        while time.perf_counter() < until:
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
            if self.space.free(point, self.owner, self.radius) >= 0:
                return point
        return opening.origin + (low + high) / 2 @ opening.axes[:2]

    def _between(self, begin: np.ndarray, end: np.ndarray, seconds: float) -> list[np.ndarray] | None:
        if seconds <= 0:
            return None
        problem = base.ProblemDefinition(self.information)
        problem.setStartAndGoalStates(self._state(begin), self._state(end))
        planner = geometric.RRTConnect(self.information)
        planner.setRange(RANGE)
        planner.setProblemDefinition(problem)
        planner.setup()
        planner.solve(seconds)
        if not problem.hasExactSolution():
            return None
        return [as_point(state) for state in problem.getSolutionPath().getStates()]

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
@dataclass(frozen=True)
class Made:
    """What a way of planning made of a cabinet: seconds, tubes laid, legal ones by the checks, length."""

    who: str
    seconds: float
    laid: int
    legal: int
    length_m: float


def side_by_side(tubes: int, seeds: int) -> str:
    """A table: OURS, and the library at equal time and at TIMES as much, told the passages and not."""
    heads = ("seed", "who", "s", "laid", "legal", "length m")
    warm()
    lines = [heads]
    for seed in range(seeds):
        lines += [(str(seed), *_words(one)) for one in compared(seed, tubes)]
    widths = [max(len(line[k]) for line in lines) for k in range(len(heads))]
    rows = ("  ".join(word.rjust(wide) for word, wide in zip(line, widths, strict=True)) for line in lines)
    return "\n".join(rows) + "\n"


def compared(seed: int, tubes: int) -> list[Made]:
    """What each way of planning makes of a cabinet, ours first."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "cabinet.toml"
        path.write_text(a_cabinet(seed, tubes).text, encoding="utf-8")
        made = []
        for who, planner in OURS.items():
            laying, seconds, _ = timed(path, planner)
            made.append(_made(who, seconds, laying))
        for times in (1, TIMES):
            for is_told in (False, True):
                who = f"sampling{', told' if is_told else ''}, {times} x"
                made.append(_by_sampling(who, path, times * made[0].seconds, is_told=is_told))
    return made


def warm() -> None:
    """Compile what planning and sampling ask, in a cabinet of few tubes."""
    outcome(*WARM)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "cabinet.toml"
        path.write_text(a_cabinet(*WARM).text, encoding="utf-8")
        sampled(path, 2.0, is_told=True)


def _words(one: Made) -> tuple[str, ...]:
    return one.who, f"{one.seconds:.1f}", str(one.laid), str(one.legal), f"{one.length_m:.2f}"


def _by_sampling(who: str, path: Path, seconds: float, *, is_told: bool) -> Made:
    found, least, seconds = sampled(path, seconds, is_told=is_told)

    def planner(_cabinets: object, _tubes: object, _before: object) -> Iterator[Step]:
        routes = tuple(
            PlannedTube(
                name=name, through=(), corners=frozen(corners),
                radii=frozen(np.full(len(corners) - 2, least)), ties=(),
            )
            for name, corners in found.items()
        )  # fmt: skip
        yield Step(stage="", done=len(routes), of=len(routes), plan=Plan(tubes=routes, no_ways=(), runs=()))

    return _made(who, seconds, timed(path, planner)[0])


def _made(who: str, seconds: float, laying: Laying) -> Made:
    """Legal are tubes that no fault of ROUGH speaks of."""
    lay = laying.lay
    if lay is None:
        return Made(who, seconds, 0, 0, 0.0)
    curves = {tube.name: tube.curve for tube in lay.tubes if tube.curve is not None}
    faulty = {
        name
        for finding in lay.findings
        if finding.severity == "fault" and finding.rule in ROUGH
        for name in (finding.tube, finding.other, *finding.tubes)
    }
    legal = [name for name in curves if name not in faulty]
    return Made(who, seconds, len(curves), len(legal), sum(length(curves[name]) for name in curves) / 1000)
