"""What the planner makes of one invented cabinet or scene, in figures; and of an impossible twin.

Faults and cautions are those of checks/, shortfalls those of the separate checker. Nothing that a plan says
of itself is counted but its passages, runs and ``no_ways``.
"""

import json
import resource
import tempfile
import time
import tomllib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from benchmarks.alone import lengths_alone
from benchmarks.cabinets import a_cabinet, an_impossible_twin, packing_found
from benchmarks.choices import Choices, choices_of
from verifier.lays import case_of
from verifier.shortfalls import shortfalls_of

from routeviz.cabinet.placing import place
from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.curves import length
from routeviz.laying import Laying, Planner, plan_reading
from routeviz.planning.planner import plan_tubes
from routeviz.planning.steps import Step
from routeviz.scene.reading import read_scene
from routeviz.tubes.centrelines import shape
from routeviz.tubes.plan_file import plan_text
from routeviz.tubes.plans import Plan
from routeviz.tubes.routes import Tube
from routeviz.tubes.tangling import Tangle, tangle_of

WARM = (0, 12)  # seed and tubes of what is planned first, so that everything is compiled
NONE = float("nan")  # not asked for, or nothing to tell
NO_PLAN = Plan(tubes=(), no_ways=(), runs=())
NOTHING = Tangle(crossings=0, side_changes=0, wound_pairs=0, worst_winding=0.0, worst=(), partings=0)


@dataclass(frozen=True)
class Outcome:
    """What came of a cabinet, or of another scene; NONE where nothing can be told.

    Seconds by the clock and of the processor, and those of the processor for the planner alone; rounds of
    checks; counts of what is wrong, and all of it in words; length in all, and
    over the witness's, over all laid alone, and the worst tube over itself laid alone; how far the passage
    choice is above its bound by length alone (choices.py: runs, which cost length, are not in it); how
    tangled it is (tangling.py), of both the witness behind the slash; runs; the process's peak memory so far.
    """

    name: str
    whole_s: float
    processor_s: float
    planner_s: float
    rounds: int
    faults: int
    cautions: int
    short: float
    left_out: int
    no_ways: int
    length_m: float
    to_witness: float
    to_alone: float
    worst_alone: float
    gap: tuple[float, float]
    crossings: tuple[float, float]
    side_changes: tuple[float, float]
    wound: tuple[float, float]
    partings: tuple[float, float]
    runs: int
    memory_mb: float
    wrong: tuple[str, ...]


@dataclass(frozen=True)
class Spent:
    """Seconds by the clock, of the processor, and of the processor by the planner alone."""

    whole_s: float
    processor_s: float
    planner_s: float


def outcome(
    seed: int, tubes: int, *, is_verified: bool = False, is_alone: bool = False, planner: Planner = plan_tubes
) -> Outcome:
    """Plan a cabinet and tell what came of it, beside its witness."""
    cabinet = a_cabinet(seed, tubes)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "cabinet.toml"
        path.write_text(cabinet.text, encoding="utf-8")
        found, laying = _planned(str(seed), path, planner, is_verified=is_verified)
        plan = laying.plan or NO_PLAN
        choices = _choices(path)
        path.write_text(cabinet.laid(), encoding="utf-8")
        reading = read_scene(path)
        case = place(reading)
        witness = shape(reading, case)
    lengths, its = _lengths(() if laying.lay is None else laying.lay.tubes), tangle_of(case, witness)
    found = replace(
        found,
        to_witness=_ratio(lengths, _lengths(witness)),
        gap=(
            _gap(choices, {one.name: one.through for one in plan.tubes}),
            _gap(choices, {name: tuple(way["through"]) for name, way in cabinet.witness.items()}),
        ),
        crossings=(found.crossings[0], its.crossings),
        side_changes=(found.side_changes[0], its.side_changes),
        wound=(found.wound[0], its.wound_pairs),
        partings=(found.partings[0], its.partings),
    )
    if not is_alone:
        return found
    alone = lengths_alone(cabinet.text, {one.name: one.through for one in plan.tubes})
    ratios = [lengths[name] / alone[name] for name in lengths if name in alone]
    return replace(found, to_alone=_ratio(lengths, alone), worst_alone=max(ratios, default=NONE))


def outcome_of(scene: Path, *, is_verified: bool = False) -> Outcome:
    """Plan any scene and tell what came of it; nothing is written beside it."""
    return _planned(scene.stem, scene, plan_tubes, is_verified=is_verified)[0]


