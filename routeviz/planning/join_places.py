"""Where do tees and couplers lie to which the scene gives no place?

Places near where their tubes are shortest together, by distances through free space, are tried one after the
other; the first few with room are compared by all ways in which their nipples can point. One join is placed
after the other, earlier ones in its way; those that are joined to each other are then looked at once more.
What room is needed is told in join_rooms.py.
"""

import itertools
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass

import numpy as np

from routeviz.cabinet.joins import JoinPlace, half_of
from routeviz.cabinet.messages import Where
from routeviz.cabinet.solids import Cabinet, extents
from routeviz.geometry.arrays import Floats, frozen
from routeviz.planning.join_fields import (
    Fields,
    fields_of,
    free_middles,
    larger_cells,
    mean_far,
)
from routeviz.planning.join_rooms import (
    Goal,
    Join,
    Leg,
    Surroundings,
    sleeve_of,
    surroundings_of,
    tip_of,
    ways_of,
    why_not,
    with_join,
)
from routeviz.planning.obstacles import obstacles_of
from routeviz.planning.stations import bend_mm
from routeviz.scene.parts import JoinPart
from routeviz.scene.quantities import WORDS
from routeviz.scene.reading import Reading
from routeviz.scene.wiring import End as NamedEnd
from routeviz.tubes.plans import NoWay, Plan
from routeviz.tubes.routes import End, Tube

AROUND_MM = 7.0  # beyond the thickest sleeve's radius and what is asked for, to which things are looked at
COMPARED = 6  # places with room that are compared
LOOKED_AT = ((15.0, 200), (40.0, 200), (100.0, 200))  # how far apart, and how many: what it costs is bounded
ABOUT_MM = 150.0  # from a place to what another one could cure
NO_TURN = "its tubes have no room to bend"
ELSEWHERE_MM = 60.0  # from a place at which tubes could not be laid to the next that is tried


