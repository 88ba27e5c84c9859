"""Where does each tube go through its passages? They are dealt with one after the other, from all starts on.

Where places are is in slots.py, who takes which of them in exchanging.py; which passages a tube goes through
was chosen in choosing.py.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from routeviz.cabinet.passages import Passage
from routeviz.geometry.arrays import Floats
from routeviz.planning.exchanging import Sides, dealt
from routeviz.planning.obstacles import Obstacles
from routeviz.planning.slots import in_case, places_in
from routeviz.planning.stations import Stations

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


def gates_of(
    stations: Stations,
    passages: Sequence[Passage],
    chosen: Mapping[int, Sequence[Taken]],
    asked: Sequence[float],
    obstacles: Obstacles,
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

    Returns
    -------
    gates : dict of list of Gate
        By tube; a tube that finds no place in a passage is left out.
    """
    task = _Task(stations=stations, passages=passages, chosen=chosen, asked=asked, obstacles=obstacles)
    gates: dict[int, list[Gate]] = {tube: [] for tube in chosen}
    for depth in range(max((len(chain) for chain in chosen.values()), default=0)):
        users: dict[Taken, list[int]] = {}
        for tube in sorted(gates):
            if len(chosen[tube]) > depth:
                users.setdefault(chosen[tube][depth], []).append(tube)
        for entered, tubes in sorted(users.items()):
            _deal(task, entered, tubes, gates)
    return gates


def _deal(task: _Task, entered: Taken, tubes: Sequence[int], gates: dict[int, list[Gate]]) -> None:
    """Add the places of tubes that come to a passage next; those without one are taken out."""
    number, sense = entered
    passage = task.passages[number]
    outside = 2 * float(max(task.stations.radii[tube] for tube in tubes))
    taken = [gate.place for own in gates.values() for gate in own if gate.passage == number]
    places = _free_places(task, number, outside, len(tubes), taken)
    for tube in tubes[len(places) :]:
        del gates[tube]
    own = tubes[: len(places)]
    if own:
        sides = _sides(task, passage, sense, own, gates)
        for tube, place in zip(own, dealt(places, sides, outside), strict=True):
            spot = in_case(passage, places[place][None])[0]
            gates[tube].append(Gate(passage=number, sense=sense, place=spot))


def _free_places(task: _Task, number: int, outside: float, count: int, taken: Sequence[Floats]) -> Floats:
    """Return places in a passage that none has yet who came to it by another way."""
    passage = task.passages[number]
    places = places_in(passage, count + len(taken), outside, task.asked[number], task.obstacles)
    if not taken or not len(places):
        return places
    spots = _seen(np.array(taken), passage)
    apart = np.linalg.norm(places[:, None] - spots[None], axis=2).min(axis=1)
    return np.asarray(places[apart >= outside])


def _sides(
    task: _Task, passage: Passage, sense: int, tubes: Sequence[int], gates: Mapping[int, Sequence[Gate]]
) -> Sides:
    """Return where tubes come from and go to: nipples, or the place in the passage before."""
    axis = sense * passage.axes[2]
    came = [gates[tube][-1].place if gates[tube] else None for tube in tubes]
    onward = [len(task.chosen[tube]) > len(gates[tube]) + 1 for tube in tubes]
    before = rolled(task.stations, tubes, 0, axis)
    for i, place in enumerate(came):
        before[i] = before[i] if place is None else place
    # Beyond a passage only its middle is known of those ahead; order is kept by what lies beyond it.
    after = rolled(task.stations, tubes, 1, axis)
    across, none = passage.axes[:2], np.zeros(2)
    return Sides(
        before=_seen(before, passage),
        after=_seen(after, passage),
        out=none if any(place is not None for place in came) else outward(task.stations, tubes, 0, across),
        into=none if any(onward) else outward(task.stations, tubes, 1, across),
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
