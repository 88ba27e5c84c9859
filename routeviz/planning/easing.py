"""From strings of many points to tubes of few corners, which make room for each other.

Each string is drawn anew with few corners, as freely as things allow; where tubes are then too near each
other, they give way (pressing.py, geometry/yielding.py). Where that is not enough, they are drawn nearer to
their strings there, at last within their own halves of the room about them; a tube for which even this is not
enough keeps to its halves all along and stays, and others give way to it. What comes of it is proven; were it
not, all would keep to their halves. Tubes whose strings lie about where they lay begin as they were then.
"""

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from routeviz.geometry import yielding
from routeviz.geometry.arrays import Floats, Ints, frozen
from routeviz.geometry.curves import rounded_polyline
from routeviz.geometry.merging import all_with_fewer_corners
from routeviz.geometry.neighbours import least_between
from routeviz.geometry.rounds import WIDTH
from routeviz.geometry.yielding import Chains, Samples
from routeviz.planning.pressing import Near, feel, fill_still, near_of, pairs_within, press, seek
from routeviz.planning.relaxing import REACH_MM, State
from routeviz.planning.stations import SAFE, Stations
from routeviz.planning.strings import Strings

Route = tuple[Floats, Floats]
Drawn = Mapping[int, tuple[Floats, Route]]  # the points of strings and the routes that were drawn, by tube

NOTHING_DRAWN: Drawn = MappingProxyType({})
NO_ROUTE = np.empty((0, 3)), (np.empty((0, 3)), np.empty(0))

GRAIN_MM = 1e-3  # corners and radii are written to a micrometre
NEARLY = 1e-6  # of that grain: what is no more beyond it counts as on it
SLACK_MM = 0.05  # beyond a limit that is aimed at, and below it that the checks forgive
KEPT_MM = 0.07  # of what is free that is not given away: the slack of a clearance, and what rounding takes
LEAST_ROOM_MM, MOST_ROOM_MM = 0.02, 2.0  # by which a tube may leave its string when it keeps to its half
FREELY = 0.6  # radii by which it may at first, beyond its half: two that do so still do not change sides
MOST_HALF_MM = 3.0  # of the half that is counted there
GAP_MM = 0.15  # that tubes are pressed apart to, beyond their clearance; feet are looked at 3 mm apart
PROVEN_MM = 0.02  # that must be free in the end, proven
WIDTH_MM = 0.02  # of that proof's interval
ROUNDS = 20  # at most; four to twelve are used
PATIENT = 3  # of them in which strings are drawn anew as freely as they can be
WIDER = 2  # points on either side of those about which something lacks that are drawn nearer too
LONG = 10  # of them after which a tube that lacks something stays and keeps to its halves all along
STEPS = 20, 15  # of giving way in the first round and in others; what is not free by then hardly ever is
SOUGHT = 8  # steps after which it is looked whether they did
NEAR_MM = 1.2  # beyond touching within which they are watched
FAR_MM, FARTHEST_MM = 0.25, 0.5  # that feet stray before it is asked anew what is near them; and at most
RESTING_MM = 0.065  # of the gap that may lack before a tube moves for it: half of what need not be there
ABOUT_MM = 0.3  # by which no point of a string may have moved if its tube begins as it was drawn
NEARER = 0.4  # what a room is multiplied by where giving way was not enough


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """What is drawn: n points of c strings.

    Parameters
    ----------
    points : array, shape (n, 3)
        On the grain of a millionth, as they are proven by.
    owners, firsts : array of int, shapes (n,) and (c + 1,)
        Which string, and where each begins.
    bends, radii : array, shape (c,)
        Least bends aimed at, and outside radii.
    firm, halves : array, shape (n,)
        How far a tube may be from its string for everything that does not give way; and if none does.
    apart_mm : float
        Clearance of tubes.
    """

    points: Floats
    owners: Ints
    firsts: Ints
    bends: Floats
    radii: Floats
    firm: Floats
    halves: Floats
    apart_mm: float


