"""In which order are tubes laid, which end first, past what, and what is to be looked out for?

For the page at the bench and for sheets on paper alike. Who lies behind whom is in work_overlaps.py, the
order that follows in work_turns.py, which end goes first in work_ends.py, what is passed in work_passes.py,
what else is to be looked out for in work_notes.py, what is not laid in work_left.py.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from routeviz.checks.stretch import needed_mm
from routeviz.lay import Lay
from routeviz.planning.runs import Going, runs_of
from routeviz.scene.lengths import as_mm
from routeviz.tubes.nearing import laid
from routeviz.tubes.plans import Run
from routeviz.tubes.routes import Tube
from routeviz.views.work_ends import FirstEnd, first_ends
from routeviz.views.work_left import Left, left_of
from routeviz.views.work_notes import From, notes_on, notes_on_left
from routeviz.views.work_overlaps import Overlaps, chords_of, overlaps, without_slack
from routeviz.views.work_passes import Passes, Way, passes_of_parts, passes_of_runs, told_passes
from routeviz.views.work_turns import Before, behind, turns

# Where the worker may stand: along which axis of the case one looks then, and which way.
WORKERS = {"front": (1, 1), "back": (1, -1), "left": (0, 1), "right": (0, -1)}
NEARER = ("in front of", "behind")
UPWARDS = Way(axis=2, towards=1, words=("over", "under"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A tube, in its turn.

    Parameters
    ----------
    tube : int
        Index of the tube in ``lay.tubes``.
    run : int
        Index of its run in ``runs_to_lay(lay)``; the plan's runs come first there.
    run_number : int
        Of its run, as it is told: 1 for the run that is begun first.
    stage : str or None
        The stage of the work in which it is laid; None in a scene without stages.
    first_end : str
        Which end goes on first, and why: ``stack 12: it lies 230 mm farther off, seen from the front``.
    at_start : bool
        Whether that is the end that the scene names first.
    through : tuple of str
        The passages in the order in which the tube comes to them from that end; none that it names and whose
        outline its route keeps out of.
    passes : tuple of str
        At most three things that it passes, in that order: ``over balance rail``, ``under run 2 (…)``.
    length_mm : float or None
        To be expected: the centreline, what goes over the nipples and what is left at a loose end; None for a
        tube that is not laid.
    look_out : tuple of str
        What to look out for, what is to be held aside first.
    hold : tuple of int
        Tubes that lie already and must be held towards the worker while this one goes in behind them.
    open_until : int or None
        The tube after which its other end goes on; None where both go on at once.
    moved : bool
        Whether it has left its place in the row, for the sake of what lies behind it or before it.
    left : Left or None
        Why it is not laid; None for one that is.
    """

    tube: int
    run: int
    run_number: int
    stage: str | None
    first_end: str
    at_start: bool
    through: tuple[str, ...]
    passes: tuple[str, ...]
    length_mm: float | None
    look_out: tuple[str, ...]
    hold: tuple[int, ...]
    open_until: int | None
    moved: bool
    left: Left | None


@lru_cache(maxsize=1)  # page and sheets ask for the same one again and again
def work_order(lay: Lay, worker: str = "front") -> tuple[Step, ...]:
    """Return the tubes in the order in which they are laid, each once; those that are not laid among them.

    Stage by stage, those that are not laid first, the others run by run, along the row; a tube leaves its
    place only where it would have to be threaded behind one that lies already, as seen from where the worker
    stands. Where no order helps, ``hold`` says what is held aside.

    Parameters
    ----------
    lay : Lay
        As checked.
    worker : str
        A key of ``WORKERS``: on which side of the case the worker stands.

    Returns
    -------
    steps : tuple of Step
        The same for the same lay.
    """
    runs = runs_to_lay(lay)
    axis, sense = WORKERS[worker]
    nearer = Way(axis=axis, towards=-sense, words=NEARER)
    chords = chords_of(laid(lay.tubes))
    seen = overlaps(chords, axis, sense)
    wholly, mainly, winding = behind(seen)
    left = left_of(lay)
    order, moved = _order(lay, runs, left, (wholly, mainly))
    owners = _owners(lay, runs)
    begun = sorted(order, key=lambda tube: left[tube] is not None)
    turn = {run: number for number, run in enumerate(dict.fromkeys(owners[tube] for tube in begun), 1)}
    told = [f"run {turn[k]} ({brief(run)})" for k, run in enumerate(runs)]
    work = _Work(
        lay=lay,
        owners=owners,
        numbers=turn,
        firsts=first_ends(lay.cabinet, lay.tubes, axis, sense, f"from the {worker}"),
        passes=(
            *passes_of_parts(lay.cabinet, lay.tubes, chords, (UPWARDS, nearer)),
            passes_of_runs(overlaps(chords, 2, -1, crossings=False), owners, told, UPWARDS),
            passes_of_runs(seen, owners, told, nearer),
        ),
        held=_held(order, wholly),
        moved=moved,
        left=left,
        wound=_wound(order, winding | {(min(pair), max(pair)) for pair in mainly}, seen),
    )
    return tuple(_step(work, tube) for tube in order)


