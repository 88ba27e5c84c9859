"""Lay all tubes together: from what stands in the case and which nipples are joined to a plan.

Which passage each takes is in choosing.py, ways through free space in threading.py, room between tubes in
relaxing.py, what is written of it in finishing.py. Whether the plan is legal is not said here: checks/ alone
say that.
"""

from collections.abc import Callable, Generator, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from routeviz.cabinet.solids import Cabinet, extents
from routeviz.geometry.arrays import Floats
from routeviz.planning.carrying_over import carried_over
from routeviz.planning.choosing import Choice, chosen_ways
from routeviz.planning.dealing import Gate, gates_of, taken_in
from routeviz.planning.finishing import finished, with_kept
from routeviz.planning.freespace import Grid, grid_of
from routeviz.planning.obstacles import Obstacles, obstacles_of
from routeviz.planning.relaxing import (
    COARSE,
    FINE,
    MIDDLE,
    Level,
    State,
    Still,
    relaxed,
    state_of,
    stretches_of,
    strings_of,
)
from routeviz.planning.stations import Stations, stations_of
from routeviz.planning.steps import Step, Trouble
from routeviz.planning.still import still_of
from routeviz.planning.strings import Strings
from routeviz.planning.threading import Stretch, Threads, threaded
from routeviz.tubes.plans import NoWay, Plan, PlannedTube
from routeviz.tubes.routes import Tube

AROUND_MM = 7.0  # beyond the thickest tube's radius and what is asked for, to which things are looked at
BEYOND_MM = 30.0  # past the outermost thing that a tube may go round it; further out nobody would lay one
STUBBORN = 3  # times that the checks find something wrong with a tube before it takes another way
AFRESH = replace(MIDDLE, begins=0.3, grows=20)  # for strings among which a few have just been threaded anew
MORE_BEND = 1.01  # by which a bend that came out too tight is aimed at more gently
MOST_GAP_MM = 0.8  # more room than that about a tube is asked for by no number of turns
PATIENCE = 2  # times that new tubes are mended about kept ones, before those that they meet are laid anew too
WORN_MM = 20.0  # about a place where something is wrong, that costs more from then on
WIDE = (
    (0.4, 0.5),
    (0.3, 0.3),
    (0.2, 0.22),
)  # gaps at each level, to tubes and to things: the finer, the nearer