@dataclass(slots=True, kw_only=True)
class Eased:
    """Routes of c strings on their way, with samples of n points, and what was found about them.

    Parameters
    ----------
    routes : list of (corners, radii)
        As they are.
    samples : Samples
        Of their strings.
    near : Near
        Which feet may come too near each other.
    shares : array, shape (n,)
        Of what is firmly there, proven.
    """

    routes: list[Route]
    samples: Samples
    near: Near
    shares: Floats


def with_few_corners(
    strings: Strings,
    state: State,
    stations: Stations,
    own: Sequence[int],
    apart_mm: float,
    before: Drawn = NOTHING_DRAWN,
) -> Drawn:
    """Return corners and radii of each string, on the grain.

    Where a string lies about where it lay, its tube begins as it was drawn then.

    Parameters
    ----------
    strings : Strings
        Relaxed; what stands still comes last.
    state : State
        What is free about their points.
    stations : Stations
        All tubes to be laid.
    own : sequence of int
        For each string that moves, which of them it is.
    apart_mm : float
        What is to be free between two tubes.
    before : mapping
        What was returned before for the same tubes.

    Returns
    -------
    drawn : mapping of (points, (corners, radii))
        By the stations' tube; arrays of shapes (n, 3), (k, 3) and (k - 2,), the first the string's.
    """
    task, rooms = _task(strings, state, stations, own, apart_mm)
    return eased(task, rooms, own, before)


def eased(task: Task, rooms: Floats, own: Sequence[int], before: Drawn) -> Drawn:
    """Return the same for strings about which is known what is free.

    Parameters
    ----------
    task : Task
        What is drawn.
    rooms : array, shape (n,)
        How far tubes may be from their strings at first.
    own, before
        As for ``with_few_corners``.

    Returns
    -------
    drawn : mapping
        As there.
    """
    begun, anew = _begun(task, own, before)
    kept = np.zeros(len(own), np.bool_)
    for number in range(ROUNDS):
        _draw(task, rooms, anew, begun.routes)
        lacking = _given_way(task, begun, rooms, kept, STEPS[min(number, 1)])
        if not lacking.any():
            break
        anew = np.unique(task.owners[lacking])
        rooms = _nearer(task, rooms, lacking, kept, number)
    else:
        _draw(task, task.halves, np.arange(len(own)), begun.routes)
    least = (task.bends / SAFE).tolist()
    ended = zip(begun.routes, least, strict=True)
    routes = [_opened(*_on_grain(*route), bend) for route, bend in ended]
    return {
        tube: (task.points[first:last], route)
        for tube, route, (first, last) in zip(own, routes, itertools.pairwise(task.firsts), strict=True)
    }


def _nearer(
    task: Task, rooms: Floats, lacking: NDArray[np.bool_], kept: NDArray[np.bool_], number: int
) -> Floats:
    """Return how far tubes may be from their strings after so many rounds; note which are to stay."""
    anew = np.unique(task.owners[lacking])
    if number >= LONG:
        kept[anew] = True
        lacking = np.isin(task.owners, anew)
    elif number >= PATIENT:
        kept[np.setdiff1d(anew, task.owners[lacking & (rooms > task.halves)])] = True
    shares = np.where(kept[task.owners], 0.0, NEARER)
    return np.where(lacking, np.maximum(shares * rooms, np.minimum(task.halves, rooms)), rooms)


def _task(
    strings: Strings, state: State, stations: Stations, own: Sequence[int], apart_mm: float
) -> tuple[Task, Floats]:
    """Return what is to be drawn, and how far each may be from its string at first."""
    count = int(strings.firsts[len(own)])
    still = np.full(count, np.inf)
    if len(strings.radii) > len(own):
        fill_still(strings, count, *pairs_within(strings, REACH_MM), still)
    between, off = state.rooms[:count, 0], state.rooms[:count, 1]
    owners = np.array(strings.owners[:count])
    # Ends stay as they are.
    ends = np.isin(np.arange(count), [strings.firsts[: len(own) + 1], strings.firsts[: len(own) + 1] - 1])
    off = np.where(ends, 0.0, off)
    firm = np.maximum(np.minimum(off, still) - KEPT_MM, LEAST_ROOM_MM)
    halves = np.minimum(firm, (between - apart_mm) / 2 - PROVEN_MM)
    task = Task(
        points=np.ascontiguousarray(np.round(strings.points[:count], 6)),
        owners=owners,
        firsts=np.array(strings.firsts[: len(own) + 1]),
        bends=stations.bends[list(own)],
        radii=np.array(stations.radii[list(own)]),
        firm=firm,
        halves=np.clip(halves, LEAST_ROOM_MM, MOST_ROOM_MM),
        apart_mm=apart_mm,
    )
    return task, np.minimum(firm, FREELY * task.radii[owners] + np.clip(between / 2, 0.0, MOST_HALF_MM))


