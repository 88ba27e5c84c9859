"""Lay all tubes together: from what stands in the case and which nipples are joined to a plan.

Which passage each takes is in choosing.py, ways through free space in threading.py, room between tubes in
relaxing.py, what is written of it in finishing.py. Whether the plan is legal is not said here: checks/ alone
say that.
"""

from collections.abc import Collection, Generator, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from routeviz.cabinet.passages import Passage
from routeviz.cabinet.solids import Cabinet, extents
from routeviz.geometry.arrays import Floats
from routeviz.planning.carrying_over import carried_over
from routeviz.planning.choosing import Choice, Earlier, chosen_ways
from routeviz.planning.dealing import Gate, gates_of, taken_in
from routeviz.planning.drafting import Draft, Task, drafted, left_alone, place_of, redrawn, widened, woken
from routeviz.planning.easing import NOTHING_DRAWN, Drawn
from routeviz.planning.finishing import finished, with_kept
from routeviz.planning.freespace import Grid, grid_of
from routeviz.planning.leaving import ways_out
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
)
from routeviz.planning.stations import Stations, only, stations_of
from routeviz.planning.steps import Step, Trouble
from routeviz.planning.still import still_of
from routeviz.planning.threading import Stretch, Threads, threaded
from routeviz.planning.unwinding import unwound
from routeviz.planning.waking import (
    BENT,
    RINGS_MM,
    SHORT_MM,
    Lying,
    in_the_way,
    lying_of,
    released,
)
from routeviz.tubes.plans import NoWay, Plan
from routeviz.tubes.routes import Tube

AROUND_MM = 7.0  # beyond the thickest tube's radius and what is asked for, to which things are looked at
BEYOND_MM = 30.0  # past the outermost thing that a tube may go round it; further out nobody would lay one
STUBBORN = 3  # times that the checks find something wrong with a tube before it takes another way
AFRESH = replace(MIDDLE, begins=0.3, grows=20)  # for strings among which a few have just been threaded anew
GROWING = replace(COARSE, rounds=90)  # until each lies where it will, at one side of others
GROWN = replace(COARSE, rounds=70, begins=1.0, grows=1, tension=0.05)  # once some have exchanged stretches
PATIENCE = 3  # times that tubes are mended about those of an earlier plan, before all are laid anew
SAGS_MM = 1.0  # deeper than that into something hangs only what lies where nothing can hold it
MOST_ANEW = 0.5  # tubes laid anew, for each that lies: of more, few others would be left alone
WORN_MM = 20.0  # about a place where something is wrong, that costs more from then on
WIDE = (
    (0.4, 0.5),
    (0.3, 0.3),
    (0.2, 0.22),
)  # gaps at each level, to tubes and to things: the finer, the nearer


NOTHING = Plan(tubes=(), no_ways=(), runs=())


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
    cabinet = cabinets[-1]
    widest = max((t.kind.outside_mm for t in tubes if t.curve is None), default=0.0) / 2
    low, high = extents(cabinet)
    obstacles = obstacles_of(cabinets, (low - BEYOND_MM, high + BEYOND_MM), widest + AROUND_MM)
    carried = carried_over(before, cabinets, tubes, obstacles)
    stations = stations_of(cabinet, tubes, obstacles.names)
    passages = [cabinet.passages[name] for name in sorted(cabinet.passages)]
    lying: Mapping[int, Lying] = lying_of(carried, stations, passages)
    count = len(stations.names)
    yield Step(stage="choosing passages", done=0, of=count)
    if len(lying) == count and all(one.stays for one in lying.values()):
        yield Step(stage="spreading", done=count, of=count, plan=with_kept(NOTHING, tubes, carried.planned))
        return
    ways = ways_out(cabinets, (obstacles.low, obstacles.high), obstacles.reach)
    grid = grid_of(obstacles, passages, float(np.median(stations.radii)), ways)
    known = {name for one in (before.no_ways if before else ()) for name in one.tubes}
    room = _Room(
        cabinet=cabinet, tubes=tubes, stations=stations, passages=passages, grid=grid, obstacles=obstacles
    )
    choice, lying = _chosen(room, lying, known)
    still = _still(room, lying)
    task = Task(
        cabinets=cabinets,
        tubes=tubes,
        obstacles=obstacles,
        stations=stations,
        grid=grid,
        still=still,
        choice=choice,
        taken=taken_in(passages, still),
        carried=carried,
        lying=lying,
        is_again=bool(lying),
        afresh=lambda: plan_tubes(cabinets, tubes),
    )
    yield Step(stage="finding ways", done=0, of=count)
    yield from _laid(task)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Room:
    """Where passages are chosen."""

    cabinet: Cabinet
    tubes: Sequence[Tube]
    stations: Stations
    passages: Sequence[Passage]
    grid: Grid
    obstacles: Obstacles