Wrong = Sequence[tuple[Set[str], Floats | None]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Places:
    """What was found.

    Parameters
    ----------
    places : tuple of JoinPlace
        In the order of the scene.
    no_ways : tuple of NoWay
        Why there is none for the others.
    """

    places: tuple[JoinPlace, ...] = ()
    no_ways: tuple[NoWay, ...] = ()


NOTHING_PLACED = Places()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Search:
    """What stays the same for all of them."""

    fields: Fields
    joins: Mapping[str, Join]
    low: Floats
    high: Floats
    kept: Mapping[str, JoinPlace]
    tried: Mapping[str, Sequence[Floats]]


def join_places(
    reading: Reading,
    cabinets: Sequence[Cabinet],
    tubes: Sequence[Tube],
    before: Plan | None = None,
    tried: Mapping[str, Sequence[Floats]] | None = None,
) -> Places:
    """Return a place for each tee and coupler that has none.

    Parameters
    ----------
    reading : Reading
        The scene as read.
    cabinets : sequence of Cabinet
        The case in each stage, placed without them; the last stage last.
    tubes : sequence of Tube
        All tubes as drawn, in the last stage.
    before : Plan or None
        An earlier plan; places in it that are still good stay.
    tried : mapping of sequence of array
        By name, places at which tubes could not be laid.

    Returns
    -------
    found : Places
        Nothing where the scene says where all of them lie.
    """
    waiting = {name for cabinet in cabinets for name in cabinet.without_place}
    joins = {
        name: _join(reading, name, part, cabinets[-1], tubes)
        for name, part in reading.scene.part.items()
        if isinstance(part, JoinPart) and name in waiting
    }
    if not joins:
        return NOTHING_PLACED
    sleeve = max(max([j.radius, *(leg.sleeve for leg in j.legs)]) for j in joins.values())
    radius = max((leg.radius for j in joins.values() for leg in j.legs), default=sleeve)
    low, high = extents(cabinets[-1])
    around = obstacles_of(cabinets, (low - 3 * sleeve, high + 3 * sleeve), sleeve + AROUND_MM)
    search = _Search(
        fields=fields_of(cabinets[-1], around, radius),
        joins=joins,
        low=low,
        high=high,
        kept={} if before is None else {one.name: one for one in before.places},
        tried=tried or {},
    )
    return _all_placed(search, surroundings_of(cabinets, tubes, around))


def failed(
    found: Places, reading: Reading, kept: Sequence[JoinPlace], wrong: Wrong, tried: dict[str, list[Floats]]
) -> bool:
    """Note which of the places that were found are no good, as tubes could not be laid well to them.

    Parameters
    ----------
    found : Places
        What was found.
    reading : Reading
        The scene.
    kept : sequence of JoinPlace
        Where the best lay so far has them: a place that it has not made it no better.
    wrong : sequence of (set of str, array or None)
        What is wrong with that lay: names of tubes, other names are passed over; and where. What is far
        from a tee no other place of it would cure.
    tried : dict of list of array
        By tee or coupler, places that are no good; written.

    Returns
    -------
    failed : bool
        Whether there were any.
    """
    best = {one.name: one.at.tolist() for one in kept}
    on: dict[str, set[str]] = {}
    for wire in reading.wires:
        for end in (wire.start, wire.end):
            on.setdefault(end.part or "", set()).add(wire.name)
    bad = [
        one
        for one in found.places
        if best.get(one.name) != one.at.tolist()
        or any(
            names & on.get(one.name, set()) and (point is None or np.linalg.norm(point - one.at) <= ABOUT_MM)
            for names, point in wrong
        )
    ]
    for one in bad:
        tried.setdefault(one.name, []).append(one.at)
    return bool(wrong) and bool(bad)


def _all_placed(search: _Search, bare: Surroundings) -> Places:
    """Place one after the other, those with most known ends first; then look at joined ones once more."""
    found: dict[str, JoinPlace] = {}
    refused: dict[str, NoWay] = {}
    by_known = sorted(search.joins.values(), key=lambda j: -sum(leg.goal is not None for leg in j.legs))
    chained = [join for join in by_known if any(leg.beyond for leg in join.legs)]
    for turn, join in [*((0, join) for join in by_known), *((1, join) for join in chained)]:
        around = bare
        for name, place in found.items():
            if name != join.name:
                around = with_join(around, search.joins[name], place)
        best = _best(search, join, around, found)
        if isinstance(best, JoinPlace):
            found[join.name] = best
        elif turn == 0:
            refused[join.name] = best
    return Places(
        places=tuple(found[name] for name in search.joins if name in found),
        no_ways=tuple(refused[name] for name in search.joins if name in refused),
    )


# ── what is joined ───────────────────────────────────────────────────────────────────────────────
def _join(reading: Reading, name: str, part: JoinPart, cabinet: Cabinet, tubes: Sequence[Tube]) -> Join:
    wires, where = {wire.name: wire for wire in reading.wires}, Where(reading=reading, key=("part", name))
    legs = []
    for tube in tubes:
        wire = wires[tube.name]
        for own, other, end, pins in (
            (wire.start, wire.end, tube.end, wire.entry.through),
            (wire.end, wire.start, tube.start, wire.entry.through[::-1]),
        ):
            if own.part != name or own.number is None:
                continue
            goal = _goal(cabinet, tube, end, pins)
            legs.append(
                Leg(
                    number=own.number,
                    tube=tube.name,
                    radius=tube.kind.outside_mm / 2,
                    sleeve=sleeve_of(tube, part.outside_mm),
                    bend=bend_mm(cabinet, tube),
                    goal=goal,
                    beyond=None if goal is not None else _beyond(other, name, cabinet),
                )
            )
    return Join(
        name=name,
        is_tee=part.kind == "tee",
        half=half_of(part, where),
        radius=part.outside_mm / 2,
        legs=tuple(legs),
    )


def _goal(cabinet: Cabinet, tube: Tube, end: End, pins: Sequence[str]) -> Goal | None:
    """Return where a tube goes from a tee: through the first of its passages, or to its other end."""
    if pins:
        return Goal(at=cabinet.passages[pins[0]].origin)
    if end.point is None:
        return None
    way = cabinet.nipples[end.nipple].direction if end.nipple is not None else np.zeros(3)
    return Goal(at=frozen(end.point + bend_mm(cabinet, tube) * way), tip=end.point, way=way)


def _beyond(other: NamedEnd, name: str, cabinet: Cabinet) -> str | None:
    return other.part if other.part in cabinet.without_place and other.part != name else None


def _goals(
    search: _Search, join: Join, found: Mapping[str, JoinPlace], seen: frozenset[str] = frozenset()
) -> dict[int, list[Goal]]:
    """Return by nipple where its tube goes: one place, or all that lies beyond a join without a place yet."""
    goals: dict[int, list[Goal]] = {}
    for leg in join.legs:
        if leg.goal is not None:
            goals[leg.number] = [leg.goal]
        elif leg.beyond is not None and leg.beyond not in seen:
            other = search.joins[leg.beyond]
            mine = [one for one in other.legs if one.tube == leg.tube]
            if leg.beyond in found and mine:
                place, number = found[leg.beyond], mine[0].number
                tip, way = tip_of(other, place, number), ways_of(place)[number]
                goals[leg.number] = [Goal(at=frozen(tip + leg.bend * way), tip=tip, way=way)]
            else:
                onward = _goals(search, other, found, seen | {join.name})
                beyond = [Goal(at=goal.at) for group in onward.values() for goal in group]
                goals |= {leg.number: beyond} if beyond else {}
    return goals


# ── the best place ───────────────────────────────────────────────────────────────────────────────
def _best(
    search: _Search, join: Join, around: Surroundings, found: Mapping[str, JoinPlace]
) -> JoinPlace | NoWay:
    """Return the best place with room, or why there is none; that of an earlier plan, if it is still good."""
    goals = _goals(search, join, found)
    old = search.kept.get(join.name)
    if old is not None and _can_be(search, join, old) and why_not(around, join, old, goals) is None:
        return old
    far = {number: mean_far(search.fields, [goal.at for goal in group]) for number, group in goals.items()}
    reasons: Counter[str] = Counter()
    best: list[tuple[float, int, JoinPlace]] = []
    for number, (dues, at) in enumerate(_tried_in_turn(*_by_cost(search, join, far))):
        turned = _ways_at(search, join, far, at)
        reasons[NO_TURN] += not turned
        for length, place in turned:
            why = why_not(around, join, place, goals)
            if why is None:
                best.append((dues + length, number, place))
                break
            reasons[why] += 1
        if len(best) == COMPARED:
            break
    return min(best)[2] if best else _refusal(join, goals, reasons)


def _can_be(search: _Search, join: Join, old: JoinPlace) -> bool:
    """Return whether a place of an earlier plan is one for such a join, in the case, not tried in vain."""
    in_case = ((old.at >= search.low) & (old.at <= search.high)).all()
    tried = any((old.at == at).all() for at in search.tried.get(join.name, ()))
    return (old.runs, old.branches) in _turns(join) and bool(in_case) and not tried


def _turns(join: Join) -> list[tuple[str, str | None]]:
    """Return all ways in which a join can be turned: where it runs, and where a tee branches."""
    if not join.is_tee:
        return [(runs, None) for runs in WORDS]
    pairs = itertools.product(WORDS, repeat=2)
    return [(r, b) for r, b in pairs if not any(x and y for x, y in zip(WORDS[r], WORDS[b], strict=True))]


def _by_cost(search: _Search, join: Join, far: Mapping[int, Floats]) -> tuple[Floats, Floats]:
    """Return what free places cost beside the lengths of the tubes, and the places, cheapest first."""
    if not far:
        return np.zeros(0), np.zeros((0, 3))
    cells, places = free_middles(search.fields, search.low, search.high)
    lengths = np.sum(list(far.values()), axis=0)[larger_cells(search.fields, places)]
    dues = search.fields.dues[cells]
    fit = np.isfinite(lengths)
    for one in search.tried.get(join.name, ()):
        fit &= np.abs(places - one).max(axis=1) >= ELSEWHERE_MM
    order = np.lexsort([*places.T[::-1], lengths + dues])
    order = order[fit[order]]
    return dues[order], places[order]


def _tried_in_turn(dues: Floats, places: Floats) -> Iterator[tuple[float, Floats]]:
    """Yield places to be looked at, with their dues: all over again, farther apart each time."""
    for apart, most in LOOKED_AT:
        _, firsts = np.unique(np.floor(places / apart), axis=0, return_index=True)
        for number in np.sort(firsts)[:most].tolist():
            yield float(dues[number]), places[number]


def _ways_at(
    search: _Search, join: Join, far: Mapping[int, Floats], at: Floats
) -> list[tuple[float, JoinPlace]]:
    """Return a join at a place with its nipples all ways that they can point, shortest tubes first."""
    found = []
    legs = [leg for leg in join.legs if leg.number in far]
    for runs, branches in _turns(join):
        place = JoinPlace(name=join.name, at=frozen(at), runs=runs, branches=branches)
        turns = [tip_of(join, place, leg.number) + leg.bend * ways_of(place)[leg.number] for leg in legs]
        cells = larger_cells(search.fields, np.array(turns))
        length = sum(float(far[leg.number][cell]) for leg, cell in zip(legs, cells.tolist(), strict=True))
        if np.isfinite(length):
            found.append((length, place))
    return sorted(found, key=lambda one: one[0])


# ── no place ─────────────────────────────────────────────────────────────────────────────────────
def _refusal(join: Join, goals: Mapping[int, list[Goal]], reasons: Counter[str]) -> NoWay:
    """Say why no place was found, by what stood in the way most often."""
    point: Floats | None = None
    frees = f"make room where its tubes meet, or write at for {join.name} where it lies"
    if not goals:
        cause = f"{join.name} has no place: of none of its tubes is it known where the other end lies"
        frees = f"wire it to nipples, or write at for {join.name} where it lies"
    elif not reasons.total():
        cause = f"{join.name} has no place: no free place was found that all its tubes can reach"
        point = next(iter(goals.values()))[0].at
    else:
        why, _ = reasons.most_common(1)[0]
        cause = f"{join.name} has no place: none was found with room for it; mostly {why}"
        point = next(iter(goals.values()))[0].at
    tubes = tuple(dict.fromkeys(leg.tube for leg in join.legs))
    return NoWay(tubes=tubes, passage=None, point=point, cause=cause, frees=frees, part=join.name)
