"""Which tubes should change passages, so that fewer must cross right at their nipples?

The choice of allocation.py knows lengths and room only. Seen along the passages, two tubes that lie side by
side at their nipples and go to different passages should not have to change sides before they are apart.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from routeviz.cabinet.passages import Passage
from routeviz.geometry.arrays import Floats, Ints
from routeviz.planning.allocation import FULLNESS
from routeviz.planning.candidates import Candidates
from routeviz.planning.dealing import ASIDE, STRAIGHT_ON, rolled
from routeviz.planning.stations import Stations
from routeviz.planning.swapping import NONE, End, Prices, Rooms, Table, Ways, settle
from routeviz.planning.ways import Room

NEAR_MM = 60.0  # apart at their nipples, from which on tubes are free to cross: there is room by then
MEETING_MM = 150.0  # what it is worth not to cross at the nipples: a hand's breadth and a half of way
APART = 1.3  # outside diameters that two tubes should keep on the way to their passages


@dataclass(frozen=True, slots=True, kw_only=True)
class Options:
    """What n tubes choose among.

    Parameters
    ----------
    stations : Stations
        The tubes.
    passages : sequence of Passage
        All.
    candidates : Candidates
        The tubes' ways.
    rooms : sequence of Room
        What the passages hold.
    sizes : array, shape (n,)
        What each tube takes of a passage.
    chains : sequence of sequence of int
        Tubes in the order of their nipples.
    change_mm : float
        What a change of passages between two of them costs.
    """

    stations: Stations
    passages: Sequence[Passage]
    candidates: Candidates
    rooms: Sequence[Room]
    sizes: Floats
    chains: Sequence[Sequence[int]]
    change_mm: float


def untangled(choices: Sequence[int], options: Options) -> list[int]:
    """Return choices in which fewer tubes cross at their nipples, for a little more length.

    Parameters
    ----------
    choices : sequence of int
        A way for each tube; below 0 for none.
    options : Options
        What they choose among.

    Returns
    -------
    choices : list of int
        No passage holds more than it did, or than it surely can.
    """
    if not len(options.passages) or not any(choice >= 0 for choice in choices):
        return list(choices)
    chosen = np.array(choices, dtype=np.int64)
    ways, takes = _ways(options, chosen)
    start, goal = (_end(options.stations, options.passages, end) for end in (0, 1))
    apart = 2 * float(np.median(options.stations.radii)) * APART
    table = Table(
        ways=ways,
        rooms=_rooms(options, ways, takes, chosen),
        start=start,
        goal=goal,
        prices=Prices(apart=apart, change=options.change_mm, meeting=MEETING_MM),
    )
    settle(chosen, table)
    return [int(way) for way in chosen]


def _ways(options: Options, chosen: Ints) -> tuple[Ways, Floats]:
    """Return the tubes' ways as arrays, and what the ways of each label take of each passage."""
    candidates = options.candidates
    shape = len(chosen), max(len(ways) for ways in candidates.ways)
    costs = np.full(shape, np.inf)
    labels, firsts, lasts = (np.full(shape, NONE, dtype=np.int64) for _ in range(3))
    known: dict[tuple[int, ...], int] = {}
    for tube, ways in enumerate(candidates.ways):
        for number, way in enumerate(ways):
            costs[tube, number] = way.cost
            labels[tube, number] = known.setdefault(way.passages, len(known))
            if way.passages:
                senses = candidates.senses[tube][number]
                firsts[tube, number] = 2 * way.passages[0] + (senses[0] < 0)
                lasts[tube, number] = 2 * way.passages[-1] + (senses[-1] < 0)
    takes = np.zeros((len(known), len(options.passages)))
    for through, label in known.items():
        takes[label, list(through)] = 1.0
    beside = np.full((len(chosen), 2), NONE, dtype=np.int64)
    for chain in options.chains:
        row = np.array([tube for tube in chain if chosen[tube] >= 0], dtype=np.int64)
        beside[row[1:], 0], beside[row[:-1], 1] = row[:-1], row[1:]
    sizes = np.array(options.sizes, dtype=np.float64)
    return Ways(costs, labels, firsts, lasts, beside, sizes), takes


def _rooms(options: Options, ways: Ways, takes: Floats, chosen: Ints) -> Rooms:
    loads = np.zeros(len(options.passages))
    for tube in np.flatnonzero(chosen >= 0):
        loads += ways.sizes[tube] * takes[ways.labels[tube, chosen[tube]]]
    sure = np.array([float(room.sure) for room in options.rooms])
    found = np.array([float(min(room.found, room.limit)) for room in options.rooms])
    return Rooms(takes, loads, np.maximum(sure, loads), found, np.array(FULLNESS))


def _end(stations: Stations, passages: Sequence[Passage], end: int) -> End:
    """Return what is known of one end of all tubes, seen along each direction through passages."""
    kinds, axes = _directions(passages)
    every = list(range(len(stations.names)))
    spots, middles, outs = [], [], []
    for axis in axes:
        across = _across(axis)
        spots.append(rolled(stations, every, end, axis) @ across.T)
        middles.append(np.array([passage.origin for passage in passages]) @ across.T)
        seen = stations.ways[:, end] @ across.T
        size = np.linalg.norm(seen, axis=1, keepdims=True)
        outs.append(np.where(size > ASIDE, seen / np.maximum(size, ASIDE), 0.0))
    return End(kinds, np.array(spots), np.array(middles), _near(stations.tips[:, end]), np.array(outs))


def _directions(passages: Sequence[Passage]) -> tuple[Ints, list[Floats]]:
    """Return for each passage, forwards and backwards, which of a few directions it is, and these."""
    kinds = np.zeros((len(passages), 2), dtype=np.int64)
    axes: list[Floats] = []
    for number, passage in enumerate(passages):
        for side, sense in enumerate((1.0, -1.0)):
            axis = sense * passage.axes[2]
            same = [k for k, known in enumerate(axes) if float(known @ axis) > STRAIGHT_ON]
            if not same:
                axes.append(axis)
            kinds[number, side] = same[0] if same else len(axes) - 1
    return kinds, axes


def _across(axis: Floats) -> Floats:
    """Return two directions (2, 3) square to an axis and to each other."""
    first = np.cross(axis, np.eye(3)[int(np.argmin(np.abs(axis)))])
    first /= np.linalg.norm(first)
    return np.stack([first, np.cross(axis, first)])


def _near(tips: Floats) -> Ints:
    """Return for each nipple the others near it, rows filled with ``NONE``."""
    far = np.linalg.norm(tips[:, None] - tips[None], axis=2)
    np.fill_diagonal(far, np.inf)
    close = [np.nonzero(row < NEAR_MM)[0] for row in far]
    near = np.full((len(tips), max((len(row) for row in close), default=0)), NONE, dtype=np.int64)
    for tube, row in enumerate(close):
        near[tube, : len(row)] = row
    return near