def _planned(name: str, path: Path, planner: Planner, *, is_verified: bool) -> tuple[Outcome, Laying]:
    laying, spent = timed(path, planner)
    memory_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    plan, lay = laying.plan or NO_PLAN, laying.lay
    short = shortfalls_of(path, json.loads(plan_text(plan))) if is_verified else []
    tangle = NOTHING if lay is None else tangle_of(lay.cabinet, lay.tubes)
    findings, tubes = ((), ()) if lay is None else (lay.findings, lay.tubes)
    lengths = _lengths(tubes)
    faults = [one for one in findings if one.severity == "fault"]
    found = Outcome(
        name=name,
        whole_s=spent.whole_s,
        processor_s=spent.processor_s,
        planner_s=spent.planner_s,
        rounds=laying.rounds,
        faults=len(faults),
        cautions=sum(f.severity == "caution" for f in findings),
        short=float(len(short)) if is_verified else NONE,
        left_out=len(read_scene(path).wires) - len(lengths),
        no_ways=len(plan.no_ways),
        length_m=sum(lengths.values()) / 1000,
        to_witness=NONE,
        to_alone=NONE,
        worst_alone=NONE,
        gap=(NONE, NONE),
        crossings=(tangle.crossings, NONE),
        side_changes=(tangle.side_changes, NONE),
        wound=(tangle.wound_pairs, NONE),
        partings=(tangle.partings, NONE),
        runs=len(plan.runs),
        memory_mb=memory_mb,
        wrong=(*(f"fault {one.rule}: {one.tube}: {one.says}" for one in faults), *map(str, short)),
    )
    return found, laying


def timed(path: Path, planner: Planner = plan_tubes) -> tuple[Laying, Spent]:
    """Plan a scene; and the seconds for all but reading the file."""
    reading = read_scene(path)
    spent = [0.0]

    def watched(cabinets: Sequence[Cabinet], tubes: Sequence[Tube], before: Plan | None) -> Iterator[Step]:
        return _watched(lambda: planner(cabinets, tubes, before), spent)

    begun, processor = time.perf_counter(), time.process_time()
    laying = plan_reading(reading, fresh=True, planner=watched)
    return laying, Spent(time.perf_counter() - begun, time.process_time() - processor, spent[0])


def _watched(steps_of: Callable[[], Iterator[Step]], spent: list[float]) -> Iterator[Step]:
    """Steps as they come, those of later rounds too; what they take of the processor is added up."""
    begun = time.process_time()
    steps = iter(steps_of())
    while True:
        step = next(steps, None)
        spent[0] += time.process_time() - begun
        if step is None:
            return
        mended = step.mended
        if mended is not None:
            step = replace(step, mended=lambda troubles, m=mended: _watched(lambda: m(troubles), spent))
        yield step
        begun = time.process_time()


def _lengths(tubes: Sequence[Tube]) -> dict[str, float]:
    return {tube.name: length(tube.curve) for tube in tubes if tube.curve is not None}


def _ratio(lengths: dict[str, float], others: dict[str, float]) -> float:
    both = [name for name in lengths if name in others]
    return sum(lengths[n] for n in both) / sum(others[n] for n in both) if both else NONE


def _choices(path: Path) -> Choices:
    tubes = tomllib.loads(path.read_text(encoding="utf-8"))["tubes"]
    return choices_of(case_of(path), {tube["name"]: (tube["from"], tube["to"]) for tube in tubes})


def _gap(choices: Choices, taken: dict[str, tuple[str, ...]]) -> float:
    """How far a passage choice is above what none goes below; NONE unless every tube has one."""
    if taken.keys() != set(choices.tubes) or any(way not in choices.ways for way in taken.values()):
        return NONE
    return choices.cost_of(taken) / choices.bound() - 1


# ── impossible twins ─────────────────────────────────────────────────────────────────────────────
@dataclass(frozen=True)
class Verdict:
    """What was said of a twin: the passage, how many must go through, how many it holds; what is so by proof.

    ``is_named``: a ``no_way`` names the passage and the numbers: those that must, and one that is not below a
    packing that was found and not above the proven bound.
    """

    seed: int
    processor_s: float
    passage: str
    must: int
    between: tuple[int, int]
    said: tuple[str, float, float]
    laid: int
    is_named: bool


def verdict(seed: int, tubes: int, planner: Planner = plan_tubes) -> Verdict:
    """Plan an impossible twin and tell what was said."""
    text, told = an_impossible_twin(seed, tubes)
    board, name = told.passage.split()
    size = tomllib.loads(text)["part"][board]["opening"][name]["size"]
    between = packing_found(size["wide"], size["deep"]), told.at_most
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "twin.toml"
        path.write_text(text, encoding="utf-8")
        laying, spent = timed(path, planner)
    plan = laying.plan or NO_PLAN
    said = [
        (one.passage or "", one.wanted or 0.0, -1.0 if one.there is None else one.there)
        for one in plan.no_ways
    ]
    right = [
        one for one in said
        if one[:2] == (told.passage, told.must) and between[0] <= one[2] <= between[1]
    ]  # fmt: skip
    best = (right or [one for one in said if one[0] == told.passage] or said or [("", 0.0, 0.0)])[0]
    return Verdict(
        seed, spent.processor_s, told.passage, told.must, between, best, len(plan.tubes), bool(right)
    )
