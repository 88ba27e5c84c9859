"""Planning measured on the invented cabinets: a line a seed, failures included, then medians and worst.

    PYTHONPATH=tests python -m benchmarks.planning [TUBES] [SEEDS]
        SEEDS       how many, from 0 on; or from which to which, as 5-19
        --verify    shortfalls by the separate checker as well
        --alone     each tube laid alone through its passages as well: slow, kept for the next time
        --twins     the impossible twins instead
        --growth    30, 60, 120 and 240 tubes instead, each size in a process of its own; SEEDS of each
        --scenes    SCENES, or those that are named after it, instead
        --rivals    other ways to plan beside it, at equal time and more, instead (pip install .[bench])

Lines are printed as they come, and whatever is wrong in words below its line. Times are of a warm process: a
small cabinet is planned first, so that everything is compiled. Beside those by the clock stand those of the
processor, which hang less on what else runs on the machine.
"""

import argparse
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import fields
from importlib.util import find_spec
from pathlib import Path

import numpy as np
from benchmarks.growth import SIZES, growth, sizes
from benchmarks.outcomes import WARM, Outcome, Verdict, outcome, outcome_of, verdict
from benchmarks.tables import lines

SCENES = [Path(__file__).parents[2] / "scenes" / f"{name}.toml" for name in ("thistledown", "harbour_hall")]
NAMES = [field.name for field in fields(Outcome) if field.name != "wrong"]
HEADS = {
    "name": "seed",
    "whole_s": "wall s",
    "processor_s": "processor s",
    "planner_s": "planner s",
    "left_out": "left out",
    "no_ways": "no way",
    "length_m": "length m",
    "to_witness": "/witness",
    "to_alone": "/alone",
    "worst_alone": "worst",
    "side_changes": "sides",
    "memory_mb": "MB",
}
WIDE = {"seed": 12, "gap": 13, "crossings": 9, "sides": 9, "partings": 9}
DIGITS = {
    "whole_s": 2, "processor_s": 2, "planner_s": 2, "length_m": 2, "to_witness": 3, "to_alone": 3,
    "worst_alone": 3, "gap": 4, "short": 0, "memory_mb": 0,
}  # fmt: skip
TWIN_HEADS = (
    "seed", "processor s", "passage", "must", "holds", "said", "wanted", "there", "laid", "right",
)  # fmt: skip


def outcomes(tubes: int, seeds: Iterable[int], **asked: bool) -> Iterator[Outcome]:
    """Every seed's outcome, after a small cabinet that warms the process."""
    outcome(*WARM)
    for seed in seeds:
        yield outcome(seed, tubes, **asked)


def table(rows: Iterable[Outcome]) -> Iterator[str]:
    """A line a seed, then the median and the worst of each figure."""
    return lines([HEADS.get(name, name) for name in NAMES], _rows(rows), WIDE)


def _rows(rows: Iterable[Outcome]) -> Iterator[list[str]]:
    seen = []
    for row in rows:
        yield [_word(name, getattr(row, name)) for name in NAMES]
        yield from ([one] for one in row.wrong)
        seen.append(row)
    for word, of in (("median", np.median), ("worst", np.max)):
        yield [word, *(_word(name, _over(seen, name, of)) for name in NAMES[1:])]


def twins(tubes: int, seeds: Iterable[int]) -> Iterator[str]:
    """What was said of each impossible twin, beside what is so by proof."""
    outcome(*WARM)
    yield from lines(TWIN_HEADS, (_twin(verdict(seed, tubes)) for seed in seeds), {"passage": 16, "said": 16})


def _twin(one: Verdict) -> list[str]:
    passage, wanted, there = one.said
    proof = [one.passage, str(one.must), "{}-{}".format(*one.between)]
    said = [passage or "nothing", f"{wanted:g}", f"{there:g}", str(one.laid), "yes" if one.is_named else "NO"]
    return [str(one.seed), f"{one.processor_s:.2f}", *proof, *said]


def _over(rows: Sequence[Outcome], name: str, of: Callable[[np.ndarray], float]) -> float | tuple[float, ...]:
    values = np.array([getattr(row, name) for row in rows], float)
    if values.ndim == 2:
        return tuple(float(of(column)) for column in values.T)
    return float(of(values))


def _word(name: str, value: float | str | tuple[float, ...]) -> str:
    if isinstance(value, tuple):
        return "/".join(_word(name, part) for part in value)
    if isinstance(value, str):
        return value
    return "-" if np.isnan(value) else f"{value:.{DIGITS.get(name, 0)}f}"


def seeds_of(word: str) -> range:
    """How many from 0 on, or from which to which."""
    first, dash, last = word.partition("-")
    try:
        found = range(int(first), int(last) + 1) if dash else range(int(first))
    except ValueError:
        found = range(0)
    if not found:
        raise argparse.ArgumentTypeError(f"{word!r} is neither a count of seeds nor a range such as 5-19")
    return found


def main(words: Sequence[str]) -> Iterator[str]:
    """The lines of the table that is asked for."""
    parser = argparse.ArgumentParser(prog="benchmarks.planning")
    parser.add_argument("tubes", type=int, nargs="?", default=120)
    parser.add_argument("seeds", type=seeds_of, nargs="?", default=range(20), help="a count, or as 5-19")
    parser.add_argument("--scenes", type=Path, nargs="*")
    for flag in ("verify", "alone", "twins", "growth", "rivals"):
        parser.add_argument(f"--{flag}", action="store_true")
    asked = parser.parse_args(words)
    if asked.scenes is not None:
        outcome(*WARM)
        return table(outcome_of(path, is_verified=asked.verify) for path in asked.scenes or SCENES)
    if asked.twins:
        return twins(asked.tubes, asked.seeds)
    if asked.growth:
        return growth(sizes(SIZES, asked.seeds))
    if asked.rivals:
        if find_spec("ompl") is None:
            parser.error("--rivals needs the sampling planner: pip install .[bench]")
        from benchmarks.rivals import side_by_side  # needs ompl, which nothing else does

        return side_by_side(asked.tubes, asked.seeds)
    return table(outcomes(asked.tubes, asked.seeds, is_verified=asked.verify, is_alone=asked.alone))


if __name__ == "__main__":
    for line in main(sys.argv[1:]):
        sys.stdout.write(line)
        sys.stdout.flush()
