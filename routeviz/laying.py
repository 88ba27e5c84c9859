"""Lay a scene's tubes: plan, measure, check, hand back what was found, until nothing is wrong or time is up.

The stages themselves are in pipeline.py. Nothing that the planner says of its plan is believed: what is kept
is what the checks find best.
"""

import math
import signal
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from routeviz.cabinet.inputs import inputs_of
from routeviz.cabinet.joins import with_places
from routeviz.cabinet.solids import Cabinet
from routeviz.errors import SceneError, interrupts_laid_bare
from routeviz.geometry.arrays import Floats
from routeviz.geometry.curves import length, rounded_polyline
from routeviz.lay import Lay
from routeviz.pipeline import checked, placed
from routeviz.planning.join_places import NOTHING_PLACED, Places, Wrong, failed, join_places
from routeviz.planning.planner import plan_tubes
from routeviz.planning.steps import Step, Trouble
from routeviz.scene.description import MOST_POINTS
from routeviz.scene.reading import Reading, read_scene
from routeviz.troubles import CURABLE, forgiven, is_as_before, troubles_of
from routeviz.tubes.centrelines import shape
from routeviz.tubes.plan_file import plan_beside, read_plan, write_plan
from routeviz.tubes.plans import Plan, PlannedTube, lying_alike, on_grain
from routeviz.tubes.routes import Tube, awaits_place, awaits_route

ROUNDS = 8  # in which what was found is handed back; limited by count, so that the same comes out twice
COURTESIES = 2  # of these rounds that are spent where no fault is left, only cautions
PLACES = 3  # that are tried for a tee or coupler, if tubes cannot be laid to the first

