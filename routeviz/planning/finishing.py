"""From strings of many points to what a plan says: few corners with radii, ties, runs."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.arrays import Floats, frozen
from routeviz.geometry.corners import corner_turns
from routeviz.geometry.curves import rounded_polyline
from routeviz.planning.easing import NOTHING_DRAWN, Drawn, Route, with_few_corners
from routeviz.planning.reasons import THERE, joined, listed
from routeviz.planning.relaxing import State
from routeviz.planning.runs import Going, runs_of
from routeviz.planning.stations import Stations
from routeviz.planning.strings import Strings, without
from routeviz.planning.tying import ties_for
from routeviz.scene.description import MOST_POINTS
from routeviz.tubes.plans import NoWay, Plan, PlannedTube, Run
from routeviz.tubes.routes import Tube

SHARPEST = math.radians(110)  # the sharpest turn of which geometry/merging.py takes a string


def finished(
    cabinets: Sequence[Cabinet],
    tubes: Sequence[Tube],
    stations: Stations,
    laid: tuple[Strings, State, Sequence[int], Drawn],
    through: Mapping[int, tuple[str, ...]],
    no_ways: Sequence[NoWay],
) -> tuple[Plan, Drawn]:
    """Return strings as a plan, and what was drawn of them.

    Parameters
    ----------
    cabinets : sequence of Cabinet
        The stages.
    tubes : sequence of Tube
        All tubes of the lay.
    stations : Stations
        Those to be planned.
    laid : tuple
        Their strings, what is free about them, for each string which of the stations' tubes it is, and what
        was drawn of them before.
    through : mapping
        Passages by the stations' tube.
    no_ways : sequence of NoWay
        What could not be laid.

    Returns
    -------
    plan : Plan
        In the order of the file.
    drawn : mapping
        As ``easing.with_few_corners`` returns it.
    """
    strings, state, every, before = laid
    back = _doubling_back(strings, len(every))
    others, points = without(strings, back)
    rest = [tube for number, tube in enumerate(every) if number not in back]
    left, apart_mm = State(rooms=state.rooms[points]), cabinets[-1].limits.tubes_mm
    found = with_few_corners(others, left, stations, rest, apart_mm, before) if rest else NOTHING_DRAWN
    drawn = {tube: route for tube, (_, route) in found.items() if len(route[0]) <= MOST_POINTS}
    told = [
        _too_tight(strings, state, stations, (tube, number), through[tube])
        for number, tube in enumerate(every)
        if tube not in drawn
    ]
    no_ways = [*no_ways, *joined(told, stations)]
    planned = _tied(cabinets, tubes, stations, drawn, through)
    return Plan(tubes=tuple(planned), no_ways=tuple(no_ways), runs=_runs(tubes, planned)), found


def _tied(
    cabinets: Sequence[Cabinet],
    tubes: Sequence[Tube],
    stations: Stations,
    drawn: Mapping[int, Route],
    through: Mapping[int, tuple[str, ...]],
) -> list[PlannedTube]:
    """Return the tubes that were drawn, with ties where they would hang."""
    own, routes = list(drawn), list(drawn.values())
    shaped = []
    for tube, (corners, radii) in zip(own, routes, strict=True):
        shaped.append(
            replace(
                tubes[int(stations.indices[tube])],
                corners=corners,
                radii=radii,
                curve=rounded_polyline(corners, radii),
                through=through[tube],
            )
        )
    beside = [tube for tube in tubes if tube.curve is not None]
    ties = ties_for(cabinets, shaped, beside)
    return [
        PlannedTube(
            name=stations.names[tube],
            through=through[tube],
            corners=corners,
            radii=radii,
            ties=own_ties,
        )
        for tube, (corners, radii), own_ties in zip(own, routes, ties, strict=True)
    ]


def _doubling_back(strings: Strings, count: int) -> list[int]:
    """Return those of the first strings that turn so sharply that no curve follows them."""
    return [
        number
        for number in range(count)
        if _doubles_back(strings.points[strings.firsts[number] : strings.firsts[number + 1]])
    ]


def _doubles_back(points: Floats) -> bool:
    try:
        turns = corner_turns(points)[2]
    except ValueError:  # it turns by more than can be rounded, or stands still
        return True
    return bool(turns.max(initial=0.0) > SHARPEST)


def _too_tight(
    strings: Strings, state: State, stations: Stations, which: tuple[int, int], through: Sequence[str]
) -> NoWay:
    """Return why a tube has no route whose string is bent so tightly that few corners do not follow it."""
    tube, number = which
    points = slice(int(strings.firsts[number]), int(strings.firsts[number + 1]))
    shares = state.rooms[points, 2]
    worst = int(np.argmin(shares))
    wanted = float(stations.least[tube])
    there = float(np.floor(min(shares[worst] * strings.bends[number], wanted)))
    return NoWay(
        tubes=(stations.names[tube],),
        passage=None,
        point=frozen(strings.points[points][worst]),
        cause=f"a bend of {wanted:.0f} mm is needed; beside other tubes and what stands "
        f"{f'on the way through {listed(through)}' if through else 'there'}, {THERE} mm were found "
        "where it is tightest",
        frees="take a tubing that bends more, make room there, or let fewer tubes go that way",
        wanted=wanted,
        there=there,
        unit="mm",
    )


def with_kept(plan: Plan, tubes: Sequence[Tube], kept: Sequence[PlannedTube]) -> Plan:
    """Return a plan to which the tubes are added that were kept of an earlier one."""
    if not kept:
        return plan
    every = (*plan.tubes, *kept)
    return replace(plan, tubes=every, runs=_runs(tubes, every))


def _runs(tubes: Sequence[Tube], planned: Sequence[PlannedTube]) -> tuple[Run, ...]:
    """Return how a fitter would take planned tubes, in the order of their nipples."""
    starts = {tube.name: tube.start.nipple for tube in tubes}
    own = sorted(planned, key=lambda one: _order(starts[one.name] or one.name))
    return runs_of([Going(tube=one.name, start=starts[one.name], through=one.through) for one in own])


def _order(name: str) -> tuple[str, int, str]:
    part, _, number = name.rpartition(" ")
    return (part, int(number), "") if number.isdigit() else (name, -1, name)
