"""What of an earlier plan is still good? Tubes that can stay as they were, and ways to begin with.

A tube stays until others must have its room (waking.py). Whether it still is legal is said by the checks.
"""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.arrays import Floats
from routeviz.geometry.curves import Curve, points_along, rounded_polyline
from routeviz.planning.obstacles import Obstacles, clearances_at
from routeviz.planning.stations import Stations, stations_of
from routeviz.tubes.plans import Plan, PlannedTube
from routeviz.tubes.routes import Tube

STEP_MM = 2.0  # between points that are looked at: an edge between two comes nearer by a tenth
GRAIN_MM = 2e-3  # by which an end may be off its nipple: both are kept to a micrometre
ALONG = 1e-4  # by which the cosine of the first leg with the nipple's direction may be off 1
DRAGGED_MM = 15.0  # by which an end may have moved for the rest to follow: three outside diameters or so
SLACK_MM = 0.08  # clearance that may be missing: as the checks forgive, and a little, for this look is coarse
NEAREST_MM = 0.5  # by which two tubes' points may be nearer than they are thick: points are steps apart


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """What stays.

    Parameters
    ----------
    tubes : tuple of Tube
        All tubes; those that stay have the centreline, passages and ties of the plan.
    planned : tuple of PlannedTube
        Those that stay.
    begun : tuple of PlannedTube
        Those that cannot stay as they are, but may begin there: their ends have hardly moved, and they
        still go through the passages that are asked for.
    """

    tubes: tuple[Tube, ...]
    planned: tuple[PlannedTube, ...]
    begun: tuple[PlannedTube, ...]


def carried_over(
    before: Plan | None, cabinets: Sequence[Cabinet], tubes: Sequence[Tube], obstacles: Obstacles
) -> Carried:
    """Return the tubes of an earlier plan that still join their nipples, bend gently and are clear of all.

    Parameters
    ----------
    before : Plan or None
        The earlier plan.
    cabinets : sequence of Cabinet
        The stages, the last stage last.
    tubes : sequence of Tube
        All tubes as drawn.
    obstacles : Obstacles
        What stands there now.

    Returns
    -------
    carried : Carried
        Of two planned tubes that meet, neither stays.
    """
    stations = stations_of(cabinets[-1], tubes, obstacles.names)
    number = {name: i for i, name in enumerate(stations.names)}
    own: list[tuple[int, PlannedTube, Curve]] = []
    begun: list[PlannedTube] = []
    for one in () if before is None else before.tubes:
        curve = _begun(one, stations, number.get(one.name), cabinets[-1])
        if curve is None:
            continue
        if _stays(one, curve, stations, number[one.name], obstacles):
            own.append((number[one.name], one, curve))
        else:
            begun.append(one)
    drawn = [(t.curve, t.kind.outside_mm / 2) for t in tubes if t.curve is not None]
    curves = [*((curve, float(stations.radii[i])) for i, _, curve in own), *drawn]
    apart = _keep_apart(curves)[: len(own)]
    laid = list(tubes)
    for (i, one, curve), good in zip(own, apart, strict=True):
        if good:
            index = int(stations.indices[i])
            laid[index] = _as_planned(tubes[index], one, curve)
        else:
            begun.append(one)
    planned = tuple(one for (_, one, _), good in zip(own, apart, strict=True) if good)
    return Carried(tubes=tuple(laid), planned=planned, begun=tuple(begun))


def _as_planned(tube: Tube, one: PlannedTube, curve: Curve) -> Tube:
    return replace(
        tube, corners=one.corners, radii=one.radii, curve=curve, through=one.through, ties=one.ties
    )


def _begun(one: PlannedTube, stations: Stations, number: int | None, cabinet: Cabinet) -> Curve | None:
    """Return the centreline of a planned tube that can begin where it lay, None for one that cannot."""
    if number is None or not all(name in cabinet.passages for name in one.through):
        return None
    tips, ways = stations.tips[number], stations.ways[number]
    ends = np.array([one.corners[0], one.corners[-1]])
    legs = np.array([one.corners[1] - one.corners[0], one.corners[-2] - one.corners[-1]])
    legs /= np.maximum(np.linalg.norm(legs, axis=1), GRAIN_MM)[:, None]
    straight = [not way.any() or float(leg @ way) > 1 - ALONG for leg, way in zip(legs, ways, strict=True)]
    rest = iter(one.through)
    as_pinned = all(any(name == other for other in rest) for name in stations.pinned[number])
    if not (as_pinned and all(straight)) or np.linalg.norm(ends - tips, axis=1).max() > DRAGGED_MM:
        return None
    try:
        return rounded_polyline(one.corners, one.radii)
    except ValueError:
        return None


def _stays(one: PlannedTube, curve: Curve, stations: Stations, number: int, obstacles: Obstacles) -> bool:
    """Return whether a planned tube ends at its nipples, bends gently, and is clear of what stands there."""
    ends = np.array([one.corners[0], one.corners[-1]])
    if np.abs(ends - stations.tips[number]).max() > GRAIN_MM:
        return False
    gentle = float(curve.curvatures.max(initial=0.0)) * stations.least[number] <= 1.0
    return gentle and _is_clear(curve, stations, number, obstacles)


def _is_clear(curve: Curve, stations: Stations, number: int, obstacles: Obstacles) -> bool:
    points = _points(curve)
    for end in (0, 1):
        far = np.linalg.norm(points - stations.tips[number, end], axis=1)
        points = points[far > stations.excused[number, end]]
    radius = float(stations.radii[number])
    clear = clearances_at(obstacles.table, points, radius + 1.0)
    return bool((clear >= radius - SLACK_MM).all())


def _points(curve: Curve) -> Floats:
    long = float(curve.begins[-1])
    return points_along(curve, np.linspace(0.0, long, 2 + int(long / STEP_MM)))


def _keep_apart(curves: Sequence[tuple[Curve, float]]) -> NDArray[np.bool_]:
    """Return which centrelines are not met by any other."""
    good = np.ones(len(curves), dtype=bool)
    trees = [cKDTree(_points(curve)) for curve, _ in curves]
    boxes = [(tree.mins, tree.maxes) for tree in trees]
    for i, j in itertools.combinations(range(len(curves)), 2):
        least = curves[i][1] + curves[j][1] - NEAREST_MM
        if (boxes[i][0] > boxes[j][1] + least).any() or (boxes[j][0] > boxes[i][1] + least).any():
            continue
        if trees[i].count_neighbors(trees[j], least):
            good[[i, j]] = False
    return good
