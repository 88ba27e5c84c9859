"""Where does each tube go through its passages? They are dealt with one after the other, from all starts on.

Where places are is in slots.py, who takes which of them in exchanging.py; which passages a tube goes through
was chosen in choosing.py.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from shapely import Point, Polygon

from routeviz.cabinet.passages import Passage
from routeviz.geometry.arrays import Floats
from routeviz.planning.exchanging import Sides, dealt
from routeviz.planning.obstacles import Obstacles
from routeviz.planning.relaxing import Still
from routeviz.planning.slots import in_case, places_in
from routeviz.planning.stations import Stations
from routeviz.planning.still import LONGEST_MM

SLIGHT_MM = 0.05  # by which a place may be nearer to a tube that stands still: as clearances are judged
STRAIGHT_ON = 0.99  # cosine from which two directions count as one, or as opposite: nothing is turned then
ASIDE = 0.75  # sine of the angle to the way through from which nipples count as pointing aside
ALIKE = 0.25  # by which directions seen along a passage may differ and still count as one
DECIMALS = 6  # of directions that are the same but for rounding

Taken = tuple[int, int]  # a passage, and +1 where it is gone through along its direction, else -1


@dataclass(frozen=True, slots=True, kw_only=True)
class Gate:
    """A passage as a tube goes through it.

    Parameters
    ----------
    passage : int
        Its number.
    sense : int
        +1 along its direction, else -1.
    place : array, shape (3,)
        Where, half way through.
    """

    passage: int
    sense: int
    place: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class _Task:
    """What is dealt with, as in ``gates_of``."""

    stations: Stations
    passages: Sequence[Passage]
    chosen: Mapping[int, Sequence[Taken]]
    asked: Sequence[float]
    obstacles: Obstacles
    taken: Sequence[Floats]


def taken_in(passages: Sequence[Passage], still: Still) -> tuple[Floats, ...]:
    """Return for each passage where tubes that stand still go through it, and how thick they are.

    Parameters
    ----------
    passages : sequence of Passage
        All.
    still : Still
        Tubes that stand still.

    Returns
    -------
    taken : tuple of array, shape (k, 4)
        Places in the outline's directions, half the outside diameter, and 1 where the tube can give way.
    """
    found = []
    for passage in passages:
        outline, rows = Polygon(passage.outline), []
        for line, radius, group in zip(still.lines, still.radii.tolist(), still.groups.tolist(), strict=True):
            local = (line - passage.origin) @ passage.axes.T
            inside = local[np.abs(local[:, 2]) <= max(passage.thick_mm / 2, LONGEST_MM)]
            if len(inside) and outline.contains(Point(inside[:, :2].mean(axis=0))):
                rows.append([*inside[:, :2].mean(axis=0), radius, float(group >= 0)])
        found.append(np.array(rows).reshape(-1, 4))
    return tuple(found)


def gates_of(
    stations: Stations,
    passages: Sequence[Passage],
    chosen: Mapping[int, Sequence[Taken]],
    asked: Sequence[float],
    obstacles: Obstacles,
    taken: Sequence[Floats],
) -> dict[int, list[Gate]]:
    """Return the places in passages of each tube.

    Parameters
    ----------
    stations : Stations
        The tubes.
    passages : sequence of Passage
        All.
    chosen : mapping of sequence of (int, int)
        By tube, passages in order and the sense in which each is gone through.
    asked : sequence of float
        What each passage's rim asks for.
    obstacles : Obstacles
        What stands before and behind them.
    taken : sequence of array, shape (k, 4)
        By passage, from ``taken_in``.

    Returns
    -------
    gates : dict of list of Gate
        By tube; a tube that finds no place in a passage is left out.
    """
    task = _Task(
        stations=stations, passages=passages, chosen=chosen, asked=asked, obstacles=obstacles, taken=taken
    )
    users: dict[int, list[tuple[int, int]]] = {}
    for tube, chain in sorted(chosen.items()):
        for depth, (number, _) in enumerate(chain):
            users.setdefault(number, []).append((tube, depth))
    dealt_out: Places = {}
    # What is come to first is dealt out first: what follows knows where its tubes come from.
    for number, own in sorted(users.items(), key=lambda item: (min(depth for _, depth in item[1]), item[0])):
        _deal(task, number, own, dealt_out)
    gates = {}
    for tube, chain in sorted(chosen.items()):
        found = [dealt_out.get((tube, depth)) for depth in range(len(chain))]
        if all(place is not None for place in found):
            gates[tube] = [
                Gate(passage=number, sense=sense, place=place)
                for (number, sense), place in zip(chain, found, strict=True)
                if place is not None
            ]
    return gates


Places = dict[
    tuple[int, int], Floats
]  # in the case, by tube and how many passages it has come through before


def _deal(task: _Task, number: int, users: Sequence[tuple[int, int]], dealt_out: Places) -> None:
    """Add the places of all tubes in a passage; those for whom there is none are left out."""
    passage = task.passages[number]
    outside = 2 * float(max(task.stations.radii[tube] for tube, _ in users))
    places = _places(task, number, outside, len(users))
    own = users[: len(places)]
    if own:
        sides = _sides(task, passage, own, dealt_out)
        for user, place in zip(own, dealt(places, sides, outside), strict=True):
            dealt_out[user] = in_case(passage, places[place][None])[0]


def _places(task: _Task, number: int, outside: float, count: int) -> Floats:
    """Return places in a passage beside tubes that are there: the fewest set out that leave enough.

    Where too few are free, those come next where tubes that can give way must do so least.
    """  # noqa: DOC201
    passage, taken = task.passages[number], task.taken[number]
    best = np.zeros((0, 2))
    for beside in (1, 2, 4) if len(taken) else (0,):
        set_out = count + beside * len(taken)
        places = places_in(passage, set_out, outside, task.asked[number], task.obstacles)
        over = _over(places, taken, outside)
        free = places[over <= SLIGHT_MM]
        if len(free) >= count:
            return free
        places = places[np.argsort(over, kind="stable")][: int(np.isfinite(over).sum())]
        best = places if len(places) > len(best) else best
    return best


def _over(places: Floats, taken: Floats, outside: float) -> Floats:
    """Return by how much a tube at each place would overlap others; ``inf`` where those cannot give way."""
    apart = np.linalg.norm(places[:, None] - taken[None, :, :2], axis=2)
    over = taken[None, :, 2] + outside / 2 - apart
    over[(over > SLIGHT_MM) & (taken[None, :, 3] == 0)] = np.inf
    return np.asarray(over.max(axis=1, initial=0.0))


def _sides(
    task: _Task,
    passage: Passage,
    users: Sequence[tuple[int, int]],
    dealt_out: Mapping[tuple[int, int], Floats],
) -> Sides:
    """Return where tubes come from and go to: nipples, or places in the passages before and after."""
    ends: tuple[Floats, Floats] = (np.zeros((len(users), 3)), np.zeros((len(users), 3)))
    senses = [task.chosen[tube][depth][1] for tube, depth in users]
    for sense in sorted(set(senses)):
        own = [i for i, other in enumerate(senses) if other == sense]
        for end in (0, 1):
            tubes = [users[i][0] for i in own]
            ends[end][own] = rolled(task.stations, tubes, end, sense * passage.axes[2])
    for i, (tube, depth) in enumerate(users):
        # Where a place beyond is not known yet, order is kept by what lies beyond it.
        if depth:
            middle = task.passages[task.chosen[tube][depth - 1][0]].origin
            ends[0][i] = dealt_out.get((tube, depth - 1), middle)
        ends[1][i] = dealt_out.get((tube, depth + 1), ends[1][i])
    tubes, across, none = [tube for tube, _ in users], passage.axes[:2], np.zeros(2)
    first = all(depth == 0 for _, depth in users)
    last = all(depth + 1 == len(task.chosen[tube]) for tube, depth in users)
    return Sides(
        before=_seen(ends[0], passage),
        after=_seen(ends[1], passage),
        out=outward(task.stations, tubes, 0, across) if first else none,
        into=outward(task.stations, tubes, 1, across) if last else none,
    )


def _seen(points: Floats, passage: Passage) -> Floats:
    return np.asarray((points - passage.origin) @ passage.axes[:2].T)


def rolled(stations: Stations, tubes: Sequence[int], end: int, axis: Floats) -> Floats:
    """Return where tubes come from or go to, nipples turned as bends turn them into a passage's direction.

    A row that lies further up leaves the bend further out: rows keep their order over the bend.

    Parameters
    ----------
    stations : Stations
        All tubes.
    tubes : sequence of int
        Which.
    end : int
        0 for where they come from, 1 for where they go to.
    axis : array, shape (3,)
        The unit direction in which they go through.

    Returns
    -------
    points : array, shape (n, 3)
        Each group that points the same way, turned about its own middle.
    """
    tips = stations.tips[list(tubes), end]
    ways = stations.ways[list(tubes), end] * (1.0 if end == 0 else -1.0)
    found = tips.copy()
    keys = [way.tobytes() for way in np.round(ways, DECIMALS)]
    for key in sorted(set(keys)):
        own = [i for i, other in enumerate(keys) if other == key]
        turn = _turning(ways[own[0]], axis)
        middle = tips[own].mean(axis=0)
        found[own] = middle + (tips[own] - middle) @ turn.T
    return found


def _turning(way: Floats, axis: Floats) -> Floats:
    """Return the least rotation (3, 3) from a direction to another; none for none and for a reversal."""
    cross, cosine = np.cross(way, axis), float(way @ axis)
    if not way.any() or abs(cosine) > STRAIGHT_ON:
        return np.eye(3)
    k = np.array([[0, -cross[2], cross[1]], [cross[2], 0, -cross[0]], [-cross[1], cross[0], 0]])
    return np.asarray(np.eye(3) + k + k @ k / (1 + cosine))


def outward(stations: Stations, tubes: Sequence[int], end: int, across: Floats) -> Floats:
    """Return the direction in which tubes run straight at an end, seen along a passage.

    Parameters
    ----------
    stations, tubes, end
        As in ``rolled``.
    across : array, shape (2, 3)
        The passage's own directions.

    Returns
    -------
    direction : array, shape (2,)
        Of length 1; zeros where they leave their nipples along the passage, or not all the same way.
    """
    seen = stations.ways[list(tubes), end] @ across.T
    size = np.linalg.norm(seen, axis=1)
    if (size < ASIDE).any() or np.ptp(seen, axis=0).max() > ALIKE:
        return np.zeros(2)
    mean = seen.mean(axis=0)
    return np.asarray(mean / np.linalg.norm(mean))
