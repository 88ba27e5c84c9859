"""Planning measured on the invented cabinets: a line a seed, failures included, then medians and worst.

    PYTHONPATH=tests python -m benchmarks.planning [TUBES] [SEEDS]
        --verify    shortfalls by the separate checker as well
        --alone     each tube laid alone through its passages as well: slow, kept for the next time
        --twins     the impossible twins instead
        --growth    30, 60, 120 and 240 tubes instead; SEEDS of each
        --scenes    SCENES, or those that are named after it, instead
        --rivals    other ways to plan beside it, at equal time and more, instead (pip install .[bench])

Times are of a warm process: a small cabinet is planned first, so that everything is compiled.
"""

import argparse
import sys
from collections.abc import Callable, Iterable, Sequence
from dataclasses import fields
from pathlib import Path

import numpy as np
from benchmarks.outcomes import Outcome, Verdict, outcome, outcome_of, verdict

SIZES = (30, 60, 120, 240)
SCENES = [Path(__file__).parents[2] / "scenes" / f"{name}.toml" for name in ("thistledown", "harbour_hall")]
WARM = (0, 12)  # seed and tubes of what is planned first
HEADS = {
    "name": "seed",
    "whole_s": "whole s",
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
DIGITS = {
    "whole_s": 2, "planner_s": 2, "length_m": 2, "to_witness": 3, "to_alone": 3, "worst_alone": 3,
    "gap": 4, "short": 0, "memory_mb": 0,
}  # fmt: skip


def outcomes(tubes: int, seeds: Iterable[int], **asked: bool) -> list[Outcome]:
    """Every seed's outcome, after a small cabinet that warms the process."""
    outcome(*WARM)
    return [outcome(seed, tubes, **asked) for seed in seeds]


def table(rows: Sequence[Outcome]) -> str:
    """A line a seed, then the median and the worst of each figure."""
    names = [field.name for field in fields(Outcome)]
    lines = [[HEADS.get(name, name) for name in names]]
    lines += [[_word(name, getattr(row, name)) for name in names] for row in rows]
    for word, of in (("median", np.median), ("worst", np.max)):
        lines.append([word, *(_word(name, _over(rows, name, of)) for name in names[1:])])
    return _aligned(lines)


def growth(sizes: Sequence[int], seeds: int) -> str:
    """Median seconds and peak memory by size; the power of tubes by which time grows from one to the next."""
    outcome(*WARM)
    lines, before = [["tubes", "whole s", "planner s", "faults", "left out", "MB", "power"]], None
    for tubes in sizes:
        rows = [outcome(seed, tubes) for seed in range(seeds)]
        whole = float(np.median([row.whole_s for row in rows]))
        power = "" if before is None else f"{np.log(whole / before[1]) / np.log(tubes / before[0]):.2f}"
        lines.append([
            str(tubes), f"{whole:.2f}", f"{np.median([row.planner_s for row in rows]):.2f}",
            str(sum(row.faults for row in rows)), str(sum(row.left_out for row in rows)),
            f"{max(row.memory_mb for row in rows):.0f}", power,
        ])  # fmt: skip
        before = tubes, whole
    return _aligned(lines)


def twins(tubes: int, seeds: int) -> str:
    """What was said of each impossible twin, beside what is so by proof."""
    outcome(*WARM)
    lines = [["seed", "s", "passage", "must", "holds", "said", "wanted", "there", "laid", "right"]]
    lines += [_twin(verdict(seed, tubes)) for seed in range(seeds)]
    return _aligned(lines)


def _twin(one: Verdict) -> list[str]:
    passage, wanted, there = one.said
    proof = [one.passage, str(one.must), "{}-{}".format(*one.between)]
    said = [passage or "nothing", f"{wanted:g}", f"{there:g}", str(one.laid), "yes" if one.is_named else "NO"]
    return [str(one.seed), f"{one.seconds:.2f}", *proof, *said]


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


def _aligned(lines: list[list[str]]) -> str:
    widths = [max(len(line[k]) for line in lines) for k in range(len(lines[0]))]
    return "".join(
        "  ".join(word.rjust(width) for word, width in zip(line, widths, strict=True)) + "\n"
        for line in lines
    )


def main(words: Sequence[str]) -> str:
    """The table that is asked for."""
    parser = argparse.ArgumentParser(prog="benchmarks.planning")
    parser.add_argument("tubes", type=int, nargs="?", default=120)
    parser.add_argument("seeds", type=int, nargs="?", default=20)
    parser.add_argument("--scenes", type=Path, nargs="*")
    for flag in ("verify", "alone", "twins", "growth", "rivals"):
        parser.add_argument(f"--{flag}", action="store_true")
    asked = parser.parse_args(words)
    if asked.scenes is not None:
        outcome(*WARM)
        return table([outcome_of(path, is_verified=asked.verify) for path in asked.scenes or SCENES])
    if asked.twins:
        return twins(asked.tubes, asked.seeds)
    if asked.growth:
        return growth(SIZES, asked.seeds)
    if asked.rivals:
        from benchmarks.rivals import side_by_side  # needs ompl, which nothing else does

        return side_by_side(asked.tubes, asked.seeds)
    return table(outcomes(asked.tubes, range(asked.seeds), is_verified=asked.verify, is_alone=asked.alone))


if __name__ == "__main__":
    sys.stdout.write(main(sys.argv[1:]))