def _chosen(
    room: _Room, lying: Mapping[int, Lying], known: Collection[str]
) -> tuple[Choice, Mapping[int, Lying]]:
    """Return the passages of all tubes that do not lie yet, and which lie.

    Where some of these find no way beside those that lie, unless it is known that they have none, all choose,
    and those lie on that keep their passages.
    """  # noqa: DOC201
    choice = _choice(room, lying, {})
    if not lying or {name for one in choice.no_ways for name in one.tubes} <= set(known):
        return choice, lying
    chains = {tube: [(gate.passage, gate.sense) for gate in one.gates] for tube, one in lying.items()}
    every = _choice(room, {}, chains)
    stay = {tube: one for tube, one in lying.items() if every.chosen.get(tube) == chains[tube]}
    return replace(every, chosen={t: way for t, way in every.chosen.items() if t not in stay}), stay


def _choice(
    room: _Room, lying: Mapping[int, Lying], chains: Mapping[int, Sequence[tuple[int, int]]]
) -> Choice:
    """Return the passages of all tubes but those that lie, rather those through which they lay."""
    anew = np.array([tube for tube in range(len(room.stations.names)) if tube not in lying], dtype=np.int64)
    earlier = Earlier(taken=[len(one) for one in taken_in(room.passages, _still(room, lying))], chains=chains)
    stations = only(room.stations, anew)
    choice = chosen_ways(room.cabinet, stations, room.passages, room.grid, room.obstacles, earlier)
    return replace(choice, chosen={int(anew[tube]): way for tube, way in choice.chosen.items()})


def _still(room: _Room, lying: Mapping[int, Lying]) -> Still:
    return still_of(room.cabinet, room.tubes, room.stations, {tube: one.line for tube, one in lying.items()})


def _laid(task: Task) -> Iterator[Step]:
    """Thread and relax all tubes."""
    count = len(task.stations.names)
    choice = task.choice
    gates = gates_of(task.stations, choice.passages, choice.chosen, choice.asked, task.obstacles, task.taken)
    threads = Threads(task.grid, float(np.median(task.stations.radii)))
    if task.lying:
        threads.occupy(np.concatenate([one.line for one in task.lying.values()]))
    lost = sorted(set(task.choice.chosen) - set(gates))
    parts: dict[int, list[Stretch]] = {}
    for tube in sorted(gates):
        strand = _strand(task, gates[tube], threads, tube)
        if strand is None:
            lost.append(tube)
        else:
            parts[tube] = strand
        yield Step(stage="finding ways", done=len(parts), of=count)
    if task.is_again and (lost or len(gates) > MOST_ANEW * len(task.lying)):
        yield from task.afresh()
        return
    own = tuple(sorted(parts))
    if not own and not task.lying:
        yield Step(stage="finding ways", done=0, of=count, plan=_plan(task, None, lost)[0])
        return
    strands, gates = yield from _unwound(task, own, gates, [parts[tube] for tube in own])
    # Beside tubes that lie, few find their way between at full length from the start.
    levels = ((AFRESH, WIDE[1]),) if task.is_again else ((GROWN, WIDE[0]), (MIDDLE, WIDE[1]))
    last = len(levels) + 1
    for number, (level, wide) in enumerate(levels if own else (), 1):
        draft = drafted(task, own, gates, strands, level, wide)
        yield from _relaxed(task, draft, level, ("spreading", f"{number} of {last}"))
        strands = stretches_of(draft.strings, len(own))
    if task.lying:
        strands = [released(strand) for strand in strands]
    draft = drafted(task, own, gates, strands, FINE, WIDE[-1])
    task, draft = woken(task, draft, [tube for tube, one in task.lying.items() if not one.stays])
    task, draft, state = yield from _settled(task, draft, ("spreading", f"{last} of {last}"))
    yield _told(task, draft, state, lost, 0)


def _unwound(
    task: Task, own: tuple[int, ...], gates: dict[int, list[Gate]], strands: list[list[Stretch]]
) -> Generator[Step, None, tuple[list[list[Stretch]], dict[int, list[Gate]]]]:
    """Let strings grow, and those that then wind about each other exchange stretches; not beside others."""
    if task.is_again or not own:
        return strands, gates
    draft = drafted(task, own, gates, strands, GROWING, WIDE[0])
    yield from _relaxed(task, draft, GROWING, ("spreading", "1 of 3"))
    return unwound(draft.strings, own, {tube: gates[tube] for tube in own})


def _settled(
    task: Task, draft: Draft, stage: tuple[str, str]
) -> Generator[Step, None, tuple[Task, Draft, State]]:
    """Relax a draft; where no room is found, wake what lies there, in widening rings."""
    state = yield from _relaxed(task, draft, FINE, stage)
    for reach in RINGS_MM:
        count, radii = len(draft.own), task.stations.radii
        near = in_the_way(draft.strings, count, state, task.lying, reach, radii)
        if near:
            task, draft = woken(task, draft, near)
            state = yield from _relaxed(task, draft, FINE, stage)
    return task, draft, state