def runs_to_lay(lay: Lay) -> tuple[Run, ...]:
    """Return the runs of a lay: the plan's where it holds, then those of all other tubes, told likewise.

    Parameters
    ----------
    lay : Lay
        As checked.

    Returns
    -------
    runs : tuple of Run
        Every tube in just one; ``Step.run`` counts in them.
    """
    names = {tube.name for tube in lay.tubes}
    planned = lay.taken.plan.runs if lay.taken is not None and not lay.taken.stale else ()
    planned = planned if all(set(run.tubes) <= names for run in planned) else ()
    told = {name for run in planned for name in run.tubes}
    rest = [tube for tube in lay.tubes if tube.name not in told]
    goings = [Going(tube=tube.name, start=tube.start.nipple, through=tube.through) for tube in rest]
    return (*planned, *runs_of(goings))


def deviations(steps: Sequence[Step]) -> int:
    """Return how many tubes have left the row: the fewest without which the others lie in its order."""
    return sum(step.moved for step in steps)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Work:
    """What is known before the work is told tube by tube; by index of tubes, numbers by that of runs."""

    lay: Lay
    owners: Sequence[int]
    numbers: Mapping[int, int]
    firsts: Sequence[FirstEnd]
    passes: Sequence[Passes]
    held: Mapping[int, tuple[int, ...]]
    moved: frozenset[int]
    left: Sequence[Left | None]
    wound: Mapping[int, tuple[tuple[int, float], ...]]


def _order(
    lay: Lay, runs: Sequence[Run], left: Sequence[Left | None], pairs: tuple[Before, Before]
) -> tuple[tuple[int, ...], frozenset[int]]:
    """Return the order of all tubes, stage after stage, and which have left the row.

    What is not laid lies there already, if it does: it comes before the others of its stage.
    """  # noqa: DOC201
    number = {tube.name: k for k, tube in enumerate(lay.tubes)}
    order: list[int] = []
    moved: set[int] = set()
    for stage in dict.fromkeys((*_stages(lay), None)):
        rows = [[number[name] for name in run.tubes] for run in runs]
        staged = [[k for k in row if _stage(lay, lay.tubes[k]) == stage] for row in rows]
        order += [k for row in staged for k in row if left[k] is not None]
        to_lay = [[k for k in row if left[k] is None] for row in staged]
        found = turns([row for row in to_lay if row], *pairs)
        order += found.order
        moved |= found.moved
    return tuple(order), frozenset(moved)


def _stages(lay: Lay) -> tuple[str, ...]:
    return tuple(stage.name for stage in lay.reading.scene.stages)


def _stage(lay: Lay, tube: Tube) -> str | None:
    """Return the stage in which a tube is laid: the first where the scene does not say."""
    return tube.stage if tube.stage is not None else next(iter(_stages(lay)), None)


def _owners(lay: Lay, runs: Sequence[Run]) -> tuple[int, ...]:
    owner = {name: k for k, run in enumerate(runs) for name in run.tubes}
    return tuple(owner[tube.name] for tube in lay.tubes)


def brief(run: Run) -> str:
    """Return what a run is told as, without its way."""
    way = f" through {', then '.join(run.through)}" if run.through else " through no passage"
    return run.says.removesuffix(way)


def _held(order: Sequence[int], wholly: Before) -> dict[int, tuple[int, ...]]:
    """Return for each tube those that lie already when it goes in behind them."""
    turn = {tube: k for k, tube in enumerate(order)}
    held: dict[int, list[int]] = {tube: [] for tube in order}
    for one, other in wholly:
        if turn[other] < turn[one]:
            held[one].append(other)
    return {tube: tuple(sorted(others, key=lambda t: turn[t])) for tube, others in held.items()}


def _wound(
    order: Sequence[int], pairs: frozenset[tuple[int, int]], seen: Overlaps
) -> dict[int, tuple[tuple[int, float], ...]]:
    """Return for each tube those that lie already, that it is not wholly behind, and where it is behind."""
    turn = {tube: k for k, tube in enumerate(order)}
    wound: dict[int, list[tuple[int, float]]] = {tube: [] for tube in order}
    for one, other in sorted(pairs):
        later = one if turn[one] > turn[other] else other
        for place in without_slack(seen[one, other]):
            if (place.farther_mm > 0) == (later == one):
                along = place.along_first if later == one else place.along_second
                wound[later].append((other if later == one else one, along))
    return {tube: tuple(places) for tube, places in wound.items()}


