"""Which passages does each tube go through? All are chosen at once; those for whom there is no way are told.

Which ways there are is asked in candidates.py, the choice itself is solved in allocation.py. Why there is
none is told by first_bends.py, refusals.py, thicknesses.py and fullness.py.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from shapely import Polygon

from routeviz.cabinet.passages import Passage
from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.packing import holds
from routeviz.planning.allocation import Allocation, allocate
from routeviz.planning.candidates import Candidates
from routeviz.planning.first_bends import refused_ends
from routeviz.planning.freespace import Grid
from routeviz.planning.fullness import full, taken
from routeviz.planning.obstacles import Obstacles
from routeviz.planning.reasons import joined
from routeviz.planning.refusals import refusal
from routeviz.planning.shortages import Shortage
from routeviz.planning.slots import places_in, roomy, standing_in
from routeviz.planning.stations import Stations
from routeviz.planning.thicknesses import (
    Thickness,
    among_their_own,
    areas,
    asked_by,
    candidates_by,
    common_outside,
    passing,
    shares_of,
    thicknesses_of,
    too_thick,
)
from routeviz.planning.untangling import Options, untangled
from routeviz.planning.ways import Room
from routeviz.tubes.plans import NoWay

CHANGE_MM = 60.0  # what it is worth that neighbours go the same way: the width of a hand less of tube

MOVE_MM = (
    300.0  # of tube that it is worth to leave one in its passages: an arm's length, not a turn of the case
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Earlier:
    """What is laid already.

    Parameters
    ----------
    taken : sequence of int
        How many other tubes go through each passage; none where not given.
    chains : mapping of sequence of (int, int)
        By tube, its passages and senses in an earlier plan, that are left only for a much shorter way.
    """

    taken: Sequence[int] = ()
    chains: Mapping[int, Sequence[tuple[int, int]]] = field(default_factory=dict)


NOTHING_LAID = Earlier()


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """What was chosen.

    Parameters
    ----------
    passages : tuple of Passage
        In the order of their numbers.
    asked : tuple of float
        What each passage's rim asks for.
    chosen : mapping of list of (int, int)
        By tube, passages in order and the sense in which each is gone through; none for tubes without a way.
    no_ways : tuple of NoWay
        Why not.
    allocation : Allocation
        With its cost and bound.
    """

    passages: tuple[Passage, ...]
    asked: tuple[float, ...]
    chosen: Mapping[int, list[tuple[int, int]]]
    no_ways: tuple[NoWay, ...]
    allocation: Allocation


def chosen_ways(
    cabinet: Cabinet,
    stations: Stations,
    passages: Sequence[Passage],
    grid: Grid,
    obstacles: Obstacles,
    earlier: Earlier = NOTHING_LAID,
) -> Choice:
    """Return the passages of every tube.

    Parameters
    ----------
    cabinet : Cabinet
        The case.
    stations : Stations
        The tubes.
    passages : sequence of Passage
        All of the case.
    grid : Grid
        Free space.
    obstacles : Obstacles
        What stands there.
    earlier : Earlier
        What is laid already.

    Returns
    -------
    choice : Choice
        For all tubes that have a way.
    """
    thicknesses = thicknesses_of(cabinet, stations, passages, grid, obstacles)
    refused = refused_ends(cabinet, stations, obstacles)
    every = _rather_as_they_lie(candidates_by(thicknesses, stations), earlier.chains)
    through = passing(every, thicknesses, [name for one in refused for name in one.tubes], stations)
    asked = tuple(asked_by(cabinet, passage) for passage in passages)
    used = earlier.taken or [0] * len(passages)
    rooms = [
        _less(_room(cabinet, passage, stations, least, obstacles, one), one)
        for passage, least, one in zip(passages, asked, used, strict=True)
    ]
    options = Options(
        stations=stations,
        passages=passages,
        candidates=among_their_own(through, thicknesses, rooms) if len(thicknesses) > 1 else through,
        rooms=rooms,
        sizes=shares_of(stations, through.ways, rooms),
        chains=_chains(stations),
        change_mm=CHANGE_MM,
    )
    allocation = _allocated(options, rooms)
    if allocation.beyond_found or allocation.shortages:
        # What is not proven impossible cannot be laid for that: now only places that were found are filled.
        sure = [
            replace(room, bound=_packed(passage, cabinet, stations, obstacles, (room, one)))
            for passage, room, one in zip(passages, rooms, used, strict=True)
        ]
        options = replace(
            options, rooms=[replace(r, found=s.bound) for r, s in zip(rooms, sure, strict=True)]
        )
        allocation = _more_proven(_allocated(options, sure), allocation.shortages)
    return Choice(
        passages=tuple(passages),
        asked=asked,
        chosen=_chosen(untangled(allocation.choices, options), through),
        no_ways=joined([*refused, *_without_way(options, allocation, every, thicknesses, refused)], stations),
        allocation=allocation,
    )


def _rather_as_they_lie(candidates: Candidates, lying: Mapping[int, Sequence[tuple[int, int]]]) -> Candidates:
    """Return candidates in which all ways cost more but those that tubes lie in."""
    ways = [list(own) for own in candidates.ways]
    for tube, chain in lying.items():
        through = tuple(passage for passage, _ in chain)
        ways[tube] = [
            way if way.passages == through else replace(way, cost=way.cost + MOVE_MM) for way in ways[tube]
        ]
    return replace(candidates, ways=tuple(tuple(own) for own in ways))


def _chosen(choices: Sequence[int], candidates: Candidates) -> dict[int, list[tuple[int, int]]]:
    return {
        tube: list(zip(candidates.ways[tube][way].passages, candidates.senses[tube][way], strict=True))
        for tube, way in enumerate(choices)
        if way >= 0
    }


def _less(room: Room, used: int) -> Room:
    """Return what a room still holds beside tubes that are laid already."""
    most = None if room.most is None else max(room.most - used, 0)
    return replace(room, found=max(room.found - used, 0), bound=max(room.bound - used, 0), most=most)


def _allocated(options: Options, rooms: Sequence[Room]) -> Allocation:
    return allocate(options.candidates.ways, rooms, options.chains, change_mm=CHANGE_MM, sizes=options.sizes)


def _room(
    cabinet: Cabinet,
    passage: Passage,
    stations: Stations,
    asked: float,
    obstacles: Obstacles,
    used: int,
) -> Room:
    """Return what a passage holds of the common tube with room to spare, where nothing stands before it."""
    count = math.ceil(areas(stations).sum()) + used
    outside, gap = common_outside(stations), cabinet.limits.tubes_mm
    packing = holds(Polygon(passage.outline), outside, clearance=asked, gap=gap, enough=count)
    # Tubes that must keep apart take up as much as thicker ones that are allowed nearer to the rim.
    free = roomy(passage, packing.bound, outside + gap, asked - gap / 2, obstacles)
    found = free if packing.found >= count else min(packing.found, free)
    return Room(name=passage.name, found=found, bound=packing.bound, most=passage.most)


def _packed(
    passage: Passage, cabinet: Cabinet, stations: Stations, obstacles: Obstacles, known: tuple[Room, int]
) -> int:
    """Return how many places a passage has for the common tube beside those in use, packed tightly."""
    room, used = known
    wanted = min(room.limit, math.ceil(areas(stations).sum())) + used
    outside, gap, asked = common_outside(stations), cabinet.limits.tubes_mm, asked_by(cabinet, passage)
    places = places_in(passage, wanted, outside + gap, asked - gap / 2, obstacles)
    return max(room.found, min(len(places) - used, room.bound))


def _chains(stations: Stations) -> list[list[int]]:
    """Return tubes in the order of their nipples at the start, row after row along its longest direction."""
    groups: dict[str, list[int]] = {}
    for tube, part in enumerate(stations.parts):
        if part:
            groups.setdefault(part, []).append(tube)
    chains = []
    for _, own in sorted(groups.items()):
        tips = stations.tips[own, 0]
        along = int(np.argmax(np.ptp(tips, axis=0)))
        order = np.lexsort([tips[:, (along + 2) % 3], tips[:, (along + 1) % 3], tips[:, along]])
        chains.append([own[i] for i in order])
    return chains


def _more_proven(allocation: Allocation, proven: Sequence[Shortage]) -> Allocation:
    """Return a choice with proofs by what passages hold at most before those by places that were found."""
    known = {tube for one in proven for tube in one.tubes}
    others = [one for one in allocation.shortages if not known & {*one.tubes}]
    return replace(allocation, shortages=(*proven, *others))


def _without_way(
    options: Options,
    allocation: Allocation,
    every: Candidates,
    thicknesses: Sequence[Thickness],
    refused: Sequence[NoWay],
) -> list[NoWay]:
    """Say why tubes have no way: passages that are full, or too small for them, or lead nowhere."""
    names = options.stations.names
    before = {name for one in refused for name in one.tubes}
    left = [tube for tube, way in enumerate(allocation.choices) if way < 0 and names[tube] not in before]
    told = []
    for shortage in allocation.shortages:
        short = [tube for tube in left if tube in shortage.tubes]
        left = [tube for tube in left if tube not in short]
        case = thicknesses[0].case
        passage = options.passages[shortage.blamed]
        asked, outside = asked_by(case.cabinet, passage), common_outside(options.stations)
        beside = standing_in(passage, outside, asked, case.obstacles)
        told += [full(shortage, [names[tube] for tube in short], options, beside)] if short else []
    for tube in left:
        thickness = next(one for one in thicknesses if tube in one.tubes)
        rooms = int(every.rooms[tube, 0]), int(every.rooms[tube, 1])
        if options.candidates.ways[tube]:
            told.append(taken(options, tube))
        elif every.ways[tube]:
            told.append(too_thick(thickness, names[tube], every.ways[tube]))
        else:
            told.append(refusal(thickness.case, options.stations, tube, rooms))
    return told
