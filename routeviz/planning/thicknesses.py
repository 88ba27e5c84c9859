"""What could tubes of each thickness do, and what do they take of a passage?

The common tube is the one in the middle by thickness: passages are counted in it, and thinner ones take as
much, for what a passage surely holds is told by its thickest (tubes/holding.py). Thicker ones find their ways
by free space of their own.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import Polygon

from routeviz.cabinet.passages import Passage
from routeviz.cabinet.solids import Cabinet, asked_mm
from routeviz.geometry.arrays import Floats, Ints, frozen_ints
from routeviz.geometry.packing import holds
from routeviz.planning.candidates import Candidates, candidates_of
from routeviz.planning.freespace import Grid, for_radius
from routeviz.planning.mouths import mouths_of
from routeviz.planning.obstacles import Obstacles
from routeviz.planning.reasons import short
from routeviz.planning.refusals import Case
from routeviz.planning.slots import roomy
from routeviz.planning.stations import Stations, only
from routeviz.planning.ways import Room, Way
from routeviz.tubes.plans import NoWay

ALIKE_MM = (
    0.05  # by which tubes may be thicker than another and still count as it: half of what tubing varies by
)
# What it costs a thick tube to go among common ones, for each of them that the passage then holds less: as
# much as a nearly full passage costs a tube (allocation.FULLNESS), a finger's breadth.
PLACE_MM = 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Thickness:
    """Tubes of about one thickness, and what they find."""

    tubes: Ints
    outside_mm: float
    case: Case


def common_outside(stations: Stations) -> float:
    """Return the outside diameter of the common tube; 1 where there is none."""
    return 2 * float(np.median(stations.radii)) if len(stations.names) else 1.0


def asked_by(cabinet: Cabinet, passage: Passage) -> float:
    """Return what a passage's rim asks for."""
    if passage.solid is None:
        return cabinet.limits.fixed_mm
    return asked_mm(cabinet, cabinet.solids[passage.solid])


def thicknesses_of(
    cabinet: Cabinet, stations: Stations, passages: Sequence[Passage], grid: Grid, obstacles: Obstacles
) -> list[Thickness]:
    """Return the tubes by thickness: those up to the common one together, then each thicker kind.

    Parameters
    ----------
    cabinet, stations, passages, obstacles
        The tubes, and what lies between their ends.
    grid : Grid
        Free space for the common tube.

    Returns
    -------
    thicknesses : list of Thickness
        Every tube in one.
    """
    common = common_outside(stations)
    outsides = np.maximum(2 * stations.radii, common)
    outsides[outsides < common + ALIKE_MM] = common
    found = []
    for outside in sorted(set(outsides.tolist())):
        own = grid if outside == common else for_radius(grid, outside / 2)
        case = Case(
            cabinet=cabinet,
            passages=passages,
            mouths=mouths_of(passages, own),
            grid=own,
            obstacles=obstacles,
        )
        tubes = frozen_ints(np.flatnonzero(outsides == outside))
        found.append(Thickness(tubes=tubes, outside_mm=outside, case=case))
    return found


def candidates_by(thicknesses: Sequence[Thickness], stations: Stations) -> Candidates:
    """Return what each tube could do, in the order of the stations, whatever passages hold."""
    count = len(stations.names)
    ways: list[tuple[Way, ...]] = [()] * count
    senses: list[tuple[tuple[int, ...], ...]] = [()] * count
    rooms = np.zeros((count, 2), dtype=np.int64)
    for thickness in thicknesses:
        case = thickness.case
        own = candidates_of(only(stations, thickness.tubes), case.passages, case.mouths, case.grid)
        for number, tube in enumerate(thickness.tubes.tolist()):
            ways[tube], senses[tube], rooms[tube] = own.ways[number], own.senses[number], own.rooms[number]
    return Candidates(ways=tuple(ways), senses=tuple(senses), rooms=frozen_ints(rooms))


def passing(
    candidates: Candidates, thicknesses: Sequence[Thickness], refused: Sequence[str], stations: Stations
) -> Candidates:
    """Return only ways through passages that hold one such tube, and none for tubes refused before."""
    ways, senses = [*candidates.ways], [*candidates.senses]
    for thickness in thicknesses:
        numbers = range(len(thickness.case.passages))
        narrow = {number for number in numbers if not _passes(thickness, number)}
        for tube in thickness.tubes.tolist():
            may = stations.names[tube] not in refused
            fit = [
                number
                for number, way in enumerate(candidates.ways[tube])
                if may and narrow.isdisjoint(way.passages)
            ]
            ways[tube] = tuple(candidates.ways[tube][number] for number in fit)
            senses[tube] = tuple(candidates.senses[tube][number] for number in fit)
    return replace(candidates, ways=tuple(ways), senses=tuple(senses))


