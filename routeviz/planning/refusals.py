"""Why is there no way for a tube? In plain words, with the numbers, and what would free it.

What keeps a tube from leaving its nipples is told in first_bends.py, that passages are full, in choosing.py.
"""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from routeviz.cabinet.motions import Fixed
from routeviz.cabinet.passages import Passage
from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.arrays import Floats
from routeviz.planning.candidates import chains_of, free_ends
from routeviz.planning.freespace import Grid
from routeviz.planning.mouths import BEFORE_MM, NEAR_MM, Mouths, before
from routeviz.planning.obstacles import Obstacles
from routeviz.planning.reasons import ARE, END, START, at_tip, side_of
from routeviz.planning.stations import Stations
from routeviz.planning.walls import Rooms, thing_at, wall_between
from routeviz.tubes.plans import NoWay


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """What tubes of one thickness find.

    Parameters
    ----------
    cabinet : Cabinet
        The case.
    passages : sequence of Passage
        All.
    mouths : Mouths
        Theirs.
    grid : Grid
        Free space.
    obstacles : Obstacles
        What stands there.
    """

    cabinet: Cabinet
    passages: Sequence[Passage]
    mouths: Mouths
    grid: Grid
    obstacles: Obstacles


def refusal(case: Case, stations: Stations, tube: int, rooms: tuple[int, int]) -> NoWay:
    """Return why no chain of passages leads from a tube's start to its end.

    Parameters
    ----------
    case : Case
        What it finds.
    stations : Stations
        All tubes.
    tube : int
        Which.
    rooms : tuple of int
        The rooms of its start and its end; 0 where there is none.

    Returns
    -------
    refusal : NoWay
        Of this tube alone.
    """
    name = stations.names[tube]
    pinned = [_number(case, pin) for pin in stations.pinned[tube]]
    for side in (0, 1):
        if rooms[side] == 0:
            return _walled_in(case, stations, tube, side)
    if not chains_of(*rooms, case.mouths.rooms, ()):
        return _apart(case, stations, tube, rooms)
    for pin in pinned:
        if not chains_of(*rooms, case.mouths.rooms, (pin,)):
            return _closed_pin(case, stations, tube, rooms, pin)
    for one, other in itertools.combinations(pinned, 2):
        if not chains_of(*rooms, case.mouths.rooms, (one, other)):
            return _at_odds(case, name, rooms, (one, other))
    named = f" by way of {', '.join(stations.pinned[tube])}" if pinned else ""
    return NoWay(
        tubes=(name,),
        passage=stations.pinned[tube][0] if pinned else None,
        point=stations.tips[tube, 0],
        cause=f"no free way leads from {START} to {END}{named}",
        frees="name other passages for it" if pinned else f"make room between {START} and {END}",
    )


def _number(case: Case, name: str) -> int:
    return next(number for number, passage in enumerate(case.passages) if passage.name == name)


def _walled_in(case: Case, stations: Stations, tube: int, side: int) -> NoWay:
    """Return why, where nothing is free where the tube has left its nipple."""
    end = side_of(side)
    thing = thing_at(case.obstacles, free_ends(stations)[tube, side])
    cause = (
        f"{end} {ARE} walled in{_by(case, thing)}: nothing is free within {NEAR_MM:.0f} mm of where "
        "a tube's first bend ends there"
    )
    return at_tip(stations, tube, side, cause, f"clear the space before {end}")


def _apart(case: Case, stations: Stations, tube: int, rooms: tuple[int, int]) -> NoWay:
    """Return why, where start and end are in parts of the case that no passage joins."""
    here, there = reached(case.mouths, rooms[0]), reached(case.mouths, rooms[1])
    shut = _shut_passage(case, here, there)
    if shut is not None:
        number, thing = shut
        passage = case.passages[number]
        return NoWay(
            tubes=(stations.names[tube],),
            passage=passage.name,
            point=passage.origin,
            cause=f"{passage.name} is shut{_by(case, thing)}, and no other passage leads there",
            frees=f"move {thing}, or open another passage" if thing else "open another passage",
        )
    side = 0 if _cells(case.grid, here) <= _cells(case.grid, there) else 1
    thing = wall_between(case.grid, case.obstacles, here, there)
    cause = f"no passage leads from {START} to {END}: {side_of(side)} {ARE} closed in{_by(case, thing)}"
    frees = f"open a passage through {thing}" if thing else "open a passage between them"
    return at_tip(stations, tube, side, cause, frees)


