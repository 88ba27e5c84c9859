"""How reasons for which tubes cannot be laid are put into words: tubes of one cause are told of together.

A reason is written for one tube, with marks where its nipples are named; what is filled in for them are the
nipples of all tubes that have the same cause.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from routeviz.planning.stations import Stations
from routeviz.scene.ranges import in_short
from routeviz.tubes.plans import NoWay

# In place of the nipples at a tube's start and end, of "is" or "are" after them, and of what is there in mm.
START, END, ARE, THERE = "\ue000", "\ue001", "\ue002", "\ue003"  # no font has them, nor has a scene
MOST_NAMED = 4  # groups of nipples that are written out

Ends = tuple[str, str]


def joined(told: Sequence[NoWay], stations: Stations) -> tuple[NoWay, ...]:
    """Return reasons with all that is marked filled in, those of one cause once, with all their tubes.

    Parameters
    ----------
    told : sequence of NoWay
        One tube each where something is marked.
    stations : Stations
        The tubes.

    Returns
    -------
    no_ways : tuple of NoWay
        No tube twice; of several places and measures the one of the tube that lacks most.
    """
    ends = dict(zip(stations.names, stations.ends, strict=True))
    order = {name: number for number, name in enumerate(stations.names)}
    groups: dict[tuple[str, ...], list[NoWay]] = {}
    for one in sorted(told, key=lambda one: order[one.tubes[0]]):
        both = ends[one.tubes[0]]
        # Tubes from one part to another are told of apart from those between others.
        stems = [_parted(end)[0] for mark, end in zip((START, END), both, strict=True) if mark in one.cause]
        groups.setdefault((one.cause, one.frees, *stems), []).append(one)
    return tuple(_together(own, ends) for own in groups.values())


def side_of(side: int) -> str:
    """Return the mark for the nipple at a tube's start (0) or end (1)."""
    return (START, END)[side]


def _together(own: Sequence[NoWay], ends: dict[str, Ends]) -> NoWay:
    """Return the reason of several tubes."""
    tubes = tuple(dict.fromkeys(name for one in own for name in one.tubes))
    worst = max(own, key=_lacks)
    there = sorted({round(abs(one.there), 1) + 0.0 for one in own if one.there is not None})
    starts, stops = ([ends[name][side] for name in tubes] for side in (0, 1))
    marks = {
        START: in_groups(starts),
        END: in_groups(stops),
        ARE: "is" if len(tubes) == 1 else "are",
        THERE: " to ".join(f"{value:g}" for value in there[:: max(len(there) - 1, 1)]),
    }
    cause, frees = worst.cause, worst.frees
    for mark, words in marks.items():
        cause, frees = cause.replace(mark, words), frees.replace(mark, words)
    return replace(worst, tubes=tubes, cause=cause, frees=frees)


def _lacks(one: NoWay) -> float:
    return 0.0 if one.wanted is None or one.there is None else one.wanted - one.there


def in_groups(names: Sequence[str]) -> str:
    """Return the names of nipples, those of a part together: ``stack 1-4, 7 and pump 1``."""
    numbers: dict[str, list[int]] = {}
    for name in dict.fromkeys(names):
        stem, number = _parted(name)
        numbers.setdefault(stem, []).extend([] if number is None else [number])
    words = [f"{stem} {_told(some)}" if some else stem for stem, some in numbers.items()]
    more = len(words) - MOST_NAMED
    return listed(words if more <= 0 else [*words[:MOST_NAMED], f"{more} others"])


def _told(numbers: Sequence[int]) -> str:
    return in_short(tuple(sorted(numbers))).replace("..", "-")


def _parted(name: str) -> tuple[str, int | None]:
    stem, _, last = name.rpartition(" ")
    return (stem, int(last)) if stem and last.isdecimal() else (name, None)


def listed(names: Sequence[str]) -> str:
    """Return names as a row of words."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def short(value: float) -> str:
    """Return a number as it is told: to a tenth, without a zero at its end."""
    return f"{round(value, 1) + 0.0:g}"


def at_tip(stations: Stations, tube: int, side: int, cause: str, frees: str) -> NoWay:
    """Return a reason that is told at one of a tube's nipples.

    Parameters
    ----------
    stations : Stations
        The tubes.
    tube, side : int
        Which, and 0 for its start, 1 for its end.
    cause, frees : str
        In words, with marks.

    Returns
    -------
    reason : NoWay
        Of this tube alone.
    """
    point = np.asarray(stations.tips[tube, side])
    return NoWay(tubes=(stations.names[tube],), passage=None, point=point, cause=cause, frees=frees)
