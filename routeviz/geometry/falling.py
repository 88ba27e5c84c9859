"""How far places on tubes may fall before they come near bodies, and which body is nearest to a place.

Estimates to lay tubes by: places and moments are samples. What is proven of distances is in sweeps.py.
"""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from routeviz.geometry.arrays import Floats, Ints, check_shape
from routeviz.geometry.compiled import compiled, inner
from routeviz.geometry.distances import (
    BODY,
    Point,
    Swept,
    flattened,
    nearest_on,
    taken_along,
    taken_back,
    turn_back,
)
from routeviz.geometry.envelopes import arms_of, swept_boxes
from routeviz.geometry.shapes import HINGED, Bodies
from routeviz.geometry.trees import Tree, build_tree, overlapping

NOBODY = -1
STEP = 2.0  # how far a body may go between the moments that are looked at: half of it stays unseen
ROUNDING = 1e-6  # a slope flatter than this is level
CLOSE = 0.01  # a place so near to its limit is at it
MOST_STEPS = 40  # Newton's steps on a convex function; half a dozen are usual


class Places(NamedTuple):
    """n places on tubes; a named tuple because compiled loops take it whole.

    Parameters
    ----------
    points, tangents : array, shape (n, 3)
        Where, and which way the tube goes there.
    radii : array, shape (n,)
        Of the tube.
    excused : array of int, shape (n, 2)
        Bodies that the place need not keep off, or ``NOBODY``.
    """

    points: Floats
    tangents: Floats
    radii: Floats
    excused: Ints


class _Ground(NamedTuple):
    """Bodies, the tree over their pieces' boxes, and at how many moments of its travel each piece is seen."""

    swept: Swept
    tree: Tree
    moments: Ints


def rooms_below(
    places: Places, bodies: Bodies, asked: Floats, *, down: Floats, spare: float, deepest: float
) -> Floats:
    """Return how far each place may fall until it is too near to a body anywhere in the body's travel.

    Too near is what the body asks for and ``spare`` more; of what the place has less to spare where it is,
    half may be used up. One that is too near already may come no nearer at all.

    Parameters
    ----------
    places : Places
        Where the tubes are.
    bodies : Bodies
        b in all.
    asked : array, shape (b,)
        The least distance from the tube's wall that each asks for.
    down : array, shape (3,)
        Unit vector along which they fall.
    spare : float
        How much more is kept, >= 0.
    deepest : float
        How far is looked.

    Returns
    -------
    rooms : array, shape (n,)
        From 0 to ``deepest``.
    """
    check_shape("asked", asked, (len(bodies.kinds),))
    check_shape("down", down, (3,))
    rooms = np.full(len(places.points), float(deepest))
    if len(rooms) and len(bodies.kinds):
        # Copies, since read-only arrays would be compiled for once more.
        limits, way = np.array(asked, np.float64), np.array(down, np.float64)
        _fill_rooms(places, _ground(bodies), limits, way, float(spare), rooms)
    return rooms


def nearest_bodies(
    points: Floats, bodies: Bodies, chosen: NDArray[np.bool_], reach: float
) -> tuple[Ints, Floats]:
    """Return which chosen body each point is nearest to, anywhere in its travel, and how near.

    Parameters
    ----------
    points : array, shape (n, 3)
        Where.
    bodies : Bodies
        b in all.
    chosen : array of bool, shape (b,)
        Which of them count.
    reach : float
        Within which one is looked for.

    Returns
    -------
    nearest : array of int, shape (n,)
        ``NOBODY`` where none is within reach; of equally near ones the first.
    distances : array, shape (n,)
        ``inf`` there.
    """
    check_shape("points", points, (None, 3))
    nearest, distances = np.full(len(points), NOBODY, np.int64), np.full(len(points), np.inf)
    if len(points) and chosen.any():
        _fill_nearest(np.ascontiguousarray(points), _ground(bodies), chosen, float(reach), nearest, distances)
    return nearest, distances


def _ground(bodies: Bodies) -> _Ground:
    owners = bodies.pieces.bodies
    arms = np.where(bodies.kinds[owners] == HINGED, arms_of(bodies), 1.0)
    moments = 1 + np.ceil(arms * np.abs(bodies.travels[owners]) / STEP)
    return _Ground(flattened(bodies), build_tree(*swept_boxes(bodies)), moments.astype(np.int64))


