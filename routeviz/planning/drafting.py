"""A draft of the tubes: where their strings lie while they are laid, and what is wanted about each.

How they are laid is in planner.py; which tubes of an earlier plan lie where they lay, in waking.py.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.arrays import Floats, Ints
from routeviz.planning.carrying_over import Carried
from routeviz.planning.choosing import Choice
from routeviz.planning.dealing import Gate
from routeviz.planning.easing import NOTHING_DRAWN, Drawn
from routeviz.planning.freespace import Grid
from routeviz.planning.obstacles import Obstacles
from routeviz.planning.relaxing import FINE, Level, State, Still, strings_of
from routeviz.planning.stations import Stations
from routeviz.planning.steps import Step, Trouble
from routeviz.planning.still import still_of
from routeviz.planning.strings import Strings, along_string, carried
from routeviz.planning.threading import Stretch
from routeviz.planning.waking import LEFT_MM, Lying, followed_by, stretches_along
from routeviz.tubes.plans import PlannedTube
from routeviz.tubes.routes import Tube

MORE_BEND = 1.01  # by which a bend that came out too tight is aimed at more gently
MOST_GAP_MM = 3.0  # more room than that about a tube is asked for by no number of turns
MORE_MM = 0.15  # by which more is asked for than was lacking: some of it is given away again
LOUDER_MM = 0.2  # by which at most more is asked for than was asked for before
ABOUT_MM = 25.0  # either way of a place where room is lacking, in which more of it is asked for
AT_REST = 0.13  # gap, to tubes and to things, of a tube that lay there before: it is not pushed for more


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """What is to be laid, and what it must get past.

    Of an earlier plan (``is_again``) some tubes are lying where they lay, by the stations' number. ``afresh``
    plans without it.
    """

    cabinets: Sequence[Cabinet]
    tubes: Sequence[Tube]
    obstacles: Obstacles
    stations: Stations
    grid: Grid
    still: Still
    choice: Choice
    taken: tuple[Floats, ...]
    carried: Carried
    lying: Mapping[int, Lying]
    is_again: bool
    afresh: Callable[[], Iterator[Step]]

    @property
    def kept(self) -> tuple[PlannedTube, ...]:
        """Return the tubes that lie as they were planned."""
        return tuple(one.one for one in self.lying.values())

    @property
    def laid(self) -> tuple[Tube, ...]:
        """Return all tubes, those that lie with their centrelines."""
        here = {int(self.stations.indices[tube]) for tube in self.lying}
        both = zip(self.tubes, self.carried.tubes, strict=True)
        return tuple(as_planned if n in here else tube for n, (tube, as_planned) in enumerate(both))


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
    gaps : array, shape (2, n)
        What is to be free about each point to tubes and to things.
    turns : tuple of int
        For each string how often the checks have found something wrong with it.
    woken : mapping of (Lying, array of shape (k, 3))
        By the string's number, tubes that lay and may stay as they were, and where their points began.
    drawn : mapping
        What was last drawn of them, as ``easing.with_few_corners`` returns it.
    """

    own: tuple[int, ...]
    gates: dict[int, list[Gate]]
    strings: Strings
    gaps: Floats
    turns: tuple[int, ...]
    woken: Mapping[int, tuple[Lying, Floats]]
    drawn: Drawn


def drafted(
    task: Task,
    own: tuple[int, ...],
    gates: dict[int, list[Gate]],
    strands: Sequence[Sequence[Stretch]],
    level: Level,
    wide: tuple[float, float],
) -> Draft:
    """Return a draft of strings drawn at a level, with as much wanted about them to tubes and to things."""
    strings = strings_of(strands, task.stations, own, level.step_mm, task.still)
    gaps = np.stack([np.where(strings.owners < len(own), one, AT_REST) for one in wide])
    turns = (0,) * len(own)
    return Draft(own=own, gates=gates, strings=strings, gaps=gaps, turns=turns, woken={}, drawn=NOTHING_DRAWN)


def redrawn(task: Task, draft: Draft, strands: Sequence[Sequence[Stretch]], level: Level) -> Draft:
    """Return a draft with its strings drawn anew at a level, what is wanted about them kept."""
    strings = strings_of(strands, task.stations, draft.own, level.step_mm, task.still)
    gaps = np.stack([carried(one, draft.strings, strings) for one in draft.gaps])
    return replace(draft, strings=strings._replace(bends=draft.strings.bends), gaps=gaps)


