"""How do time and memory grow with the number of tubes, in cabinets as full as each other?

Each size is measured in a process of its own, so that its peak memory is its own.
"""

import multiprocessing
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass

import numpy as np
from benchmarks.cabinets import a_cabinet
from benchmarks.outcomes import WARM, Outcome, outcome
from benchmarks.tables import lines

SIZES = (30, 60, 120, 240)
HEADS = (
    "tubes",
    "fill",
    "wall s",
    "processor s",
    "planner s",
    "worst s",
    "faults",
    "left out",
    "MB",
    "power",
)


@dataclass(frozen=True)
class Size:
    """What came of each seed's cabinet of a size, and how full its passages are in the middle."""

    tubes: int
    fill: float
    rows: tuple[Outcome, ...]

    def median(self, name: str) -> float:
        return float(np.median([getattr(row, name) for row in self.rows]))

    def words(self, before: "Size | None") -> list[str]:
        power = "" if before is None else f"{power_of([before, self]):.2f}"
        return [
            str(self.tubes), f"{self.fill:.2f}", f"{self.median('whole_s'):.2f}",
            f"{self.median('processor_s'):.2f}", f"{self.median('planner_s'):.2f}",
            f"{max(row.processor_s for row in self.rows):.2f}", str(sum(row.faults for row in self.rows)),
            str(sum(row.left_out for row in self.rows)), f"{self.memory_mb:.0f}", power,
        ]  # fmt: skip

    @property
    def memory_mb(self) -> float:
        return max(row.memory_mb for row in self.rows)


def sizes(tubes: Iterable[int], seeds: Sequence[int]) -> Iterator[Size]:
    """Each size in turn; what must be compiled is compiled before, in another process."""
    _in_a_process(outcome, *WARM)
    for count in tubes:
        yield _in_a_process(_size, count, seeds)


def growth(found: Iterable[Size]) -> Iterator[str]:
    """Medians and peak memory by size; the power of tubes by which the processor's time grows, step by step.

    Last the power that fits all cabinets best.
    """
    seen: list[Size] = []

    def rows() -> Iterator[list[str]]:
        for one in found:
            yield one.words(seen[-1] if seen else None)
            seen.append(one)

    yield from lines(HEADS, rows(), {})
    if len(seen) > 1:
        yield f"time grows as tubes to the power of {power_of(seen):.2f}, fitted to all cabinets\n"


def power_of(found: Sequence[Size]) -> float:
    """Slope of the logarithm of the processor's time over that of tubes, by least squares."""
    points = np.log([(one.tubes, row.processor_s) for one in found for row in one.rows])
    return float(np.polyfit(*points.T, 1)[0])


def _size(tubes: int, seeds: Sequence[int]) -> Size:
    outcome(*WARM)
    rows = tuple(outcome(seed, tubes) for seed in seeds)
    fills = [fill for seed in seeds for fill in a_cabinet(seed, tubes).figures.fills]
    return Size(tubes, float(np.median(fills)), rows)


def _in_a_process(does, *given):
    with ProcessPoolExecutor(1, mp_context=multiprocessing.get_context("spawn")) as pool:
        return pool.submit(does, *given).result()
