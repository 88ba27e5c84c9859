"""Where each tube begins and ends, which way it leaves, and how thick and stiff it is: what is given.

Which passages lie between is asked in candidates.py.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.arrays import Floats, Ints, frozen, frozen_ints
from routeviz.tubes.kinking import least_bend_of
from routeviz.tubes.routes import End, Tube, awaits_route
from routeviz.tubes.windows import excused_mm

SAFE = 1.02  # bends are aimed at a little more than the least: rounding corners must not break it
UNKNOWN_OUTSIDES = 5.0  # least bend where nobody knows it, in outside diameters: gentler than most published
NOWHERE = -1


@dataclass(frozen=True, slots=True, kw_only=True)
class Stations:
    """The n tubes to be laid, by what they begin and end with.

    Parameters
    ----------
    indices : array of int, shape (n,)
        Which tubes of the lay.
    names : tuple of str
        Theirs.
    radii, bends, least : array, shape (n,)
        Half the outside diameter; least bend radius to aim at, which its vacuum may raise; the one below
        which no bend is allowed, 0 where nobody knows.
    tips : array, shape (n, 2, 3)
        Where each starts and ends.
    ways : array, shape (n, 2, 3)
        Unit direction in which it leaves its nipple; zeros for an end without one.
    carriers : array of int, shape (n, 2)
        Which obstacle carries the nipple; ``NOWHERE`` where none does.
    excused : array, shape (n, 2)
        How far from the tip it need not keep off the carrier.
    ends : tuple of (str, str)
        Its nipples by name; where an end is loose, what it is.
    parts : tuple of str
        The part on which each starts; empty for a loose end.
    pinned : tuple of tuple of str
        Passages that the scene names for it, in order.
    """

    indices: Ints
    names: tuple[str, ...]
    radii: Floats
    bends: Floats
    least: Floats
    tips: Floats
    ways: Floats
    carriers: Ints
    excused: Floats
    ends: tuple[tuple[str, str], ...]
    parts: tuple[str, ...]
    pinned: tuple[tuple[str, ...], ...]


def stations_of(cabinet: Cabinet, tubes: Sequence[Tube], things: Sequence[str]) -> Stations:
    """Return what is given of the tubes that are to be laid: those without a centreline whose ends are known.

    Parameters
    ----------
    cabinet : Cabinet
        The case.
    tubes : sequence of Tube
        All tubes.
    things : sequence of str
        Names of the obstacles.

    Returns
    -------
    stations : Stations
        In the order of the tubes.
    """
    chosen = [i for i, tube in enumerate(tubes) if awaits_route(tube)]
    number = {name: i for i, name in reversed(list(enumerate(things)))}
    own = [tubes[i] for i in chosen]
    ends = [(tube, end) for tube in own for end in (tube.start, tube.end)]
    points = np.array([end.point for _, end in ends], dtype=np.float64)
    ways = np.array([_way(cabinet, end) for _, end in ends])
    carriers = np.array([_carrier(cabinet, end, number) for _, end in ends], dtype=np.int64)
    excused = np.array([_excused(cabinet, end, tube) for tube, end in ends])
    return Stations(
        indices=frozen_ints(chosen),
        names=tuple(tube.name for tube in own),
        radii=frozen([tube.kind.outside_mm / 2 for tube in own]),
        bends=frozen([bend_mm(cabinet, tube) for tube in own]),
        least=frozen([least_bend_of(t.kind, cabinet.practice.vacuum_kpa).radius_mm or 0.0 for t in own]),
        tips=frozen(points.reshape(-1, 2, 3)),
        ways=frozen(ways.reshape(-1, 2, 3)),
        carriers=frozen_ints(carriers.reshape(-1, 2)),
        excused=frozen(excused.reshape(-1, 2)),
        ends=tuple((tube.start.nipple or "its start", tube.end.nipple or "its end") for tube in own),
        parts=tuple(cabinet.nipples[tube.start.nipple].part if tube.start.nipple else "" for tube in own),
        pinned=tuple(tube.through for tube in own),
    )


def only(stations: Stations, tubes: Ints) -> Stations:
    """Return some of the tubes, given by their numbers."""
    chosen = tubes.tolist()
    return Stations(
        indices=frozen_ints(stations.indices[tubes]),
        names=tuple(stations.names[tube] for tube in chosen),
        radii=frozen(stations.radii[tubes]),
        bends=frozen(stations.bends[tubes]),
        least=frozen(stations.least[tubes]),
        tips=frozen(stations.tips[tubes]),
        ways=frozen(stations.ways[tubes]),
        carriers=frozen_ints(stations.carriers[tubes]),
        excused=frozen(stations.excused[tubes]),
        ends=tuple(stations.ends[tube] for tube in chosen),
        parts=tuple(stations.parts[tube] for tube in chosen),
        pinned=tuple(stations.pinned[tube] for tube in chosen),
    )


def bend_mm(cabinet: Cabinet, tube: Tube) -> float:
    """Return the bend radius that is aimed at for a tube."""
    allowed = least_bend_of(tube.kind, cabinet.practice.vacuum_kpa)
    known = [r for r in (allowed.radius_mm, allowed.caution_mm) if r is not None and math.isfinite(r)]
    return SAFE * max(known, default=UNKNOWN_OUTSIDES * tube.kind.outside_mm)


def _way(cabinet: Cabinet, end: End) -> Floats:
    return cabinet.nipples[end.nipple].direction if end.nipple else np.zeros(3)


def _carrier(cabinet: Cabinet, end: End, number: dict[str, int]) -> int:
    carrier = cabinet.nipples[end.nipple].carrier if end.nipple else None
    return NOWHERE if carrier is None else number[cabinet.solids[carrier].name]


def _excused(cabinet: Cabinet, end: End, tube: Tube) -> float:
    """Return how far from its tip a tube is near the nipple's carrier by necessity."""
    carrier = cabinet.nipples[end.nipple].carrier if end.nipple else None
    if carrier is None:
        return 0.0
    return excused_mm(cabinet, carrier, tube.kind.outside_mm)