def _passes(thickness: Thickness, number: int) -> bool:
    """Return whether a passage holds one such tube."""
    passage = thickness.case.passages[number]
    asked = asked_by(thickness.case.cabinet, passage)
    return holds(Polygon(passage.outline), thickness.outside_mm, clearance=asked, enough=1).found > 0


def too_thick(thickness: Thickness, name: str, ways: Sequence[Way]) -> NoWay:
    """Return why a tube has no way, all of whose ways go through a passage that does not hold it.

    Parameters
    ----------
    thickness : Thickness
        The tube's.
    name : str
        The tube's.
    ways : sequence of Way
        What it would have if it were thin.

    Returns
    -------
    refusal : NoWay
        By the passage that lets most through.
    """
    passages, cabinet = thickness.case.passages, thickness.case.cabinet
    narrow = sorted({p for way in ways for p in way.passages if not _passes(thickness, p)})
    wide = [_inner_width(passages[p]) for p in narrow]
    best = int(np.argmax([w - 2 * asked_by(cabinet, passages[p]) for w, p in zip(wide, narrow, strict=True)]))
    passage, width = passages[narrow[best]], wide[best]
    asked = asked_by(cabinet, passage)
    lets = max(width - 2 * asked, 0.0)
    return NoWay(
        tubes=(name,),
        passage=passage.name,
        point=passage.origin,
        cause=f"the tube is {short(thickness.outside_mm)} mm thick, and {passage.name} lets {short(lets)} mm "
        f"through ({short(width)} less twice {short(asked)})",
        frees=f"take a thinner tubing or another passage, or make {passage.name} larger",
        wanted=thickness.outside_mm,
        there=lets,
        unit="mm",
    )


def _inner_width(passage: Passage) -> float:
    """Return the diameter of the largest circle within an outline, to a hundredth of a millimetre."""
    radius = shapely.maximum_inscribed_circle(Polygon(passage.outline), tolerance=0.005)
    return 2 * float(shapely.length(radius))


def shares_of(stations: Stations, ways: Sequence[Sequence[Way]], rooms: Sequence[Room]) -> Floats:
    """Return what each tube takes of a passage, in common tubes.

    By area: equal circles fill about the same share of an opening whatever their size. No tube takes more
    than the smallest passage has that holds it at all: one cut just for it may hold few common ones.

    Parameters
    ----------
    stations : Stations
        The tubes.
    ways : sequence of sequence of Way
        Theirs, through passages that hold them.
    rooms : sequence of Room
        What the passages hold.

    Returns
    -------
    sizes : array, shape (n,)
        1 for the common tube and thinner ones.
    """
    sizes = areas(stations)
    for tube in np.flatnonzero(sizes > 1.0).tolist():
        smallest = min((rooms[p].sure for way in ways[tube] for p in way.passages), default=np.inf)
        sizes[tube] = max(1.0, min(sizes[tube], float(smallest)))
    return sizes


def areas(stations: Stations) -> Floats:
    """Return each tube's section in common tubes, at least 1."""
    common = common_outside(stations)
    thick = 2 * stations.radii >= common + ALIKE_MM
    return np.where(thick, (2 * stations.radii / common) ** 2, 1.0)


def among_their_own(
    candidates: Candidates, thicknesses: Sequence[Thickness], rooms: Sequence[Room]
) -> Candidates:
    """Return the same ways, dearer for thick tubes where they would take places from common ones.

    Parameters
    ----------
    candidates : Candidates
        Ways through passages that hold the tubes.
    thicknesses : sequence of Thickness
        The common ones first.
    rooms : sequence of Room
        What the passages hold of the common tube.

    Returns
    -------
    candidates : Candidates
        With ``PLACE_MM`` for each place that a passage has less for them.
    """
    common, *thicker = thicknesses
    used = {p for tube in common.tubes.tolist() for way in candidates.ways[tube] for p in way.passages}
    ways = [*candidates.ways]
    for thickness in thicker:
        own = {p for tube in thickness.tubes.tolist() for way in ways[tube] for p in way.passages}
        lost = {p: PLACE_MM * _places_lost(thickness, p, rooms[p]) for p in sorted(own & used)}
        for tube in thickness.tubes.tolist():
            ways[tube] = tuple(
                replace(way, cost=way.cost + sum(lost.get(p, 0.0) for p in way.passages))
                for way in candidates.ways[tube]
            )
    return replace(candidates, ways=tuple(ways))


def _places_lost(thickness: Thickness, number: int, room: Room) -> int:
    case = thickness.case
    passage = case.passages[number]
    asked = asked_by(case.cabinet, passage)
    return room.found - roomy(passage, room.found, thickness.outside_mm, asked, case.obstacles)
