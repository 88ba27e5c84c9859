"""How far a point is from a convex piece, and where the piece is nearest.

The distance to a convex set is a convex function with slope one: what sweeps.py builds its proofs on.
"""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from routeviz.geometry.arrays import Floats, check_shape, frozen
from routeviz.geometry.compiled import compiled, inner
from routeviz.geometry.shapes import HINGED, SLIDING, Bodies

Point = tuple[float, float, float]

SKIN = 1e-9  # far above what sums of doubles lose in a case two metres wide, far below any measure
SHEET = 5e-6  # how near counts as in a surface without thickness: nearer, a slope is rounding


# Columns of a piece: its rotation row by row, its origin, half its thickness, its radius, where its corners
# begin and end, its body. Columns of a body: kind, point, direction, travel.
ORIGIN, THICK, ROUND, BEGIN, END, BODY = 9, 12, 13, 14, 15, 16
KIND, POINT, WAY, FULL = 0, 1, 4, 7


class Swept(NamedTuple):
    """All pieces and all movements in three arrays; a named tuple because compiled loops take it whole.

    Parameters
    ----------
    pieces : array, shape (k, 17)
        The columns above; the pieces stand at rest.
    bodies : array, shape (b, 8)
        The columns above.
    corners : array, shape (c, 2)
        As in ``shapes.Pieces``.
    """

    pieces: Floats
    bodies: Floats
    corners: Floats


def flattened(bodies: Bodies) -> Swept:
    """Return bodies as compiled loops take them."""
    pieces = bodies.pieces
    rotations = pieces.rotations.reshape(-1, 9)
    numbers = (pieces.halves, pieces.radii, pieces.begins[:-1], pieces.begins[1:], pieces.bodies)
    return Swept(
        pieces=frozen(np.column_stack([rotations, pieces.origins, *numbers])),
        bodies=frozen(np.column_stack([bodies.kinds, bodies.points, bodies.directions, bodies.travels])),
        corners=pieces.corners,
    )


def point_distances(points: ArrayLike, travels: ArrayLike, bodies: Bodies) -> tuple[Floats, Floats]:
    """Return how far points are from each body, and each body's nearest point, at given places in the travel.

    Parameters
    ----------
    points : array, shape (n, 3)
        Anywhere.
    travels : array, shape (n,)
        Where in its travel every body is for that point: 0 at rest, 1 at full travel.
    bodies : Bodies
        b in all, each with a piece at least.

    Returns
    -------
    distances : array, shape (n, b)
        0 inside; on the surface of a body with a thickness 5e-10.
    nearest : array, shape (n, b, 3)
        On the moved body; the point itself where it is inside.

    Raises
    ------
    ValueError
        A shape differs or a number is not finite.
    """
    places = np.array(points, dtype=np.float64, order="C")
    moments = np.array(travels, dtype=np.float64, order="C")
    count = check_shape("points", places, (None, 3))
    check_shape("travels", moments, (count,))
    distances = np.full((count, len(bodies.kinds)), np.inf)
    nearest = np.zeros((count, len(bodies.kinds), 3))
    fill_distances(flattened(bodies), places, moments, distances, nearest)
    return distances, nearest


@compiled
def fill_distances(swept: Swept, points: Floats, travels: Floats, distances: Floats, nearest: Floats) -> None:
    """Write the distance and the nearest point of every body for every point."""
    for i in range(points.shape[0]):
        for piece in range(swept.pieces.shape[0]):
            body = int(swept.pieces[piece, BODY])
            turn = turn_back(swept.bodies, body, travels[i])
            point = taken_back(swept.bodies, body, turn, (points[i, 0], points[i, 1], points[i, 2]))
            distance, found = nearest_on(swept, piece, point)
            if distance < distances[i, body]:
                distances[i, body] = distance
                place = taken_along(swept.bodies, body, travels[i], found)
                for axis in range(3):
                    nearest[i, body, axis] = place[axis]


@inner
def nearest_on(swept: Swept, piece: int, point: Point) -> tuple[float, Point]:
    """Return how far a point is from a piece at rest, and the piece's nearest point.

    0 is inside: deeper than the skin of a piece with a thickness, next to a piece without. On the
    surface the distance is not 0 but below the skin: what stands flush on a solid does not count as in it.

    Returns
    -------
    distance : float
        From the point to the piece.
    nearest : tuple
        The point itself where it is inside.
    """
    p = swept.pieces
    dx, dy, dz = point[0] - p[piece, 9], point[1] - p[piece, 10], point[2] - p[piece, 11]
    u = p[piece, 0] * dx + p[piece, 3] * dy + p[piece, 6] * dz
    v = p[piece, 1] * dx + p[piece, 4] * dy + p[piece, 7] * dz
    w = p[piece, 2] * dx + p[piece, 5] * dy + p[piece, 8] * dz
    half, radius = p[piece, THICK], p[piece, ROUND]
    if radius > 0.0:
        from_middle = math.sqrt(u * u + v * v)
        inward = radius / from_middle if from_middle > radius else 1.0
        a, b = u * inward, v * inward
    else:
        a, b = nearest_in_outline(swept.corners, int(p[piece, BEGIN]), int(p[piece, END]), u, v)
    c = min(max(w, -half), half)
    if a == u and b == v and c == w:
        return within(swept, piece, u, v, w), point
    found = (
        p[piece, 9] + p[piece, 0] * a + p[piece, 1] * b + p[piece, 2] * c,
        p[piece, 10] + p[piece, 3] * a + p[piece, 4] * b + p[piece, 5] * c,
        p[piece, 11] + p[piece, 6] * a + p[piece, 7] * b + p[piece, 8] * c,
    )
    distance = math.sqrt((u - a) * (u - a) + (v - b) * (v - b) + (w - c) * (w - c))
    return (0.0 if distance <= SHEET and half == 0.0 else distance), found