def _draw(task: Task, rooms: Floats, anew: Ints, routes: list[Route]) -> None:
    """Write few corners and radii of some strings; radii have a 0 at both ends."""
    if not len(anew):
        return
    chosen = np.isin(task.owners, anew)
    corners, radii, bounds, _ = all_with_fewer_corners(
        task.points[chosen],
        rooms[chosen],
        np.append(0, np.cumsum(np.diff(task.firsts)[anew])),
        least_radii=task.bends[anew],
        least_legs=2 * task.radii[anew],
    )
    for number, (begin, end) in zip(anew.tolist(), itertools.pairwise(bounds.tolist()), strict=True):
        routes[number] = corners[begin:end], radii[begin:end][1:-1]


def _opened(corners: Floats, radii: Floats, least: float) -> Route:
    """Return a route without bends that the checks would only just forgive, as far as legs have room.

    A bend of 90 degrees that is opened by all that is forgiven, and what is aimed at beyond, moves by
    sqrt(2) - 1 of a tenth: less than what is kept of its room.
    """  # noqa: DOC201
    aim = math.ceil((least + SLACK_MM) / GRAIN_MM - NEARLY) * GRAIN_MM
    for number in np.flatnonzero((radii >= least - SLACK_MM) & (radii < aim)):
        wider = radii.copy()
        wider[number] = aim
        if _fits(corners, wider):
            radii = frozen(wider)
    return corners, radii


def _fits(corners: Floats, radii: Floats) -> bool:
    try:
        rounded_polyline(corners, radii)
    except ValueError:  # two arcs would meet
        return False
    return True


def _on_grain(corners: Floats, radii: Floats) -> Route:
    placed = np.round(corners / GRAIN_MM) * GRAIN_MM
    return frozen(placed), frozen(np.floor(radii / GRAIN_MM) * GRAIN_MM)


def _given_way(
    task: Task, eased: Eased, rooms: Floats, kept: NDArray[np.bool_], steps: int
) -> NDArray[np.bool_]:
    """Let tubes make room for each other; write them, and return where that was not enough."""
    samples, routes = eased.samples, eased.routes
    chains = _chains(task, eased, rooms, kept)
    strings = _of_feet(task, samples)
    lacks, legs, gap = np.zeros(len(samples.points)), 2 * task.radii, task.apart_mm + GAP_MM
    limits = gap, NEAR_MM + task.apart_mm, FAR_MM
    for step in range(steps + 1):
        yielding.set_feet(samples, chains)
        if step % SOUGHT == 0 and samples.strayed.max() > FARTHEST_MM:
            eased.near = seek(strings, samples, eased.near, limits)
        near = eased.near
        count = feel(strings, (near.watched, near.count, near.close), (gap, RESTING_MM), chains, lacks)
        if step == steps or not chains.restless.any():
            break
        press(strings, near.watched.pairs, near.close[:count], gap, samples, chains)
        yielding.draw_back(samples, chains)
        yielding.give_way(samples, chains, legs)
    for number, (first, last) in enumerate(itertools.pairwise(chains.firsts.tolist())):
        routes[number] = chains.corners[first:last], chains.radii[first + 1 : last - 1]
    yielding.fill_shares(task.points, task.firm, task.firsts, chains, eased.shares)
    # Of two that both keep to their halves neither can do better.
    settled = kept[task.owners] & (rooms <= task.halves)
    return _lacking(task, eased, lacks > GAP_MM - PROVEN_MM, settled)