Planner = Callable[[Sequence[Cabinet], Sequence[Tube], Plan | None], Iterator[Step]]
Ending = Literal["found", "time", "stopped", "nothing"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Laying:
    """What came of laying a scene's tubes.

    Parameters
    ----------
    lay : Lay or None
        The scene with the plan that was kept, checked; None where there was no time to check any.
    plan : Plan or None
        What was kept; None where there was nothing to plan, or nothing was found in time.
    ended : str
        ``found`` by itself, ``time`` was up, ``stopped`` by the user, or ``nothing`` to plan.
    rounds : int
        How often a plan was checked.
    kept : tuple of str or None
        Tubes that lie as in an earlier plan; None where none was looked at.
    """

    lay: Lay | None
    plan: Plan | None
    ended: Ending
    rounds: int
    kept: tuple[str, ...] | None = None


class _TimeUp(BaseException):
    """The deadline has come; like an interrupt, nothing on the way may take it for an error."""


@dataclass(slots=True, kw_only=True)
class _Best:
    """What is kept so far: the best plan that was checked, and the last one that was not."""

    lay: Lay | None = None
    unchecked: Plan | None = None
    rounds: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Task:
    """What is to be planned, until when, and who is told of each step; where tees lie that had no place."""

    reading: Reading
    cabinets: tuple[Cabinet, ...]
    inputs: str
    until: float
    tell: Callable[[Step], None]
    found: Places = NOTHING_PLACED


def plan_scene(
    path: Path | str,
    *,
    seconds: float | None = None,
    fresh: bool = False,
    tell: Callable[[Step], None] = lambda _step: None,
    planner: Planner = plan_tubes,
) -> Laying:
    """Plan a scene's tubes and write the plan beside the scene.

    Parameters
    ----------
    path : Path or str
        The scene file.
    seconds : float or None
        After how long the best so far is kept.
    fresh : bool
        Start over: an earlier plan is not looked at.
    tell : callable
        Is given every step.
    planner : callable
        As ``planner.plan_tubes``.

    Returns
    -------
    laying : Laying
        What was kept; without a plan nothing was written, and an old one still stands.

    Raises
    ------
    SceneError
        The scene cannot be used; carries every problem found.
    WritingError
        The plan cannot be written.
    """
    begun = time.monotonic()
    reading = read_scene(path)
    left = None if seconds is None else seconds - (time.monotonic() - begun)
    laying = plan_reading(reading, seconds=left, fresh=fresh, tell=tell, planner=planner)
    if laying.plan is not None:
        write_plan(plan_beside(reading.file), laying.plan)
    return laying


def plan_reading(
    reading: Reading,
    *,
    seconds: float | None = None,
    fresh: bool = False,
    tell: Callable[[Step], None] = lambda _step: None,
    planner: Planner = plan_tubes,
) -> Laying:
    """Plan the tubes of a scene that has been read already; nothing is written.

    Parameters
    ----------
    reading : Reading
        The scene as read.
    seconds, fresh, tell, planner
        As in ``plan_scene``.

    Returns
    -------
    laying : Laying
        What was kept.

    Raises
    ------
    SceneError
        The scene cannot be placed; carries every problem found.
    """
    best = _Best()
    until = math.inf if seconds is None else time.monotonic() + seconds
    before = earlier = None if fresh else _earlier(reading)
    ended: Ending = "found"
    try:
        with interrupts_laid_bare(), _deadline(seconds):
            task = _Task(
                reading=reading,
                cabinets=placed(reading),
                inputs=inputs_of(reading),
                until=until,
                tell=tell,
            )
            tubes = shape(reading, task.cabinets[-1])
            if not any(awaits_route(tube) for tube in tubes) and not task.cabinets[-1].without_place:
                lay = checked(reading, task.cabinets, before, task.inputs)
                return Laying(lay=lay, plan=None, ended="nothing", rounds=0)
            tried: dict[str, list[Floats]] = {}
            for turn in range(PLACES):
                one = _settled(task, tubes, before, tried)
                if before is not None and before.inputs == task.inputs and turn == 0:
                    _take(best, one, _sound(before, one))  # nothing has changed: it is not to become worse
                _search(best, one, planner(one.cabinets, shape(reading, one.cabinets[-1]), before))
                good = None if best.lay is None or best.lay.taken is None else best.lay.taken.plan
                if good is None or not failed(one.found, reading, good.places, _wrong(best), tried):
                    break
                before = good
    except _TimeUp:
        ended = "time"
    except KeyboardInterrupt:
        ended = "stopped"
    plan = best.unchecked if best.lay is None or best.lay.taken is None else best.lay.taken.plan
    kept = None if earlier is None or plan is None else lying_alike(earlier, plan)
    return Laying(lay=best.lay, plan=plan, ended=ended, rounds=best.rounds, kept=kept)


def _earlier(reading: Reading) -> Plan | None:
    """Return the plan beside a scene; one that cannot be used is none, for it is about to be replaced."""
    try:
        return read_plan(plan_beside(reading.file))
    except SceneError:
        return None


def _settled(
    task: _Task, tubes: Sequence[Tube], before: Plan | None, tried: dict[str, list[Floats]]
) -> _Task:
    """Return a task in which tees and couplers without a place have one, as far as one was found."""
    found = join_places(task.reading, task.cabinets, tubes, before, tried)
    cabinets = placed(with_places(task.reading, found.places)) if found.places else task.cabinets
    return replace(task, cabinets=cabinets, found=found)


def _wrong(best: _Best) -> Wrong:
    """Return the tubes with faults that another place of a tee or coupler on them could cure, and where."""
    findings = () if best.lay is None else best.lay.findings
    faults = [f for f in findings if f.severity == "fault" and f.rule in (*CURABLE, "no_way")]
    return [({name for name in (f.tube, f.other, *f.tubes) if name}, f.point) for f in faults]


def _search(best: _Best, task: _Task, steps: Iterator[Step]) -> None:
    """Check what the planner comes to, and let it mend that until nothing is left that planning can cure.

    Cautions alone are worth two rounds, the second only where the first has changed something about them.

    Raises
    ------
    _TimeUp
        Between two steps.
    """
    courtesies = 0
    troubles: tuple[Trouble, ...] = ()
    for mended in range(ROUNDS + 1):
        last = _last_of(best, task, steps)
        if last is None or last.plan is None:
            return
        task.tell(replace(last, stage="checking"))
        lay = _take(best, task, last.plan)
        before, troubles = troubles, troubles_of(lay)
        faults = {f.rule for f in lay.findings if f.severity == "fault"} & set(CURABLE)
        courtesies += not faults
        if last.mended is None or mended == ROUNDS or not troubles or courtesies > COURTESIES:
            return
        if courtesies > 1 and is_as_before(troubles, before):
            return
        steps = last.mended(troubles)


def _last_of(best: _Best, task: _Task, steps: Iterator[Step]) -> Step | None:
    """Return the last step with a plan, as it will be read again."""
    last = None
    for step in steps:
        if time.monotonic() > task.until:
            raise _TimeUp
        task.tell(step)
        if step.plan is not None:
            last = replace(step, plan=_sound(step.plan, task))
            if best.lay is None:
                best.unchecked = last.plan
    return last


def _take(best: _Best, task: _Task, plan: Plan) -> Lay:
    """Check a plan, and keep it where it is better than what was kept."""
    lay = checked(task.reading, task.cabinets, plan, task.inputs)
    if lay.taken is not None and lay.taken.stale:  # a route that does not end at its nipples is none
        used = tuple(one for one in lay.taken.plan.tubes if one.name in lay.taken.laid)
        lay = replace(lay, taken=replace(lay.taken, plan=replace(lay.taken.plan, tubes=used), stale=False))
    best.rounds += 1
    if best.lay is None or _rank(lay) < _rank(best.lay):
        best.lay = lay
    return lay


def _sound(plan: Plan, task: _Task) -> Plan:
    """Return a plan as it will be read again: on the grain, in order, without what would be refused."""
    order = {wire.name: number for number, wire in enumerate(task.reading.wires)}
    no_ways = (*task.found.no_ways, *(one for one in plan.no_ways if one.part is None))
    written = on_grain(replace(plan, no_ways=no_ways))
    routes = {one.name: _readable(one) for one in written.tubes if one.name in order}
    tubes = [one for _, one in sorted(routes.items(), key=lambda item: order[item[0]]) if one is not None]
    return replace(written, tubes=tuple(tubes), inputs=task.inputs, places=task.found.places)


def _readable(one: PlannedTube) -> PlannedTube | None:
    """Return a route with the ties that lie on it; None for one that makes no curve."""
    if len(one.corners) > MOST_POINTS:
        return None
    try:
        long = length(rounded_polyline(one.corners, one.radii))
    except ValueError:
        return None
    ties = sorted((tie for tie in one.ties if 0 <= tie.along_mm <= long), key=lambda tie: tie.along_mm)
    return replace(one, ties=tuple(ties))


def _rank(lay: Lay) -> tuple[int, int, int, float]:
    """Return how bad a lay is: faults, tubes not laid (each a fault), cautions and forgiven bends, length."""
    faults = [f for f in lay.findings if f.severity == "fault"]
    bare = sum(awaits_route(tube) or awaits_place(tube) for tube in lay.tubes)
    others = sum(f.rule not in ("no_way", "unconnected") for f in faults)
    cautions = sum(f.severity == "caution" for f in lay.findings) + len(forgiven(lay))
    return bare + others, bare, cautions, float(lay.measured.lengths_mm.sum())


@contextmanager
def _deadline(seconds: float | None) -> Iterator[None]:
    """End the block when time is up, whatever it is doing.

    Without alarms, on some systems and beside the main thread, time is looked at between steps alone.

    Raises
    ------
    _TimeUp
        In the block.
    """
    alarms = hasattr(signal, "setitimer") and threading.current_thread() is threading.main_thread()
    if seconds is None or not alarms:
        yield
        return
    if seconds <= 0:
        raise _TimeUp

    def ring(_number: int, _frame: object) -> None:
        raise _TimeUp

    before = signal.signal(signal.SIGALRM, ring)
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)