@inner
def within(swept: Swept, piece: int, u: float, v: float, w: float) -> float:
    """Return 0 where a point in a piece is deeper than its skin, half the skin where it only touches."""
    half, radius = swept.pieces[piece, THICK], swept.pieces[piece, ROUND]
    if half == 0.0:
        return 0.0
    depth = half - abs(w)
    if radius > 0.0:
        depth = min(depth, radius - math.sqrt(u * u + v * v))
    corners, end = swept.corners, int(swept.pieces[piece, END])
    i = end - 1
    for j in range(int(swept.pieces[piece, BEGIN]), end):
        ex, ey = corners[j, 0] - corners[i, 0], corners[j, 1] - corners[i, 1]
        px, py = u - corners[i, 0], v - corners[i, 1]
        depth = min(depth, (ex * py - ey * px) / math.sqrt(ex * ex + ey * ey))
        i = j
    return 0.0 if depth > SKIN else 0.5 * SKIN


@inner
def nearest_in_outline(corners: Floats, begin: int, end: int, u: float, v: float) -> tuple[float, float]:
    """Return the point of a convex outline nearest to (u, v): itself inside.

    Only edges that have the point on their outer side can hold the nearest one.

    Returns
    -------
    a, b : float
        The nearest point.
    """
    least, a, b = math.inf, u, v
    i = end - 1
    for j in range(begin, end):
        ex, ey = corners[j, 0] - corners[i, 0], corners[j, 1] - corners[i, 1]
        px, py = u - corners[i, 0], v - corners[i, 1]
        if ex * py - ey * px < 0.0:
            share = min(1.0, max(0.0, (ex * px + ey * py) / (ex * ex + ey * ey)))
            qx, qy = px - share * ex, py - share * ey
            if qx * qx + qy * qy < least:
                least = qx * qx + qy * qy
                a, b = corners[i, 0] + share * ex, corners[i, 1] + share * ey
        i = j
    return a, b


@inner
def turn_back(bodies: Floats, body: int, travel: float) -> tuple[float, float]:
    """Return cosine and sine of the turn that takes a body back to rest, or 1 and the travel undone."""
    if bodies[body, KIND] == HINGED:
        angle = -travel * bodies[body, FULL]
        return math.cos(angle), math.sin(angle)
    return 1.0, -travel


@inner
def taken_back(bodies: Floats, body: int, turn: tuple[float, float], point: Point) -> Point:
    """Return where a point is as seen from the body at rest; ``turn`` from ``turn_back``."""
    if bodies[body, KIND] == HINGED:
        x, y, z = bodies[body, 1], bodies[body, 2], bodies[body, 3]
        a, b, c = turned(bodies, body, turn, (point[0] - x, point[1] - y, point[2] - z))
        return a + x, b + y, c + z
    if bodies[body, KIND] == SLIDING:
        far = turn[1] * bodies[body, FULL]
        x, y, z = bodies[body, 4], bodies[body, 5], bodies[body, 6]
        return point[0] + far * x, point[1] + far * y, point[2] + far * z
    return point


@inner
def turned(bodies: Floats, body: int, turn: tuple[float, float], vector: Point) -> Point:
    """Return a vector turned about the direction of a hinge's axis."""
    kx, ky, kz = bodies[body, 4], bodies[body, 5], bodies[body, 6]
    cosine, sine = turn
    x, y, z = vector
    share = (kx * x + ky * y + kz * z) * (1.0 - cosine)
    return (
        x * cosine + (ky * z - kz * y) * sine + kx * share,
        y * cosine + (kz * x - kx * z) * sine + ky * share,
        z * cosine + (kx * y - ky * x) * sine + kz * share,
    )


@inner
def taken_along(bodies: Floats, body: int, travel: float, point: Point) -> Point:
    """Return where a point of a body at rest is at a place in its travel."""
    cosine, sine = turn_back(bodies, body, travel)
    return taken_back(bodies, body, (cosine, -sine), point)
