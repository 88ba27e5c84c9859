"""Can each tube leave its nipples at all? Those that cannot are told before anything is searched.

A nipple may stand inside something, two may stand at one point, or the first bend has no room. Only what no
tube could do is told: what is merely too near is left to the checks.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_array
from scipy.sparse.csgraph import connected_components

from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.arrays import Floats, frozen
from routeviz.planning.obstacles import Obstacles, Table, clearances_at, fill_clearances
from routeviz.planning.reasons import ARE, THERE, in_groups, short, side_of
from routeviz.planning.stations import NOWHERE, Stations
from routeviz.tubes.plans import NoWay

SLACK_MM = 0.1  # by which a nipple may be too near: positions are judged to half of that
OVERLOOKED_MM = 1e6  # is asked for less by what does not count: nothing is so large
TURNS = np.radians([15.0, 30.0, 45.0, 60.0, 75.0, 90.0])  # by which a first bend turns: finer found no more
AROUND = np.linspace(0.0, 2 * np.pi, 17)[:-1]  # directions to which it turns
STARTS_MM = (0.0, 5.0, 10.0, 20.0, 40.0)  # straight before it
LOOK_MM = 4.0  # between points that are looked at: less than a tube is thick
LEG = 2  # outside diameters that must be free beyond a square bend: a straight end and a little more
FINE_MM = 0.5  # to which the largest bend is sought that there is room for


@dataclass(frozen=True, slots=True, kw_only=True)
class _End:
    """One end of a tube, and everything but what carries its nipples."""

    tube: int
    end: int
    tip: Floats
    way: Floats
    radius: float
    table: Table


def refused_ends(cabinet: Cabinet, stations: Stations, obstacles: Obstacles) -> list[NoWay]:
    """Return which tubes cannot leave their nipples, and why.

    Parameters
    ----------
    cabinet : Cabinet
        The case.
    stations : Stations
        The tubes.
    obstacles : Obstacles
        What stands there.

    Returns
    -------
    refused : list of NoWay
        No tube twice.
    """
    told = _at_one_point(stations)
    known = {name for one in told for name in one.tubes}
    spaces = {space.name for space in cabinet.keep_clear}
    solid = ["" if name in spaces else name for name in obstacles.names]
    for end in _ends(stations, obstacles):
        if stations.names[end.tube] not in known:
            found = _inside(end, stations, solid) or _without_room(end, stations, obstacles)
            if found is not None:
                told.append(found)
                known.add(stations.names[end.tube])
    return told


def _ends(stations: Stations, obstacles: Obstacles) -> Iterator[_End]:
    """Yield every end over a nipple."""
    table = obstacles.table
    tables: dict[tuple[int, ...], Table] = {}
    for tube in range(len(stations.names)):
        carriers = tuple(sorted({*stations.carriers[tube].tolist()} - {NOWHERE}))
        if carriers not in tables:
            asked = np.where(np.isin(table.owners, carriers), -OVERLOOKED_MM, table.asked)
            tables[carriers] = table._replace(asked=frozen(asked))
        for end in (0, 1):
            if stations.ways[tube, end].any():
                yield _End(
                    tube=tube,
                    end=end,
                    tip=stations.tips[tube, end],
                    way=stations.ways[tube, end],
                    radius=float(stations.radii[tube]),
                    table=tables[carriers],
                )


def _at_one_point(stations: Stations) -> list[NoWay]:
    """Return tubes whose ends are nearer to each other than they are thick."""
    over = stations.ways.any(axis=2).ravel()
    tips, radii = stations.tips.reshape(-1, 3), np.repeat(stations.radii, 2)
    far = np.linalg.norm(tips[:, None] - tips[None], axis=2)
    wanted = radii[:, None] + radii[None]
    near = (far < wanted - SLACK_MM) & over[:, None] & over[None]
    np.fill_diagonal(near, False)
    count, groups = connected_components(csr_array(near), directed=False)
    told = []
    for group in range(count):
        ends = np.flatnonzero(groups == group)
        if len(ends) > 1:
            told.append(_pair(stations, ends.tolist(), np.where(near, far, np.inf), wanted))
    return told


def _pair(stations: Stations, ends: Sequence[int], far: Floats, wanted: Floats) -> NoWay:
    """Return the reason for a group of ends, told by the two of them that are nearest to each other."""
    pairs = [(far[one, other], one, other) for one in ends for other in ends if one < other]
    apart, one, other = min(pairs)
    first, second = (stations.ends[end // 2][end % 2] for end in (one, other))
    every = in_groups([stations.ends[end // 2][end % 2] for end in ends])
    return NoWay(
        tubes=tuple(dict.fromkeys(stations.names[end // 2] for end in ends)),
        passage=None,
        point=stations.tips[one // 2, one % 2],
        cause=(f"{every} are too near each other: " if len(ends) > 2 else "")
        + f"{first} and {second} are {short(apart)} mm apart, "
        f"where their tubes want {short(wanted[one, other])} mm",
        frees=f"correct the position of {f'some of {every}' if len(ends) > 2 else f'{first} or {second}'}",
        wanted=float(wanted[one, other]),
        there=float(apart),
        unit="mm",
    )


def _inside(end: _End, stations: Stations, solid: Sequence[str]) -> NoWay | None:
    """Return why, where the tip is inside something solid."""
    bare = end.table._replace(asked=frozen(np.minimum(end.table.asked, 0.0)))
    clear, things = np.zeros(1), np.zeros(1, dtype=np.int64)
    fill_clearances(bare, end.tip[None].copy(), 1.0, clear, things)
    if clear[0] > -SLACK_MM or not solid[things[0]]:
        return None
    nipple, thing = side_of(end.end), solid[things[0]]
    return NoWay(
        tubes=(stations.names[end.tube],),
        passage=None,
        point=end.tip,
        cause=f"{nipple} {ARE} inside {thing}, {THERE} mm deep",
        frees=f"correct the position of {nipple} or of {thing}",
        wanted=0.0,
        there=float(clear[0]),
        unit="mm",
    )


def _without_room(end: _End, stations: Stations, obstacles: Obstacles) -> NoWay | None:
    """Return why, where neither a straight start nor a first bend is free."""
    bend = float(stations.least[end.tube])
    ahead = end.tip + np.arange(0.0, 2 * bend + LOOK_MM, LOOK_MM)[:, None] * end.way
    clear, things = np.zeros(len(ahead)), np.zeros(len(ahead), dtype=np.int64)
    fill_clearances(end.table, ahead, 2 * end.radius, clear, things)
    shut = np.flatnonzero(clear < end.radius - SLACK_MM)
    # What is too near at the very tip is in no bend's way: that is for the checks to tell.
    if not len(shut) or shut[0] == 0 or _turns(end, bend):
        return None
    least, most = 0.0, bend
    while most - least > FINE_MM:
        middle = (least + most) / 2
        least, most = (middle, most) if _turns(end, middle) else (least, middle)
    nipple, thing = side_of(end.end), obstacles.names[things[shut[0]]]
    return NoWay(
        tubes=(stations.names[end.tube],),
        passage=None,
        point=ahead[shut[0]],
        cause=f"a bend of {bend:.0f} mm is needed, {THERE} mm are available between {nipple} and {thing}",
        frees=f"turn {nipple}, take a tubing that bends more, or move {thing}",
        wanted=bend,
        there=float(np.floor(most)),
        unit="mm",
    )


def _turns(end: _End, bend: float) -> bool:
    """Return whether any first bend of a radius is free, with as much straight beyond it as it then takes."""
    first = np.cross(end.way, np.eye(3)[int(np.argmin(np.abs(end.way)))])
    first /= np.linalg.norm(first)
    second = np.cross(end.way, first)
    sides = np.cos(AROUND)[:, None] * first + np.sin(AROUND)[:, None] * second
    for start in STARTS_MM:
        for turn in TURNS:
            run = LEG * 2 * end.radius if turn > TURNS[-2] else bend
            points = _flat_bend(start, bend, float(turn), run)
            every = end.tip + points[:, 0, None] * end.way + points[:, 1, None] * sides[:, None]
            clear = clearances_at(end.table, every.reshape(-1, 3), end.radius)
            free = clear.reshape(len(sides), -1) >= end.radius - SLACK_MM
            if free.all(axis=1).any():
                return True
    return False


def _flat_bend(start: float, bend: float, turn: float, run: float) -> Floats:
    """Return points (n, 2), ahead and aside: straight, a bend, straight again."""
    before = np.arange(0.0, start, LOOK_MM)
    angles = np.linspace(0.0, turn, 2 + int(bend * turn / LOOK_MM))
    beyond = np.linspace(0.0, run, 2 + int(run / LOOK_MM))[1:]
    ahead = start + bend * np.sin(angles)
    aside = bend * (1 - np.cos(angles))
    return np.concatenate(
        [
            np.column_stack([before, np.zeros(len(before))]),
            np.column_stack([ahead, aside]),
            np.column_stack([ahead[-1] + beyond * np.cos(turn), aside[-1] + beyond * np.sin(turn)]),
        ]
    )


def can_leave(tip: Floats, way: Floats, radius: float, bend: float, table: Table) -> bool:
    """Return whether a tube can leave a nipple: straight on for two bends, or by a first bend.

    Parameters
    ----------
    tip, way : array, shape (3,)
        Where it begins, and the unit direction in which it leaves.
    radius, bend : float
        Half its outside diameter; its least bend radius.
    table : Table
        What it must keep off.

    Returns
    -------
    can : bool
        Whether any way to begin is free.
    """
    ahead = tip + np.arange(0.0, 2 * bend + LOOK_MM, LOOK_MM)[:, None] * way
    if (clearances_at(table, ahead, radius) >= radius - SLACK_MM).all():
        return True
    return _turns(_End(tube=0, end=0, tip=tip, way=way, radius=radius, table=table), bend)