NOTHING = Plan(tubes=(), no_ways=(), runs=())


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """What is to be laid, and what it must get past.

    Of an earlier plan some tubes are kept; ``is_again`` says that fewer are than could be. Planning goes on
    ``afresh`` with fewer of them by their names.
    """

    cabinets: Sequence[Cabinet]
    tubes: Sequence[Tube]
    obstacles: Obstacles
    stations: Stations
    grid: Grid
    still: Still
    choice: Choice
    taken: tuple[Floats, ...]
    kept: tuple[PlannedTube, ...]
    is_again: bool
    afresh: Callable[[frozenset[str]], Iterator[Step]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """All strings, where each goes through, and what is wanted about them.

    Parameters
    ----------
    own : tuple of int
        For each string the stations' tube.
    gates : dict of list of Gate
        By the stations' tube.
    strings : Strings
        As they lie.
    gaps : array, shape (2, t)
        What is to be free to tubes and to things.
    turns : tuple of int
        For each string how often the checks have found something wrong with it.
    """

    own: tuple[int, ...]
    gates: dict[int, list[Gate]]
    strings: Strings
    gaps: Floats
    turns: tuple[int, ...]


def plan_tubes(
    cabinets: Sequence[Cabinet], tubes: Sequence[Tube], before: Plan | None = None
) -> Iterator[Step]:
    """Yield steps on the way to a plan; the last has it.

    Parameters
    ----------
    cabinets : sequence of Cabinet
        The case in each stage of the work, the last stage last: what stands in any of them is kept clear of.
    tubes : sequence of Tube
        All tubes as drawn, in the last stage; those with a centreline stay as they are, and are obstacles.
    before : Plan or None
        An earlier plan; what is still good in it is kept.

    Yields
    ------
    step : Step
        Every third of a second or so; may be left at any of them.
    """
    yield from _planned(cabinets, tubes, before, frozenset())


def _planned(
    cabinets: Sequence[Cabinet], tubes: Sequence[Tube], before: Plan | None, without: frozenset[str]
) -> Iterator[Step]:
    """Yield steps on the way to a plan in which some tubes of an earlier plan are laid anew."""
    cabinet = cabinets[-1]
    widest = max((t.kind.outside_mm for t in tubes if t.curve is None), default=0.0) / 2
    low, high = extents(cabinet)
    obstacles = obstacles_of(cabinets, (low - BEYOND_MM, high + BEYOND_MM), widest + AROUND_MM)
    carried = carried_over(before, cabinets, tubes, obstacles, without)
    stations = stations_of(cabinet, carried.tubes, obstacles.names)
    count = len(stations.names)
    yield Step(stage="choosing passages", done=0, of=count)
    if not count:
        yield Step(stage="spreading", done=0, of=0, plan=with_kept(NOTHING, tubes, carried.planned))
        return
    passages = [cabinet.passages[name] for name in sorted(cabinet.passages)]
    grid = grid_of(obstacles, passages, float(np.median(stations.radii)))
    still = still_of(cabinet, carried.tubes, stations)
    taken = taken_in(passages, still)
    task = Task(
        cabinets=cabinets,
        tubes=carried.tubes,
        obstacles=obstacles,
        stations=stations,
        grid=grid,
        still=still,
        choice=chosen_ways(cabinet, stations, passages, grid, obstacles, [len(one) for one in taken]),
        taken=taken,
        kept=carried.planned,
        is_again=bool(without),
        afresh=lambda names: _planned(cabinets, tubes, before, without | names),
    )
    yield Step(stage="finding ways", done=0, of=count)
    yield from _laid(task)


def _laid(task: Task) -> Iterator[Step]:
    """Thread and relax all tubes."""
    count = len(task.stations.names)
    choice = task.choice
    gates = gates_of(task.stations, choice.passages, choice.chosen, choice.asked, task.obstacles, task.taken)
    threads = Threads(task.grid, float(np.median(task.stations.radii)))
    lost = sorted(set(task.choice.chosen) - set(gates))
    parts: dict[int, list[Stretch]] = {}
    for tube in sorted(gates):
        strand = _strand(task, gates[tube], threads, tube)
        if strand is None:
            lost.append(tube)
        else:
            parts[tube] = strand
        yield Step(stage="finding ways", done=len(parts), of=count)
    if lost and task.kept:
        yield from task.afresh(frozenset(one.name for one in task.kept))
        return
    own = tuple(sorted(parts))
    if not own:
        yield Step(stage="finding ways", done=0, of=count, plan=_plan(task, None, lost))
        return
    strands = [parts[tube] for tube in own]
    for number, (level, wide) in enumerate(zip((COARSE, MIDDLE, FINE), WIDE, strict=True), 1):
        draft = _draft(task, own, gates, strands, level, wide)
        state = yield from _relaxed(task, draft, level, ("spreading", f"{number} of {len(WIDE)}"))
        strands = stretches_of(draft.strings, len(own))
    yield _told(task, draft, state, lost, 0)


def _relaxed(task: Task, draft: Draft, level: Level, stage: tuple[str, str]) -> Generator[Step, None, State]:
    """Relax a draft's strings, telling of it now and then; returns how it stands in the end."""
    state = None
    for told in relaxed(draft.strings, task.obstacles, level, (draft.gaps[0], draft.gaps[1])):
        state = told
        yield Step(
            stage=stage[0],
            part=stage[1],
            done=0,
            of=len(task.stations.names),
            seen=lambda: _seen(draft, state_of(draft.strings, task.obstacles)),
        )
    assert state is not None  # the last that relaxing yields
    return state


def _seen(draft: Draft, state: State) -> tuple[int, float]:
    """Return how many strings are free of trouble, and the worst room to other tubes or things."""
    lacking = state.lacking(draft.strings, 0.98, 0.05)[: len(draft.own)]
    return int((lacking == 0).sum()), min(state.between_mm, state.off_mm)


def _strand(task: Task, gates: Sequence[Gate], threads: Threads, tube: int) -> list[Stretch] | None:
    through = [(task.choice.passages[g.passage], g.sense, g.place) for g in gates]
    return threaded(task.stations, tube, through, threads, task.obstacles)


def _draft(
    task: Task,
    own: tuple[int, ...],
    gates: dict[int, list[Gate]],
    strands: Sequence[Sequence[Stretch]],
    level: Level,
    wide: tuple[float, float],
) -> Draft:
    strings = strings_of(strands, task.stations, own, level.step_mm, task.still)
    gaps = np.stack([np.full(len(strings.radii), one) for one in wide])
    return Draft(own=own, gates=gates, strings=strings, gaps=gaps, turns=(0,) * len(own))


def _rethreaded(task: Task, draft: Draft, places: Floats, numbers: Sequence[int]) -> Draft:
    """Return a draft in which some strings take other ways: where something was wrong is dear now."""
    threads = Threads(task.grid, float(np.median(task.stations.radii)))
    threads.wear(places, WORN_MM)
    threads.occupy(draft.strings.points[~np.isin(draft.strings.owners, numbers)])
    strands = stretches_of(draft.strings, len(draft.own))
    for number in numbers:
        strand = _strand(task, draft.gates[draft.own[number]], threads, draft.own[number])
        if strand is not None:
            strands[number] = strand
    return _with(task, draft, strands, MIDDLE)


def _with(task: Task, draft: Draft, strands: Sequence[Sequence[Stretch]], level: Level) -> Draft:
    """Return a draft with its strings drawn anew at a level, what is wanted about them kept."""
    strings = strings_of(strands, task.stations, draft.own, level.step_mm, task.still)
    return replace(draft, strings=strings._replace(bends=draft.strings.bends))


def _told(task: Task, draft: Draft, state: State, lost: Sequence[int], turn: int) -> Step:
    """Return the plan as it stands, with what to do if the checks find something."""

    def mended(troubles: tuple[Trouble, ...]) -> Iterator[Step]:
        return _mended(task, draft, lost, troubles, turn + 1)

    done, worst_mm = _seen(draft, state)
    return Step(
        stage="spreading" if turn == 0 else "mending",
        done=done,
        of=len(task.stations.names),
        worst_mm=worst_mm,
        plan=_plan(task, (draft, state), lost),
        mended=mended,
    )


def _mended(
    task: Task, draft: Draft, lost: Sequence[int], troubles: Sequence[Trouble], turn: int
) -> Iterator[Step]:
    """Give more room where the checks found too little; what stays wrong takes another way; relax again."""
    kept = frozenset(one.name for one in task.kept)
    met = kept & {name for one in troubles if one.rule != "hang" for name in (one.tube, one.other)}
    if met and turn > PATIENCE:
        yield from task.afresh(kept if task.is_again else frozenset(met))
        return
    # Of a kept tube and a new one that are too near each other, it is the new one that gives way.
    troubles = [replace(t, tube=t.other, other=t.tube) if t.tube in kept and t.other else t for t in troubles]
    numbers = {task.stations.names[tube]: number for number, tube in enumerate(draft.own)}
    wrong = [(numbers[one.tube], one) for one in troubles if one.tube in numbers]
    draft = _widened(draft, wrong)
    stubborn = sorted({number for number, _ in wrong if draft.turns[number] % STUBBORN == 0})
    if stubborn:
        places = np.array([_place_of(draft, number, one.along_mm) for number, one in wrong])
        draft = _rethreaded(task, draft, places, stubborn)
        yield from _relaxed(task, draft, AFRESH, ("mending", f"round {turn}"))
        draft = _with(task, draft, stretches_of(draft.strings, len(draft.own)), FINE)
    state = yield from _relaxed(task, draft, FINE, ("mending", f"round {turn}"))
    yield _told(task, draft, state, lost, turn)


def _widened(draft: Draft, wrong: Sequence[tuple[int, Trouble]]) -> Draft:
    """Return a draft in which more is wanted about the tubes with which something is wrong."""
    strings, gaps, turns = draft.strings, draft.gaps.copy(), list(draft.turns)
    bends = strings.bends.copy()
    for number in {number for number, _ in wrong}:
        turns[number] += 1
    for number, trouble in wrong:
        if trouble.rule == "kink":
            bends[number] *= MORE_BEND
        elif trouble.rule == "squeeze":
            gaps[0, number] = min(gaps[0, number] + min(trouble.lacks_mm + 0.05, 0.2), MOST_GAP_MM)
        else:
            gaps[1, number] = min(gaps[1, number] + min(trouble.lacks_mm + 0.05, 0.2), MOST_GAP_MM)
    fresh = strings._replace(points=strings.points.copy(), bends=bends)
    return replace(draft, strings=fresh, gaps=gaps, turns=tuple(turns))


def _place_of(draft: Draft, number: int, along_mm: float) -> Floats:
    """Return the point of a string so far along it."""
    first, last = draft.strings.firsts[number], draft.strings.firsts[number + 1]
    points = draft.strings.points[first:last]
    run = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1)))
    return np.asarray(points[min(int(np.searchsorted(run, along_mm)), len(points) - 1)])


def _plan(task: Task, laid: tuple[Draft, State] | None, lost: Sequence[int]) -> Plan:
    no_ways = [*task.choice.no_ways]
    for tube in lost:
        no_ways.append(
            NoWay(
                tubes=(task.stations.names[tube],),
                passage=None,
                point=task.stations.tips[tube, 0],
                cause=_lost_because(task, tube),
                frees="make room there, or let it go through another passage",
            )
        )
    if laid is None:
        return with_kept(replace(NOTHING, no_ways=tuple(no_ways)), task.tubes, task.kept)
    draft, state = laid
    through = {t: tuple(task.choice.passages[g.passage].name for g in draft.gates[t]) for t in draft.own}
    plan = finished(
        task.cabinets, task.tubes, task.stations, (draft.strings, state, draft.own), through, no_ways
    )
    return with_kept(plan, task.tubes, task.kept)


def _lost_because(task: Task, tube: int) -> str:
    """Say why a tube that was given passages has no string."""
    names = [task.choice.passages[number].name for number, _ in task.choice.chosen[tube]]
    if not names:
        return "no free way was found between its ends"
    return f"no free way was found from its start through {', then '.join(names)} to its end"
