"""Which passages does each tube go through? All are chosen at once; those for whom there is no way are told.

Which ways there are is asked in candidates.py, the choice itself is solved in allocation.py.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from shapely import Polygon

from routeviz.cabinet.passages import Passage
from routeviz.cabinet.solids import Cabinet, asked_mm
from routeviz.geometry.packing import holds
from routeviz.planning.allocation import Allocation, allocate
from routeviz.planning.candidates import Candidates, candidates_of
from routeviz.planning.freespace import Grid
from routeviz.planning.mouths import mouths_of
from routeviz.planning.obstacles import Obstacles
from routeviz.planning.shortages import Shortage
from routeviz.planning.slots import roomy
from routeviz.planning.stations import Stations
from routeviz.planning.untangling import Options, untangled
from routeviz.planning.ways import Room
from routeviz.tubes.plans import NoWay

CHANGE_MM = 60.0  # what it is worth that neighbours go the same way: the width of a hand less of tube


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

    Returns
    -------
    choice : Choice
        For all tubes that have a way.
    """
    mouths = mouths_of(passages, grid)
    candidates = candidates_of(stations, passages, mouths, grid)
    asked = tuple(_asked(cabinet, passage) for passage in passages)
    rooms = [
        _room(cabinet, passage, stations, least, obstacles)
        for passage, least in zip(passages, asked, strict=True)
    ]
    chains = _chains(stations)
    allocation = allocate(candidates.ways, rooms, chains, change_mm=CHANGE_MM)
    options = Options(
        stations=stations,
        passages=passages,
        candidates=candidates,
        rooms=rooms,
        sizes=np.ones(len(stations.names)),
        chains=chains,
        change_mm=CHANGE_MM,
    )
    choices = untangled(allocation.choices, options)
    chosen = {}
    for tube, way in enumerate(choices):
        if way >= 0:
            through = candidates.ways[tube][way].passages
            chosen[tube] = list(zip(through, candidates.senses[tube][way], strict=True))
    return Choice(
        passages=tuple(passages),
        asked=asked,
        chosen=chosen,
        no_ways=_no_ways(stations, passages, candidates, allocation, rooms),
        allocation=allocation,
    )


def _asked(cabinet: Cabinet, passage: Passage) -> float:
    if passage.solid is None:
        return cabinet.limits.fixed_mm
    return asked_mm(cabinet, cabinet.solids[passage.solid])


def _room(cabinet: Cabinet, passage: Passage, stations: Stations, asked: float, obstacles: Obstacles) -> Room:
    """Return what a passage holds of the common tube; a place counts only where nothing stands before it."""
    count = len(stations.names)
    outside = 2 * float(np.median(stations.radii)) if count else 1.0
    packing = holds(
        Polygon(passage.outline), outside, clearance=asked, gap=cabinet.limits.tubes_mm, enough=count
    )
    free = roomy(passage, count, outside, asked, obstacles)
    return Room(name=passage.name, found=min(packing.found, free), bound=packing.bound, most=passage.most)


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


def _no_ways(
    stations: Stations,
    passages: Sequence[Passage],
    candidates: Candidates,
    allocation: Allocation,
    rooms: Sequence[Room],
) -> tuple[NoWay, ...]:
    """Say why tubes have no way: walled in, no chain of passages, or passages that are full."""
    left = [tube for tube, way in enumerate(allocation.choices) if way < 0]
    told: list[NoWay] = []
    for shortage in allocation.shortages:
        short = [tube for tube in left if tube in shortage.tubes]
        left = [tube for tube in left if tube not in short]
        told.append(_full(shortage, short, stations, passages, rooms))
    for tube in left:
        told.append(_alone(tube, stations, candidates))
    return tuple(told)


def _full(
    shortage: Shortage,
    short: Sequence[int],
    stations: Stations,
    passages: Sequence[Passage],
    rooms: Sequence[Room],
) -> NoWay:
    blamed = passages[shortage.blamed]
    others = [passages[p].name for p in shortage.passages if p != shortage.blamed]
    beside = f", with {', '.join(others)} full" if others else ""
    return NoWay(
        tubes=tuple(stations.names[tube] for tube in short),
        passage=blamed.name,
        point=blamed.origin,
        cause=f"{blamed.name} is full: {shortage.must} of {len(shortage.tubes)} tubes must go through it"
        f"{beside}; it holds at most {shortage.at_most}",
        frees=f"make {blamed.name} larger, or open another way for {shortage.must - shortage.at_most}",
        wanted=float(shortage.must),
        there=float(shortage.at_most),
        unit="tubes",
    )


def _alone(tube: int, stations: Stations, candidates: Candidates) -> NoWay:
    name = stations.names[tube]
    shut = [end for end in (0, 1) if candidates.rooms[tube, end] == 0]
    if shut:
        end = shut[0]
        return NoWay(
            tubes=(name,),
            passage=None,
            point=stations.tips[tube, end],
            cause=f"its {'start' if end == 0 else 'end'} is walled in: no room for the tube's first bend",
            frees=f"clear the space before it: {stations.bends[tube]:.0f} mm for a bend",
            wanted=float(stations.bends[tube]),
            unit="mm",
        )
    if not candidates.ways[tube]:
        pinned = ", ".join(stations.pinned[tube])
        named = f" by way of {pinned}" if pinned else ""
        return NoWay(
            tubes=(name,),
            passage=stations.pinned[tube][0] if pinned else None,
            point=stations.tips[tube, 0],
            cause=f"no passages lead from its start to its end{named}",
            frees="name other passages for it" if pinned else "open a passage between them",
        )
    return NoWay(
        tubes=(name,),
        passage=None,
        point=stations.tips[tube, 0],
        cause="all passages that it could take are taken",
        frees="make a passage larger, or let fewer tubes go that way",
    )