@compiled
def _fill_rooms(
    places: Places, ground: _Ground, asked: Floats, down: Floats, spare: float, rooms: Floats
) -> None:
    found = np.empty(ground.tree.items.shape[0], np.int64)
    low, high = np.empty(3), np.empty(3)
    most = spare
    for body in range(asked.shape[0]):
        most = max(most, asked[body] + spare)
    for i in range(rooms.shape[0]):
        for axis in range(3):
            fallen = places.points[i, axis] + rooms[i] * down[axis]
            low[axis] = min(places.points[i, axis], fallen)
            high[axis] = max(places.points[i, axis], fallen)
        for k in range(overlapping(ground.tree, low, high, places.radii[i] + most, found)):
            piece = found[k]
            body = int(ground.swept.pieces[piece, BODY])
            if body == places.excused[i, 0] or body == places.excused[i, 1]:
                continue
            for moment in range(ground.moments[piece]):
                travel = moment / max(ground.moments[piece] - 1, 1)
                limits = (asked[body], spare, rooms[i])
                way = (down[0], down[1], down[2])
                rooms[i] = _room(places, i, ground.swept, (piece, travel), way, limits)


@inner
def _room(
    places: Places,
    i: int,
    swept: Swept,
    of: tuple[int, float],
    down: Point,
    limits: tuple[float, float, float],
) -> float:
    """Return how far a place may fall over a piece at a moment; limits: asked, spare, and the farthest fall.

    The distance is a convex function of the fall: Newton's steps stay above its first meeting with the limit,
    and where it no longer falls it never will again.
    """  # noqa: DOC201
    asked, spare, most = limits
    fallen, wanted = 0.0, 0.0
    for step in range(MOST_STEPS):
        x = places.points[i, 0] + fallen * down[0]
        y = places.points[i, 1] + fallen * down[1]
        z = places.points[i, 2] + fallen * down[2]
        distance, nx, ny, nz = _apart(swept, of[0], of[1], (x, y, z))
        if distance == 0.0:
            return fallen
        tangents = places.tangents
        ahead = nx * tangents[i, 0] + ny * tangents[i, 1] + nz * tangents[i, 2]
        # The tube is discs across its centreline: towards its end it reaches less far than its radius.
        clear = distance - places.radii[i] * math.sqrt(max(0.0, 1.0 - ahead * ahead))
        if step == 0:
            wanted = min(clear, asked + min(spare, 0.5 * max(clear - asked, 0.0)))
        slope = nx * down[0] + ny * down[1] + nz * down[2]
        if slope >= -ROUNDING:
            return most
        if clear - wanted < CLOSE:
            return fallen
        fallen += (clear - wanted) / -slope
        if fallen >= most:
            return most
    return fallen


@inner
def _apart(swept: Swept, piece: int, travel: float, point: Point) -> tuple[float, float, float, float]:
    """Return how far a point is from a piece at a moment of its travel, and the direction away from it."""
    body = int(swept.pieces[piece, BODY])
    turn = turn_back(swept.bodies, body, travel)
    distance, found = nearest_on(swept, piece, taken_back(swept.bodies, body, turn, point))
    if distance == 0.0:
        return 0.0, 0.0, 0.0, 0.0
    x, y, z = taken_along(swept.bodies, body, travel, found)
    return distance, (point[0] - x) / distance, (point[1] - y) / distance, (point[2] - z) / distance


@compiled
def _fill_nearest(
    points: Floats,
    ground: _Ground,
    chosen: NDArray[np.bool_],
    reach: float,
    nearest: Ints,
    distances: Floats,
) -> None:
    found = np.empty(ground.tree.items.shape[0], np.int64)
    for i in range(points.shape[0]):
        point = (points[i, 0], points[i, 1], points[i, 2])
        for k in range(overlapping(ground.tree, points[i], points[i], reach, found)):
            piece = found[k]
            body = int(ground.swept.pieces[piece, BODY])
            if not chosen[body]:
                continue
            for moment in range(ground.moments[piece]):
                travel = moment / max(ground.moments[piece] - 1, 1)
                distance = _apart(ground.swept, piece, travel, point)[0]
                if distance > reach:
                    continue
                if distance < distances[i] or (distance == distances[i] and body < nearest[i]):
                    distances[i], nearest[i] = distance, body
