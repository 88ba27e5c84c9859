"""From strings of many points to tubes of few corners, which make room for each other.

Each string is drawn anew with few corners, as freely as things allow; where tubes are then too near each
other, they give way (pressing.py, geometry/yielding.py). Where that is not enough, they are drawn nearer to
their strings there, at last within their own halves of the room about them; a tube for which even this is not
enough keeps to its halves all along and stays, and others give way to it. What comes of it is proven; were it
not, all would keep to their halves.
"""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from routeviz.geometry import yielding
from routeviz.geometry.arrays import Floats, Ints, frozen
from routeviz.geometry.curves import rounded_polyline
from routeviz.geometry.following import BAND
from routeviz.geometry.merging import all_with_fewer_corners
from routeviz.geometry.neighbours import least_between
from routeviz.geometry.rounds import WIDTH
from routeviz.geometry.yielding import Chains, Samples
from routeviz.planning.pressing import fill_still, pairs_within, press
from routeviz.planning.relaxing import REACH_MM, State
from routeviz.planning.stations import Stations
from routeviz.planning.strings import Strings

Route = tuple[Floats, Floats]

GRAIN_MM = 1e-3  # corners and radii are written to a micrometre
KEPT_MM = 0.07  # of what is free that is not given away: the slack of a clearance, and what rounding takes
LEAST_ROOM_MM, MOST_ROOM_MM = 0.02, 2.0  # by which a tube may leave its string when it keeps to its half
FREELY = 0.9  # radii by which it may at first, beyond its half: two that do so still do not change sides
MOST_HALF_MM = 3.0  # of the half that is counted there
GAP_MM = 0.15  # that tubes are pressed apart to, beyond their clearance; feet are looked at 3 mm apart
PROVEN_MM = 0.02  # that must be free in the end, proven
WIDTH_MM = 0.02  # of that proof's interval
ROUNDS = 20  # at most; four to twelve are used
PATIENT = 3  # of them in which strings are drawn anew as freely as they can be
STEPS = 20, 15  # of giving way in the first round and in others; what is not free by then hardly ever is
SOUGHT = 16  # steps after which it is asked anew which feet are near each other
NEAR_MM = 2.0  # beyond touching within which they are watched
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


def with_few_corners(
    strings: Strings, state: State, stations: Stations, own: Sequence[int], apart_mm: float
) -> list[Route]:
    """Return corners and radii of each string, on the grain.

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

    Returns
    -------
    routes : list of (corners, radii)
        Arrays of shapes (k, 3) and (k - 2,).
    """
    task, rooms = _task(strings, state, stations, own, apart_mm)
    routes: list[Route] = [(np.empty((0, 3)), np.empty(0))] * len(own)
    anew, kept = np.arange(len(own)), np.zeros(len(own), np.bool_)
    for number in range(ROUNDS):
        _draw(task, rooms, anew, routes)
        lacking = _given_way(task, rooms, routes, kept, STEPS[min(number, 1)])
        if not lacking.any():
            break
        anew = np.unique(task.owners[lacking])
        if number >= PATIENT:
            kept[anew] = True
            kept[task.owners[lacking & (rooms > task.halves)]] = False
        nearer = np.maximum(NEARER * rooms, np.minimum(task.halves, rooms))
        rooms = np.where(kept[task.owners], task.halves, np.where(lacking, nearer, rooms))
    else:
        _draw(task, task.halves, np.arange(len(own)), routes)
    return [_on_grain(corners, radii) for corners, radii in routes]


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
    halves = np.minimum(firm, between / 2 - KEPT_MM)
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


def _on_grain(corners: Floats, radii: Floats) -> Route:
    placed = np.round(corners / GRAIN_MM) * GRAIN_MM
    return frozen(placed), frozen(np.floor(radii / GRAIN_MM) * GRAIN_MM)


