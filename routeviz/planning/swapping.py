"""Let tubes change their ways, or exchange them, as long as that is worth it.

What they are asked to weigh is put together in untangling.py.
"""

from typing import NamedTuple

from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.compiled import compiled, inner
from routeviz.planning.meetings import Straight, parting

MOST_TURNS = 20  # through all tubes: few are needed, and the work is bounded
BETTER = 1e-6  # millimetres by which a change must be better: rounding alone never makes one
SLIGHT = 1e-9  # by which a passage may be over its limit: what rounding makes of a sum of sizes
NONE = -1


class End(NamedTuple):
    """What is known of one end of n tubes, as seen along the way through p passages in k directions.

    Parameters
    ----------
    kinds : array of int, shape (p, 2)
        The direction of each passage gone through forwards, and backwards.
    spots : array, shape (k, n, 2)
        Where the tubes are at their nipples.
    middles : array, shape (k, p, 2)
        Where the passages are.
    near : array of int, shape (n, m)
        Tubes beside each; ``NONE`` fills the rows.
    outs : array, shape (k, n, 2)
        The direction in which each runs straight at first; zeros where that is along the way through.
    """

    kinds: Ints
    spots: Floats
    middles: Floats
    near: Ints
    outs: Floats


class Ways(NamedTuple):
    """What each of n tubes could do, in w ways at most.

    Parameters
    ----------
    costs : array, shape (n, w)
        ``inf`` fills the rows.
    labels : array of int, shape (n, w)
        Equal for ways through the same passages in the same order; ``NONE`` fills the rows.
    firsts, lasts : array of int, shape (n, w)
        The first and the last passage, twice its number and 1 more where it is gone through backwards;
        ``NONE`` for a way without any.
    beside : array of int, shape (n, 2)
        The tubes before and after it in the order of nipples; ``NONE`` for none.
    sizes : array, shape (n,)
        What each takes of a passage.
    """

    costs: Floats
    labels: Ints
    firsts: Ints
    lasts: Ints
    beside: Ints
    sizes: Floats


class Rooms(NamedTuple):
    """What p passages hold.

    Parameters
    ----------
    takes : array, shape (l, p)
        How often the ways of each label go through each passage.
    loads : array, shape (p,)
        What goes through now. Changed.
    limits : array, shape (p,)
        The most that may.
    found : array, shape (p,)
        Of which fullness is counted.
    steps : array, shape (s, 2)
        From which share on each further one costs how much; both rising.
    """

    takes: Floats
    loads: Floats
    limits: Floats
    found: Floats
    steps: Floats


class Prices(NamedTuple):
    """How far apart tubes should keep at their ends, and what a change of passages and a meeting cost."""

    apart: float
    change: float
    meeting: float


class Table(NamedTuple):
    """All that is weighed."""

    ways: Ways
    rooms: Rooms
    start: End
    goal: End
    prices: Prices


class Move(NamedTuple):
    """A tube's new way, and another tube's; ``NONE`` for no other."""

    tube: int
    way: int
    other: int
    theirs: int


@compiled
def settle(chosen: Ints, table: Table) -> None:
    """Let single tubes change their way, and two exchange theirs, until nothing is better.

    Parameters
    ----------
    chosen : array of int, shape (n,)
        Which way each takes; below 0 for none. Changed.
    table : Table
        What is weighed; the loads in it are changed.
    """
    for _ in range(MOST_TURNS):
        better = False
        for tube in range(chosen.shape[0]):
            if chosen[tube] >= 0:
                better |= _changes(chosen, table, tube)
                better |= _exchanges(chosen, table, tube)
        if not better:
            return


@inner
def _changes(chosen: Ints, table: Table, tube: int) -> bool:
    """Let a tube take each of its ways that is better; returns whether any was."""
    better = False
    for way in range(table.ways.costs.shape[1]):
        if way != chosen[tube] and table.ways.costs[tube, way] < float("inf"):
            better |= _made(chosen, table, Move(tube, way, NONE, NONE))
    return better