def _step(work: _Work, index: int) -> Step:
    tube, first, stage = work.lay.tubes[index], work.firsts[index], _stage(work.lay, work.lay.tubes[index])
    left = work.left[index]
    if left is not None:
        return _left_step(work, index, left)
    length = float(work.lay.measured.lengths_mm[index])
    place = From(tube=tube, length_mm=length, first=first)
    later = _later(work, index)
    held = [other for other in work.held[index] if _is_in(work, other, stage)]
    freed = [other for other in held if _later(work, other)[-1] == index]
    passed = [one for some in work.passes for one in some.get(index, [])]
    return Step(
        tube=index,
        run=work.owners[index],
        run_number=work.numbers[work.owners[index]],
        stage=stage,
        first_end=first.says,
        at_start=first.at_start,
        through=_through(work.lay, index, first),
        passes=told_passes(passed, not first.at_start),
        length_mm=needed_mm(tube, length, work.lay.cabinet),
        look_out=(
            *_held_notes(work, held, freed, later),
            *_threaded_notes(work, [other for other in work.held[index] if other not in held]),
            *_wound_notes(work, index, place),
            *notes_on(work.lay, index, place),
        ),
        hold=tuple(held),
        open_until=later[-1] if later else None,
        moved=index in work.moved,
        left=None,
    )


def _left_step(work: _Work, index: int, left: Left) -> Step:
    first = work.firsts[index]
    return Step(
        tube=index,
        run=work.owners[index],
        run_number=work.numbers[work.owners[index]],
        stage=_stage(work.lay, work.lay.tubes[index]),
        first_end=first.says,
        at_start=first.at_start,
        through=_through(work.lay, index, first),
        passes=(),
        length_mm=None,
        look_out=(left.says, *notes_on_left(work.lay, index)),
        hold=(),
        open_until=None,
        moved=False,
        left=left,
    )


def _through(lay: Lay, index: int, first: FirstEnd) -> tuple[str, ...]:
    """Return the passages that a tube names, from its first end; none that its route keeps out of."""
    tube = lay.tubes[index]
    missed = {one.passage for one in lay.measured.crossings if one.tube == index and one.net == 0}
    through = tuple(name for name in tube.through if name not in missed)
    return through if first.at_start else through[::-1]


def _later(work: _Work, index: int) -> list[int]:
    """Return the tubes of the same stage for which one is held aside, in their order."""
    stage = _stage(work.lay, work.lay.tubes[index])
    return [one for one, others in work.held.items() if index in others and _is_in(work, one, stage)]


def _is_in(work: _Work, index: int, stage: str | None) -> bool:
    """Return whether a tube is laid in a stage."""
    return work.left[index] is None and _stage(work.lay, work.lay.tubes[index]) == stage


def _held_notes(work: _Work, held: Sequence[int], freed: Sequence[int], later: Sequence[int]) -> list[str]:
    """Return which tubes are held aside for one, which of them no longer, and until when it is itself."""
    notes = []
    if held:
        notes.append(f"hold {_tagged(work, held)} aside, towards you: this one goes in behind")
    if freed:
        ends = "its other end" if len(freed) == 1 else "their other ends"
        notes.append(f"once this one is in, let {_tagged(work, freed)} back, and put on {ends}")
    if later:
        notes.append(
            f"put on this end only and hold it aside, towards you, until {_tagged(work, later[-1:])} is in"
        )
    return notes


def _threaded_notes(work: _Work, others: Sequence[int]) -> list[str]:
    """Return that a tube has to be threaded behind some that lie there: of an earlier stage, or not laid."""
    stay = [other for other in others if work.left[other] is not None]
    earlier = [other for other in others if work.left[other] is None]
    notes = [f"thread it behind {_tagged(work, earlier)}, in since an earlier stage"] if earlier else []
    lies = "lies" if len(stay) == 1 else "lie"
    return [
        *notes,
        *([f"thread it behind {_tagged(work, stay)}, which {lies} there already"] if stay else []),
    ]


def _wound_notes(work: _Work, index: int, place: From) -> list[str]:
    """Return behind which tubes the free end is passed, in the order in which it comes to them."""
    told = sorted(work.wound[index], key=lambda told: place.along(told[1]))
    if not told:
        return []
    before = [f"{_tagged(work, [other])} at {as_mm(place.along(along), 0)}" for other, along in told[:-1]]
    other, along = told[-1]
    last = f"{_tagged(work, [other])} {place.says([along])}"
    behind = f"{', '.join(before)} and {last}" if before else last
    return [f"pass its free end behind {behind}"]


def _tagged(work: _Work, tubes: Sequence[int]) -> str:
    """Return tubes by their tags: ``tube 12``, ``tubes 3, 5 and 12``."""
    tags = [work.lay.tubes[tube].tag for tube in tubes]
    return f"tube {tags[0]}" if len(tags) == 1 else f"tubes {', '.join(tags[:-1])} and {tags[-1]}"