def reached(mouths: Mouths, begin: int, without: int | None = None) -> Rooms:
    """Return the rooms to which passages lead from a room, itself among them; one passage may be left out."""
    found, fresh = {begin}, [begin]
    while fresh:
        room = fresh.pop()
        for number, (one, other) in enumerate(mouths.rooms.tolist()):
            if number != without and room in (one, other) and one and other:
                beyond = other if room == one else one
                if beyond not in found:
                    found.add(beyond)
                    fresh.append(beyond)
    return frozenset(found)


def _shut_passage(case: Case, here: Rooms, there: Rooms) -> tuple[int, str | None] | None:
    """Return a passage that is shut on one side and known on the other, and by what; the first by name."""
    for number, both in enumerate(case.mouths.rooms.tolist()):
        for side in (0, 1):
            if both[side] == 0 and (both[1 - side] in here | there or both[1 - side] == 0):
                return number, thing_at(case.obstacles, before(case.passages[number], side, BEFORE_MM))
    return None


def _closed_pin(case: Case, stations: Stations, tube: int, rooms: tuple[int, int], pin: int) -> NoWay:
    """Return why a passage that the scene names cannot be on the way."""
    passage = case.passages[pin]
    known = reached(case.mouths, rooms[0], pin) | reached(case.mouths, rooms[1], pin)
    thing: str | None
    for side in (0, 1):
        room = int(case.mouths.rooms[pin, side])
        if room == 0:
            thing = thing_at(case.obstacles, before(passage, side, BEFORE_MM))
            cause = f"{passage.name} is shut{_by(case, thing)}"
            break
        if room not in known:
            thing = wall_between(case.grid, case.obstacles, reached(case.mouths, room, pin), known)
            cause = f"no way leads from {START} to {passage.name}: it is closed in{_by(case, thing)}"
            break
    else:
        thing, cause = None, f"no way leads on from {passage.name} to {END}"
    other = f", or open {thing}" if thing else ""
    return NoWay(
        tubes=(stations.names[tube],),
        passage=passage.name,
        point=passage.origin,
        cause=cause,
        frees=f"take {passage.name} out of its through{other}",
    )


def _at_odds(case: Case, name: str, rooms: tuple[int, int], pins: tuple[int, int]) -> NoWay:
    """Return why two passages that the scene names cannot be on one way in this order."""
    first, second = (case.passages[pin].name for pin in pins)
    point: Floats = case.passages[pins[0]].origin
    if chains_of(*rooms, case.mouths.rooms, pins[::-1]):
        cause = f"{second} comes before {first} on every way, and its through names {first} first"
        return NoWay(
            tubes=(name,),
            passage=first,
            point=point,
            cause=cause,
            frees=f"turn the order of its through: {second}, {first}",
        )
    return NoWay(
        tubes=(name,),
        passage=first,
        point=point,
        cause=f"it cannot take {first} and {second} both: no way leads through one and on through the other",
        frees=f"keep one of {first} and {second} in its through",
    )


def _by(case: Case, thing: str | None) -> str:
    """Return the words that name what closes something."""
    if thing is None:
        return ""
    moves = any(s.name == thing and not isinstance(s.movement, Fixed) for s in case.cabinet.solids)
    return f" by {thing}{' in its travel' if moves else ''}"


def _cells(grid: Grid, rooms: Rooms) -> int:
    return sum(int((grid.rooms == room).sum()) for room in sorted(rooms))