def _begun(task: Task, own: Sequence[int], before: Drawn) -> tuple[Eased, Ints]:
    """Return routes as they begin, with samples of their strings; and which are still to be drawn."""
    routes: list[Route] = []
    anew = []
    for number, (tube, (first, last)) in enumerate(zip(own, itertools.pairwise(task.firsts), strict=True)):
        points, route = before.get(tube, NO_ROUTE)
        if len(points) != last - first or np.abs(points - task.points[first:last]).max() > ABOUT_MM:
            anew.append(number)
        routes.append(route)
    firsts = np.append(0, np.cumsum(2 * np.diff(task.firsts) - 3))
    total = int(firsts[-1])
    samples = Samples(
        np.empty((total, 3)),
        np.ones(total),
        firsts,
        np.zeros((total, 3)),
        np.zeros(total, np.int64),
        np.zeros((total, 3)),
        np.zeros(total),
        np.zeros((total, 9)),
    )
    eased = Eased(routes=routes, samples=samples, near=near_of(samples), shares=np.zeros(len(task.points)))
    return eased, np.array(anew, np.int64)


def _of_feet(task: Task, samples: Samples) -> Strings:
    """Return feet as strings."""
    count, total = len(task.radii), len(samples.points)
    return Strings(
        points=samples.feet,
        firsts=samples.firsts,
        free=np.ones(total),
        owners=np.repeat(np.arange(count), np.diff(samples.firsts)),
        groups=np.arange(count),
        radii=task.radii,
        bends=np.ones(count),
        exempt=np.full(total, -1),
    )


def _chains(task: Task, eased: Eased, rooms: Floats, kept: NDArray[np.bool_]) -> Chains:
    """Return chains with the corners and radii of routes, none at rest."""
    routes, bounds = eased.routes, np.append(0, np.cumsum([len(corners) for corners, _ in eased.routes]))
    ends, legs = yielding.take_samples(task.points, rooms, task.firsts, 2 * task.radii, eased.samples)
    radii = np.concatenate([np.concatenate([[0.0], own, [0.0]]) for _, own in routes])
    return Chains(
        corners=np.concatenate([corners for corners, _ in routes]),
        radii=radii,
        floors=np.minimum(radii, np.repeat(task.bends, np.diff(bounds))),
        held=np.repeat(kept, np.diff(bounds)),
        ends=ends,
        legs=legs,
        firsts=bounds,
        restless=np.ones(len(routes), np.bool_),
        used=np.zeros(len(routes)),
        table=np.empty((len(radii), WIDTH)),
        going=np.zeros(4 * len(radii)),
    )


def _lacking(
    task: Task, eased: Eased, pressed: NDArray[np.bool_], settled: NDArray[np.bool_]
) -> NDArray[np.bool_]:
    """Return about which points, but for those settled, tubes are too near each other or something else."""
    firsts = eased.samples.firsts
    owners = np.repeat(np.arange(len(eased.routes)), np.diff(firsts))
    nodes = task.firsts[owners] + (np.arange(len(owners)) - firsts[owners] + 1) // 2
    lacking = eased.shares > 1.0
    lacking[nodes[pressed]] = True
    if not (lacking & ~settled).any():
        _add_near(task, eased.routes, lacking)
    wider, same = lacking & ~settled, task.owners[1:] == task.owners[:-1]
    for _ in range(WIDER):
        before = wider.copy()
        wider[1:] |= before[:-1] & same
        wider[:-1] |= before[1:] & same
    return wider


def _add_near(task: Task, routes: Sequence[Route], lacking: NDArray[np.bool_]) -> None:
    """Add the points next to where two tubes are not proven to be as far apart as they must."""
    least = task.apart_mm + PROVEN_MM
    curves = [rounded_polyline(*_on_grain(corners, radii)) for corners, radii in routes]
    found = least_between(curves, task.radii, least, width=WIDTH_MM)
    near = found.lows < least
    for tubes, places in ((found.first, found.points_first), (found.second, found.points_second)):
        for tube, place in zip(tubes[near].tolist(), places[near], strict=True):
            first, last = task.firsts[tube], task.firsts[tube + 1]
            off = np.linalg.norm(task.points[first:last] - place, axis=1)
            lacking[first + int(np.argmin(off))] = True
