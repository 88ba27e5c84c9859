"""Tubes of an earlier plan that lie where they lay, and are woken when others must have their room.

A woken tube is a string that begins where it lay, free but for its ends; what is left alone by all that moves
is put back as it was. What may lie at all is asked in carrying_over.py.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree
from shapely import Point, Polygon

from routeviz.cabinet.passages import Passage
from routeviz.geometry.arrays import Floats, frozen
from routeviz.geometry.curves import points_along, rounded_polyline
from routeviz.planning.carrying_over import Carried
from routeviz.planning.dealing import Gate
from routeviz.planning.relaxing import State
from routeviz.planning.stations import Stations
from routeviz.planning.strings import Strings
from routeviz.planning.threading import LEG, Stretch
from routeviz.tubes.plans import PlannedTube

STEP_MM = 3.0  # between points of a line: a chord misses the tightest bend by a twentieth of a millimetre
FADES_MM = 60.0  # from an end that has moved to where the tube lies as it did
SHORT_MM = 0.05  # of room: what the checks would hardly forgive
BENT = 0.98  # share of a bend that is aimed at below which it is too tight
LEFT_MM = 0.05  # by which a string that was left alone may have moved: as fine as clearances are judged
RINGS_MM = (1.0, 6.0, 12.0, 24.0)  # about places where no room was found, within which tubes are woken


@dataclass(frozen=True, slots=True, kw_only=True)
class Lying:
    """A tube where it lay.

    Parameters
    ----------
    one : PlannedTube
        As it was planned.
    line : array, shape (n, 3)
        Its centreline, its ends dragged to where they are to be.
    gates : tuple of Gate
        Where it goes through its passages.
    stays : bool
        Whether it may stay there.
    """

    one: PlannedTube
    line: Floats
    gates: tuple[Gate, ...]
    stays: bool


def lying_of(carried: Carried, stations: Stations, passages: Sequence[Passage]) -> dict[int, Lying]:
    """Return the tubes of an earlier plan by their number among the stations.

    Parameters
    ----------
    carried : Carried
        What is good of the plan.
    stations : Stations
        All tubes that are to be laid.
    passages : sequence of Passage
        All.

    Returns
    -------
    lying : dict of Lying
        A tube that would not go through a passage that it names is left out.
    """
    numbers = {name: tube for tube, name in enumerate(stations.names)}
    found = {}
    for stays, own in ((True, carried.planned), (False, carried.begun)):
        for one in own:
            tube = numbers[one.name]
            line = _line(one, stations.tips[tube])
            gates = _gates(line, one.through, passages)
            if gates is not None:
                found[tube] = Lying(one=one, line=line, gates=gates, stays=stays)
    return dict(sorted(found.items()))


def _line(one: PlannedTube, tips: Floats) -> Floats:
    curve = rounded_polyline(one.corners, one.radii)
    long = float(curve.begins[-1])
    along = np.linspace(0.0, long, 2 + int(long / STEP_MM))
    points = points_along(curve, along)
    fades = min(FADES_MM, long / 2)
    for off, far in (
        (tips[0] - points[0], along),
        (tips[1] - points[-1], long - along),
    ):
        points = points + np.clip(1.0 - far / fades, 0.0, 1.0)[:, None] * off
    points[0], points[-1] = tips
    return frozen(points)


def _gates(line: Floats, through: Sequence[str], passages: Sequence[Passage]) -> tuple[Gate, ...] | None:
    """Return where a line goes through passages, in their order; None where it does not."""
    number = {passage.name: n for n, passage in enumerate(passages)}
    found, begin = [], 0
    for name in through:
        passage = passages[number[name]]
        local = (line - passage.origin) @ passage.axes.T
        outline = Polygon(passage.outline)
        over = np.nonzero((local[begin:-1, 2] > 0) != (local[begin + 1 :, 2] > 0))[0] + begin
        for at in over.tolist():
            share = local[at, 2] / (local[at, 2] - local[at + 1, 2])
            spot = local[at] + share * (local[at + 1] - local[at])
            if outline.contains(Point(spot[:2])):
                sense = 1 if local[at + 1, 2] > local[at, 2] else -1
                place = line[at] + share * (line[at + 1] - line[at])
                found.append(Gate(passage=number[name], sense=sense, place=place))
                begin = at + 1
                break
        else:
            return None
    return tuple(found)


def stretches_along(one: Lying, stations: Stations, tube: int) -> list[Stretch]:
    """Return a tube as stretches: its first and last leg held, all between them free.

    Parameters
    ----------
    one : Lying
        Where it lay.
    stations : Stations
        All tubes.
    tube : int
        Its number among them.

    Returns
    -------
    stretches : list of Stretch
        As ``threading.threaded`` gives them.
    """
    tips, ways = stations.tips[tube], stations.ways[tube]
    leg = 2 * float(stations.radii[tube]) * LEG
    along = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(one.line, axis=0), axis=1)))
    first, last = tips + leg * ways
    between = one.line[(along > leg) & (along < along[-1] - leg)]
    free = Stretch(points=np.concatenate([first[None], between, last[None]]), held=False)
    begin = [Stretch(points=np.stack([tips[0], first]), held=True)] if ways[0].any() else []
    end = [Stretch(points=np.stack([last, tips[1]]), held=True)] if ways[1].any() else []
    return [*begin, free, *end]


def released(stretches: Sequence[Stretch]) -> list[Stretch]:
    """Return a tube's stretches with only first and last leg held: it gives way in passages too."""
    begin = [stretches[0]] if stretches[0].held else []
    end = [stretches[-1]] if stretches[-1].held else []
    between = stretches[len(begin) : len(stretches) - len(end)]
    points = [between[0].points[:1], *(one.points[1:] for one in between)]
    return [*begin, Stretch(points=np.concatenate(points), held=False), *end]


def followed_by(strings: Strings, count: int, others: Strings) -> Strings:
    """Return the first strings as they are, and after them all others."""
    points, total = int(strings.firsts[count]), len(others.points)
    owners = np.append(strings.owners[:points], others.owners + count)
    return Strings(
        points=np.concatenate([strings.points[:points], others.points]),
        firsts=np.append(strings.firsts[:count], others.firsts + points),
        free=np.append(strings.free[:points], others.free),
        owners=owners[: points + total],
        groups=np.append(strings.groups[:count], others.groups),
        radii=np.append(strings.radii[:count], others.radii),
        bends=np.append(strings.bends[:count], others.bends),
        exempt=np.append(strings.exempt[:points], others.exempt),
    )


def in_the_way(
    strings: Strings, count: int, state: State, lying: Mapping[int, Lying], reach: float, radii: Floats
) -> list[int]:
    """Return the tubes that lie near places where strings found no room.

    Parameters
    ----------
    strings : Strings
        As they lie.
    count : int
        How many of them move.
    state : State
        What is free about them.
    lying : mapping of Lying
        By the stations' tube.
    reach : float
        Between the walls.
    radii : array, shape (n,)
        Of the stations' tubes.

    Returns
    -------
    tubes : list of int
        By number, in order.
    """
    rooms, own = state.rooms, strings.owners < count
    short = (rooms[:, :2].min(axis=1) < SHORT_MM) | (rooms[:, 2] < BENT)
    places = strings.points[own & (strings.free > 0) & short]
    if not len(places):
        return []
    tree, widest = cKDTree(places), float(strings.radii[:count].max()) + STEP_MM
    return [
        tube
        for tube, one in lying.items()
        if float(np.min(tree.query(one.line)[0])) < widest + float(radii[tube]) + reach
    ]