@inner
def _exchanges(chosen: Ints, table: Table, tube: int) -> bool:
    """Let a tube exchange its passages with each before it, where that is better; returns whether any was."""
    labels = table.ways.labels
    better = False
    for other in range(tube):
        if chosen[other] < 0 or labels[other, chosen[other]] == labels[tube, chosen[tube]]:
            continue
        mine = _way_of(labels, tube, labels[other, chosen[other]])
        theirs = _way_of(labels, other, labels[tube, chosen[tube]])
        if mine >= 0 and theirs >= 0:
            better |= _made(chosen, table, Move(tube, mine, other, theirs))
    return better


@inner
def _way_of(labels: Ints, tube: int, label: int) -> int:
    for way in range(labels.shape[1]):
        if labels[tube, way] == label:
            return way
    return NONE


@inner
def _made(chosen: Ints, table: Table, move: Move) -> bool:
    """Make a move if passages hold it and it is worth it; returns whether it was."""
    tube, other = move.tube, move.other
    before, others = chosen[tube], chosen[other] if other >= 0 else NONE
    was = _price(chosen, table, tube, other)
    _take(chosen, table, tube, move.way)
    if other >= 0:
        _take(chosen, table, other, move.theirs)
    if _fits(table.rooms) and _price(chosen, table, tube, other) < was - BETTER:
        return True
    _take(chosen, table, tube, before)
    if other >= 0:
        _take(chosen, table, other, others)
    return False


@inner
def _take(chosen: Ints, table: Table, tube: int, way: int) -> None:
    takes, labels, size = table.rooms.takes, table.ways.labels, table.ways.sizes[tube]
    for passage in range(takes.shape[1]):
        more = takes[labels[tube, way], passage] - takes[labels[tube, chosen[tube]], passage]
        table.rooms.loads[passage] += size * more
    chosen[tube] = way


@inner
def _fits(rooms: Rooms) -> bool:
    fits = True
    for passage in range(rooms.loads.shape[0]):
        fits &= rooms.loads[passage] <= rooms.limits[passage] + SLIGHT
    return fits


@inner
def _price(chosen: Ints, table: Table, tube: int, other: int) -> float:
    """Return what one or two tubes' ways cost, with changes, fullness of all passages, and meetings."""
    total = _fullness(table.rooms)
    ways, prices = table.ways, table.prices
    for one in (tube, other):
        if one < 0:
            continue
        way = chosen[one]
        total += ways.costs[one, way]
        for side in range(2):
            mate = ways.beside[one, side]
            if mate >= 0 and ways.labels[mate, chosen[mate]] != ways.labels[one, way]:
                total += prices.change
        total += prices.meeting * _met(chosen, ways.firsts, table.start, prices.apart, one)
        total += prices.meeting * _met(chosen, ways.lasts, table.goal, prices.apart, one)
    return total


@inner
def _fullness(rooms: Rooms) -> float:
    """Return what it costs how full passages are."""
    total = 0.0
    for passage in range(rooms.loads.shape[0]):
        for step in range(rooms.steps.shape[0]):
            price = rooms.steps[step, 1] - (rooms.steps[step - 1, 1] if step else 0.0)
            total += price * max(rooms.loads[passage] - rooms.steps[step, 0] * rooms.found[passage], 0.0)
    return total


@inner
def _met(chosen: Ints, gates: Ints, end: End, apart: float, tube: int) -> float:
    """Return how near a tube comes to those beside it at an end on the straight ways to their passages."""
    spots, middles = end.spots, end.middles
    gate = gates[tube, chosen[tube]]
    if gate < 0:
        return 0.0
    kind, total = end.kinds[gate // 2, gate % 2], 0.0
    out = (end.outs[kind, tube, 0], end.outs[kind, tube, 1])
    for n in range(end.near.shape[1]):
        mate = end.near[tube, n]
        if mate < 0:
            break
        if chosen[mate] < 0:
            continue
        others = gates[mate, chosen[mate]]
        if others < 0 or others // 2 == gate // 2 or end.kinds[others // 2, others % 2] != kind:
            continue
        way = Straight(
            spots[kind, mate, 0] - spots[kind, tube, 0],
            spots[kind, mate, 1] - spots[kind, tube, 1],
            middles[kind, others // 2, 0] - middles[kind, gate // 2, 0],
            middles[kind, others // 2, 1] - middles[kind, gate // 2, 1],
        )
        total += parting(way, out, apart)
    return total
