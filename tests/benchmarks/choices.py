"""Which passages tubes take, held to the least total that the passages allow.

What a choice costs is the shortest way from nipple to nipple through the openings, their edges a radius and
the clearance away, nothing else in the way. The least total is a programme of whole numbers: every tube one
way, no opening more tubes than it holds by its own mark or by proof; HiGHS gives a bound that no choice goes
below. All is read by the separate checker; nothing of the package is asked.
"""

from collections import Counter
from dataclasses import dataclass
from itertools import pairwise, product

import numpy as np
from benchmarks.openings import packing_bound
from scipy.optimize import Bounds, LinearConstraint, OptimizeResult, milp
from scipy.sparse import csr_array
from verifier.openings import Opening, openings
from verifier.parts import Case

ROUNDS = 200  # of reweighted squares for the shortest way; the last hundred change it by less than 0.01
LONG = 60.0  # seconds for the programme


@dataclass(frozen=True)
class Choices:
    """Every way there is, an opening of each board in turn from the top; what it costs each tube."""

    tubes: list[str]
    ways: list[tuple[str, ...]]
    costs: np.ndarray  # (tubes, ways)
    most: dict[str, int]

    def cost_of(self, taken: dict[str, tuple[str, ...]]) -> float:
        """What the choice of these tubes costs together."""
        rows = {name: row for row, name in enumerate(self.tubes)}
        columns = {way: column for column, way in enumerate(self.ways)}
        return float(sum(self.costs[rows[name], columns[way]] for name, way in taken.items()))

    def crowded(self, taken: dict[str, tuple[str, ...]]) -> list[str]:
        """Openings that are given more tubes than they hold."""
        counts = Counter(name for way in taken.values() for name in way)
        return sorted(name for name, count in counts.items() if count > self.most[name])

    def bound(self) -> float:
        """What no choice of all tubes goes below."""
        return float(self._solved().mip_dual_bound)

    def best(self) -> dict[str, tuple[str, ...]]:
        """The best choice that was found."""
        taken = self._solved().x.reshape(self.costs.shape).argmax(axis=1)
        return {name: self.ways[column] for name, column in zip(self.tubes, taken, strict=True)}

    def _solved(self) -> OptimizeResult:
        tubes, ways = self.costs.shape
        index = np.arange(tubes * ways)
        each = csr_array((np.ones(tubes * ways), (index // ways, index)), shape=(tubes, tubes * ways))
        uses = np.array([[name in way for way in self.ways] for name in self.most], float)
        through = csr_array(np.tile(uses, (1, tubes)))
        rules = [
            LinearConstraint(each, 1, 1),
            LinearConstraint(through, -np.inf, np.array(list(self.most.values()), float)),
        ]
        return milp(
            self.costs.reshape(-1),
            constraints=rules,
            integrality=np.ones(tubes * ways),
            bounds=Bounds(0, 1),
            options={"time_limit": LONG},
        )


def choices_of(whole: Case, tubes: dict[str, tuple[str, str]]) -> Choices:
    """All choices of tubes, given their nipples, in a case whose boards are crossed one after the other."""
    every = openings(whole)
    heights = sorted({round(float(one.origin[2]), 6) for one in every.values()}, reverse=True)
    boards = [
        [one for one in every.values() if round(float(one.origin[2]), 6) == height] for height in heights
    ]
    ways = list(product(*boards))
    starts = np.array([whole.nipples[start].tip for start, _ in tubes.values()])
    ends = np.array([whole.nipples[end].tip for _, end in tubes.values()])
    kind = next(iter(whole.scene.tables["tubing"].values()))
    away = whole.scene.mm(kind["outside"]) / 2 + whole.scene.limit("fixed", 2.0)
    costs = np.column_stack([_shortest(starts, ends, way, away) for way in ways])
    most = {}
    for name, one in every.items():
        holds = packing_bound(*np.ptp(one.outline, axis=0))
        most[name] = holds if one.most is None else min(holds, one.most)
    return Choices(list(tubes), [tuple(one.name for one in way) for way in ways], costs, most)


def _shortest(starts: np.ndarray, ends: np.ndarray, way: tuple[Opening, ...], away: float) -> np.ndarray:
    """Lengths of the shortest ways through level rectangles: squares reweighted, so the length only falls."""
    lows, highs = [], []
    for one in way:
        middle, low, high = one.origin[2], one.outline.min(axis=0) + away, one.outline.max(axis=0) - away
        narrow = low > high
        low = np.where(narrow, (low + high) / 2, low)
        high = np.where(narrow, low, high)
        # a level board, not turned: its own directions are the case's
        shift = one.origin[:2]
        lows.append([*(low + shift), middle])
        highs.append([*(high + shift), middle])
    points = [
        starts,
        *(np.tile((np.array(a) + b) / 2, (len(starts), 1)) for a, b in zip(lows, highs, strict=True)),
    ]
    points.append(ends)
    for _ in range(ROUNDS):
        for k in range(1, len(points) - 1):
            near = 1 / np.maximum(np.linalg.norm(points[k] - points[k - 1], axis=1), 1e-9)[:, None]
            far = 1 / np.maximum(np.linalg.norm(points[k + 1] - points[k], axis=1), 1e-9)[:, None]
            middle = (near * points[k - 1] + far * points[k + 1]) / (near + far)
            points[k] = np.clip(middle, lows[k - 1], highs[k - 1])
    return sum(np.linalg.norm(b - a, axis=1) for a, b in pairwise(points))