def _given_way(
    task: Task, rooms: Floats, routes: list[Route], kept: NDArray[np.bool_], steps: int
) -> NDArray[np.bool_]:
    """Let tubes make room for each other; write them, and return where that was not enough."""
    samples, chains = _set_up(task, rooms, routes, kept)
    count, total = len(routes), len(samples.points)
    strings = Strings(
        points=samples.feet,
        firsts=samples.firsts,
        free=np.ones(total),
        owners=np.repeat(np.arange(count), np.diff(samples.firsts)),
        groups=np.arange(count),
        radii=task.radii,
        bends=np.ones(count),
        exempt=np.full(total, -1),
    )
    lacks, legs, gap = np.zeros(total), 2 * task.radii, task.apart_mm + GAP_MM
    for step in range(steps + 1):
        yielding.set_feet(samples, chains)
        if step % SOUGHT == 0:
            near, _ = pairs_within(strings, NEAR_MM + task.apart_mm)
            pairs = near[~kept[strings.owners[near]].all(axis=1)]
        least = press(strings, pairs, gap, samples, chains, lacks)
        used = yielding.draw_back(samples, chains)
        if step == steps or (least > gap - 0.5 * (GAP_MM - PROVEN_MM) and used <= 1.0):
            break
        yielding.give_way(chains, legs)
    for number, (first, last) in enumerate(itertools.pairwise(chains.firsts.tolist())):
        routes[number] = chains.corners[first:last], chains.radii[first + 1 : last - 1]
    moving = ~np.repeat(kept, np.diff(samples.firsts))
    lacking = _lacking(task, routes, chains, moving & (lacks > GAP_MM - PROVEN_MM), samples.firsts)
    # Of two that both keep to their halves neither can do better.
    return lacking & ~kept[task.owners]


def _set_up(
    task: Task, rooms: Floats, routes: Sequence[Route], kept: NDArray[np.bool_]
) -> tuple[Samples, Chains]:
    """Return samples of strings, and chains with the corners and radii of routes."""
    firsts = np.append(0, np.cumsum(2 * np.diff(task.firsts) - 3))
    total, bounds = int(firsts[-1]), np.append(0, np.cumsum([len(corners) for corners, _ in routes]))
    samples = Samples(
        np.empty((total, 3)), np.empty(total), firsts, np.empty((total, 3)), np.zeros(total, np.int64)
    )
    ends, legs = yielding.take_samples(task.points, rooms, task.firsts, 2 * task.radii, samples)
    radii = np.concatenate([np.concatenate([[0.0], own, [0.0]]) for _, own in routes])
    size = len(radii)
    return samples, Chains(
        corners=np.concatenate([corners for corners, _ in routes]),
        radii=radii,
        floors=np.minimum(radii, np.repeat(task.bends, np.diff(bounds))),
        held=np.repeat(kept, np.diff(bounds)),
        ends=ends,
        legs=legs,
        firsts=bounds,
        table=np.empty((size, WIDTH)),
        matrix=np.zeros((4 * size, BAND)),
        right=np.zeros(4 * size),
        going=np.zeros(4 * size),
    )


def _lacking(
    task: Task, routes: Sequence[Route], chains: Chains, pressed: NDArray[np.bool_], firsts: Ints
) -> NDArray[np.bool_]:
    """Return about which points tubes are too near each other or something else."""
    lacking = np.zeros(len(task.points), np.bool_)
    owners = np.repeat(np.arange(len(routes)), np.diff(firsts))
    nodes = task.firsts[owners] + (np.arange(len(owners)) - firsts[owners] + 1) // 2
    lacking[nodes[pressed]] = True
    shares = np.zeros(len(task.points))
    yielding.fill_shares(task.points, task.firm, task.firsts, chains, shares)
    lacking |= shares > 1.0
    if not pressed.any():
        _add_near(task, routes, lacking)
    wider, same = lacking.copy(), task.owners[1:] == task.owners[:-1]
    wider[1:] |= lacking[:-1] & same
    wider[:-1] |= lacking[1:] & same
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