def _relaxed(task: Task, draft: Draft, level: Level, stage: tuple[str, str]) -> Generator[Step, None, State]:
    """Relax a draft's strings, telling of it now and then; returns how it stands in the end."""
    state = None
    for told in relaxed(draft.strings, task.obstacles, level, draft.gaps):
        state = told
        yield Step(
            stage=stage[0],
            part=stage[1],
            done=0,
            of=len(task.stations.names),
            seen=lambda: _seen(task, draft, state_of(draft.strings, task.obstacles)),
        )
    assert state is not None  # the last that relaxing yields
    return state


def _seen(task: Task, draft: Draft, state: State) -> tuple[int, float]:
    """Return how many tubes are free of trouble, lying ones too, and the worst room to tubes or things."""
    lacking = state.lacking(draft.strings, BENT, SHORT_MM)[: len(draft.own)]
    return len(task.lying) + int((lacking == 0).sum()), min(state.between_mm, state.off_mm)


def _strand(task: Task, gates: Sequence[Gate], threads: Threads, tube: int) -> list[Stretch] | None:
    through = [(task.choice.passages[g.passage], g.sense, g.place) for g in gates]
    return threaded(task.stations, tube, through, threads, task.obstacles)


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
    return redrawn(task, draft, strands, MIDDLE)


def _told(task: Task, draft: Draft, state: State, lost: Sequence[int], turn: int) -> Step:
    """Return the plan as it stands, with what to do if the checks find something."""
    plan, drawn = _plan(task, (draft, state), lost)
    draft = replace(draft, drawn=drawn)

    def mended(troubles: tuple[Trouble, ...]) -> Iterator[Step]:
        return _mended(task, (draft, state), lost, troubles, turn + 1)

    done, worst_mm = _seen(task, draft, state)
    return Step(
        stage="spreading" if turn == 0 else "mending",
        done=done,
        of=len(task.stations.names),
        worst_mm=worst_mm,
        plan=plan,
        mended=mended,
    )


def _is_hopeless(troubles: Sequence[Trouble], turn: int) -> bool:
    """Return whether tubes had better all be laid anew than mended about those of an earlier plan."""
    deep = any(one.rule == "hang" and one.lacks_mm > SAGS_MM for one in troubles)
    return (deep and turn > 1) or (turn > PATIENCE and any(one.rule != "hang" for one in troubles))


def _mended(
    task: Task, laid: tuple[Draft, State], lost: Sequence[int], troubles: Sequence[Trouble], turn: int
) -> Iterator[Step]:
    """Give more room where the checks found too little; what stays wrong takes another way; relax again."""
    if task.is_again and _is_hopeless(troubles, turn):
        yield from task.afresh()
        return
    met = {name for one in troubles for name in (one.tube, one.other)}
    task, draft = woken(task, laid[0], [tube for tube, one in task.lying.items() if one.one.name in met])
    numbers = {task.stations.names[tube]: number for number, tube in enumerate(draft.own)}
    wrong = [(numbers[one.tube], one) for one in troubles if one.tube in numbers]
    state = laid[1] if draft is laid[0] else state_of(draft.strings, task.obstacles)
    draft = widened(draft, state, wrong)
    # Beside tubes of an earlier plan another way costs more than a span that hangs a little.
    gone = [number for number, one in wrong if not (task.is_again and one.rule == "hang")]
    stubborn = sorted({number for number in gone if draft.turns[number] % STUBBORN == 0})
    if stubborn:
        places = np.array([place_of(draft, number, one.along_mm) for number, one in wrong])
        draft = _rethreaded(task, draft, places, stubborn)
        yield from _relaxed(task, draft, AFRESH, ("mending", f"round {turn}"))
        draft = redrawn(task, draft, stretches_of(draft.strings, len(draft.own)), FINE)
    task, draft, state = yield from _settled(task, draft, ("mending", f"round {turn}"))
    yield _told(task, draft, state, lost, turn)


def _plan(task: Task, laid: tuple[Draft, State] | None, lost: Sequence[int]) -> tuple[Plan, Drawn]:
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
        return with_kept(replace(NOTHING, no_ways=tuple(no_ways)), task.tubes, task.kept), NOTHING_DRAWN
    draft, state = laid
    # Room for which the checks have asked is not given away again by drawing few corners.
    more = np.maximum(draft.gaps.T - WIDE[-1], 0.0)
    state = replace(state, rooms=state.rooms - np.column_stack([more, np.zeros(len(more))]))
    through = {t: tuple(task.choice.passages[g.passage].name for g in draft.gates[t]) for t in draft.own}
    strung = draft.strings, state, draft.own, draft.drawn
    plan, drawn = finished(task.cabinets, task.laid, task.stations, strung, through, no_ways)
    left = left_alone(draft)
    every = tuple(left.get(one.name, one) for one in plan.tubes)
    return with_kept(replace(plan, tubes=every), task.tubes, task.kept), drawn


def _lost_because(task: Task, tube: int) -> str:
    """Say why a tube that was given passages has no string."""
    names = [task.choice.passages[number].name for number, _ in task.choice.chosen[tube]]
    if not names:
        return "no free way was found between its ends"
    return f"no free way was found from its start through {', then '.join(names)} to its end"