def woken(task: Task, draft: Draft, tubes: Sequence[int]) -> tuple[Task, Draft]:
    """Return a task in which some tubes lie no longer, and a draft in which they are strings.

    Parameters
    ----------
    task, draft
        As it stands.
    tubes : sequence of int
        By the stations' number, of those that lie.

    Returns
    -------
    task, draft
        Strings that there were already are as they were, and the new ones follow.
    """
    if not tubes:
        return task, draft
    lying = {tube: one for tube, one in task.lying.items() if tube not in tubes}
    lines = {tube: one.line for tube, one in lying.items()}
    still = still_of(task.cabinets[-1], task.tubes, task.stations, lines)
    strands = [stretches_along(task.lying[tube], task.stations, tube) for tube in tubes]
    count, more = len(draft.own), strings_of(strands, task.stations, tubes, FINE.step_mm, still)
    strings = followed_by(draft.strings, count, more)
    begun = {
        count + n: (task.lying[tube], more.points[more.firsts[n] : more.firsts[n + 1]].copy())
        for n, tube in enumerate(tubes)
        if task.lying[tube].stays
    }
    gaps = np.full((2, len(strings.points)), AT_REST)
    points = int(draft.strings.firsts[count])
    gaps[:, :points] = draft.gaps[:, :points]
    draft = Draft(
        own=(*draft.own, *tubes),
        gates={**draft.gates, **{tube: list(task.lying[tube].gates) for tube in tubes}},
        strings=strings,
        gaps=gaps,
        turns=(*draft.turns, *[0] * len(tubes)),
        woken={**draft.woken, **begun},
        drawn=draft.drawn,
    )
    return replace(task, lying=lying, still=still), draft


def left_alone(draft: Draft) -> dict[str, PlannedTube]:
    """Return the tubes that were woken and stayed where they lay."""
    found = {}
    for number, (one, began) in draft.woken.items():
        points = draft.strings.points[draft.strings.firsts[number] : draft.strings.firsts[number + 1]]
        if len(points) == len(began) and np.linalg.norm(points - began, axis=1).max() <= LEFT_MM:
            found[one.one.name] = one.one
    return found


def widened(draft: Draft, state: State, wrong: Sequence[tuple[int, Trouble]]) -> Draft:
    """Return a draft in which more is wanted where something is wrong: what is there, and what it lacks."""
    strings, gaps, turns = draft.strings, draft.gaps.copy(), list(draft.turns)
    bends = strings.bends.copy()
    for number in {number for number, _ in wrong}:
        turns[number] += 1
    for number, trouble in wrong:
        if trouble.rule == "kink":
            bends[number] *= MORE_BEND
            continue
        kind = 0 if trouble.rule == "squeeze" else 1
        there, lacks = _near(strings, number, trouble.along_mm), trouble.lacks_mm + MORE_MM
        # What was asked for and is not given is asked for again, a little louder.
        wanted = max(
            float(state.rooms[there, kind].min()) + lacks,
            float(gaps[kind, there].max()) + min(lacks, LOUDER_MM),
        )
        gaps[kind, there] = np.maximum(gaps[kind, there], min(wanted, MOST_GAP_MM))
    fresh = strings._replace(points=strings.points.copy(), bends=bends)
    troubled = {number for number, _ in wrong}
    woken = {number: one for number, one in draft.woken.items() if number not in troubled}
    drawn = {tube: one for tube, one in draft.drawn.items() if draft.own.index(tube) not in troubled}
    return replace(draft, strings=fresh, gaps=gaps, turns=tuple(turns), woken=woken, drawn=drawn)


def _near(strings: Strings, number: int, along_mm: float) -> Ints:
    """Return the points of a string about a place along it."""
    along = along_string(strings, number)
    at = along[_at(along, along_mm)]
    return np.asarray(strings.firsts[number] + np.nonzero(np.abs(along - at) <= ABOUT_MM)[0])


def place_of(draft: Draft, number: int, along_mm: float) -> Floats:
    """Return the point of a string so far along it."""
    at = _at(along_string(draft.strings, number), along_mm)
    return np.asarray(draft.strings.points[draft.strings.firsts[number] + at])


def _at(along: Floats, along_mm: float) -> int:
    return min(int(np.searchsorted(along, along_mm)), len(along) - 1)
