"""What stands between an eye and a point: solids and round bars on the straight line from one to the other.

Directions to look from are here too; which of them is taken is decided by those who look.
"""

import math
from typing import NamedTuple

import numpy as np

from routeviz.geometry.arrays import Floats, Ints, check_shape
from routeviz.geometry.compiled import compiled, inner
from routeviz.geometry.shapes import Pieces

Point = tuple[float, float, float]


class Targets(NamedTuple):
    """Pieces in flat arrays, as ``Pieces`` has them, and how far each reaches from its origin."""

    rotations: Floats
    origins: Floats
    halves: Floats
    radii: Floats
    corners: Floats
    begins: Ints
    bodies: Ints
    reaches: Floats


def directions_around(count: int) -> Floats:
    """Return directions spread evenly over all sides, always the same: a golden spiral from pole to pole.

    Parameters
    ----------
    count : int
        How many, > 0.

    Returns
    -------
    directions : array, shape (count, 3)
        Unit.
    """
    steps = np.arange(count) + 0.5
    up = 1.0 - 2.0 * steps / count
    turn = steps * (np.pi * (3.0 - np.sqrt(5.0)))
    flat = np.sqrt(1.0 - up * up)
    return np.column_stack([flat * np.cos(turn), flat * np.sin(turn), up])


def pieces_between(eyes: Floats, point: Floats, pieces: Pieces) -> Floats:
    """Return which bodies stand between each eye and a point.

    Parameters
    ----------
    eyes : array, shape (e, 3)
        From where.
    point : array, shape (3,)
        To where.
    pieces : Pieces
        Solids, where they stand now; b bodies.

    Returns
    -------
    between : array, shape (e, b)
        1 where the line, ends included, meets the body, else 0.
    """
    count = check_shape("eyes", eyes, (None, 3))
    check_shape("point", point, (3,))
    bodies = int(pieces.bodies.max()) + 1 if len(pieces.bodies) else 0
    between = np.zeros((count, bodies))
    _mark_pieces(np.ascontiguousarray(eyes), np.ascontiguousarray(point), _targets(pieces), between)
    return between


def bars_between(eyes: Floats, point: Floats, bars: Floats, radii: Floats) -> Floats:
    """Return which round bars stand between each eye and a point.

    Parameters
    ----------
    eyes : array, shape (e, 3)
        From where.
    point : array, shape (3,)
        To where.
    bars : array, shape (k, 2, 3)
        Both ends of each axis; the bars end round.
    radii : array, shape (k,)
        One a bar.

    Returns
    -------
    between : array, shape (e, k)
        1 where the line meets the bar, else 0.
    """
    count = check_shape("eyes", eyes, (None, 3))
    check_shape("point", point, (3,))
    number = check_shape("bars", bars, (None, 2, 3))
    check_shape("radii", radii, (number,))
    between = np.zeros((count, number))
    ends = np.ascontiguousarray(bars)
    _mark_bars(
        np.ascontiguousarray(eyes), np.ascontiguousarray(point), ends, np.ascontiguousarray(radii), between
    )
    return between


def first_met(eye: Floats, points: Floats, pieces: Pieces) -> Ints:
    """Return which body is met first on the way from an eye to each of some points.

    Parameters
    ----------
    eye : array, shape (3,)
        From where.
    points : array, shape (n, 3)
        To where.
    pieces : Pieces
        Solids, where they stand now.

    Returns
    -------
    bodies : array of int, shape (n,)
        -1 where nothing is met.
    """
    check_shape("eye", eye, (3,))
    count = check_shape("points", points, (None, 3))
    first = np.full(count, -1, dtype=np.int64)
    _mark_first(np.ascontiguousarray(eye), np.ascontiguousarray(points), _targets(pieces), first)
    return first


def _targets(pieces: Pieces) -> Targets:
    owners = np.repeat(np.arange(len(pieces.halves)), np.diff(pieces.begins))
    flat = pieces.radii.copy()
    np.maximum.at(flat, owners, np.hypot(pieces.corners[:, 0], pieces.corners[:, 1]))
    return Targets(
        rotations=pieces.rotations,
        origins=pieces.origins,
        halves=pieces.halves,
        radii=pieces.radii,
        corners=pieces.corners,
        begins=pieces.begins,
        bodies=pieces.bodies,
        reaches=np.hypot(flat, pieces.halves),
    )


@compiled
def _mark_pieces(eyes: Floats, point: Floats, targets: Targets, between: Floats) -> None:
    to = (point[0], point[1], point[2])
    for e in range(len(eyes)):
        eye = (eyes[e, 0], eyes[e, 1], eyes[e, 2])
        for k in range(len(targets.halves)):
            body = targets.bodies[k]
            if (
                between[e, body] == 0.0
                and _passes_near(eye, to, targets, k)
                and _met_at(eye, to, targets, k) <= 1.0
            ):
                between[e, body] = 1.0


@compiled
def _mark_bars(eyes: Floats, point: Floats, bars: Floats, radii: Floats, between: Floats) -> None:
    to = (point[0], point[1], point[2])
    for e in range(len(eyes)):
        eye = (eyes[e, 0], eyes[e, 1], eyes[e, 2])
        for k in range(len(bars)):
            first = (bars[k, 0, 0], bars[k, 0, 1], bars[k, 0, 2])
            last = (bars[k, 1, 0], bars[k, 1, 1], bars[k, 1, 2])
            if _squared_apart(eye, to, first, last) <= radii[k] * radii[k]:
                between[e, k] = 1.0


@compiled
def _passes_near(eye: Point, to: Point, targets: Targets, k: int) -> bool:
    """Return whether a line comes within a piece's reach of its origin."""
    dx, dy, dz = to[0] - eye[0], to[1] - eye[1], to[2] - eye[2]
    vx = targets.origins[k, 0] - eye[0]
    vy = targets.origins[k, 1] - eye[1]
    vz = targets.origins[k, 2] - eye[2]
    along = (vx * dx + vy * dy + vz * dz) / max(dx * dx + dy * dy + dz * dz, 1e-300)
    along = min(max(along, 0.0), 1.0)
    vx, vy, vz = vx - along * dx, vy - along * dy, vz - along * dz
    reach = targets.reaches[k] * (1 + 1e-9)
    return bool(vx * vx + vy * vy + vz * vz <= reach * reach)


@compiled
def _mark_first(eye: Floats, points: Floats, targets: Targets, first: Ints) -> None:
    at = (eye[0], eye[1], eye[2])
    for p in range(len(points)):
        to = (points[p, 0], points[p, 1], points[p, 2])
        nearest = math.inf
        for k in range(len(targets.halves)):
            if _passes_near(at, to, targets, k):
                share = _met_at(at, to, targets, k)
                if share < nearest:
                    nearest, first[p] = share, targets.bodies[k]


@inner
def _met_at(eye: Point, to: Point, targets: Targets, k: int) -> float:
    """Return the share of a line at which it first meets a piece, ``inf`` where it never does."""
    ax, ay, az = _seen_from(eye, targets, k)
    bx, by, bz = _seen_from(to, targets, k)
    dx, dy, dz = bx - ax, by - ay, bz - az
    half = targets.halves[k]
    low, high = _within(0.0, 1.0, half - az, -dz)
    low, high = _within(low, high, half + az, dz)
    begin, end = targets.begins[k], targets.begins[k + 1]
    if begin == end:
        low, high = _within_disc((ax, ay), (dx, dy), targets.radii[k], (low, high))
    for i in range(begin, end):
        j = i + 1 if i + 1 < end else begin
        px, py = targets.corners[i, 0], targets.corners[i, 1]
        ex, ey = targets.corners[j, 0] - px, targets.corners[j, 1] - py
        low, high = _within(low, high, ex * (ay - py) - ey * (ax - px), ex * dy - ey * dx)
    return low if low <= high else math.inf


@inner
def _within(low: float, high: float, value: float, slope: float) -> tuple[float, float]:
    """Return what is left of a stretch where value + slope * share must be at least zero."""
    if slope > 0.0:
        return max(low, -value / slope), high
    if slope < 0.0:
        return low, min(high, -value / slope)
    return (low, high) if value >= 0.0 else (1.0, 0.0)


@inner
def _within_disc(
    start: tuple[float, float], ahead: tuple[float, float], radius: float, stretch: tuple[float, float]
) -> tuple[float, float]:
    """Return what is left of a stretch within a circle about zero."""
    low, high = stretch
    a = ahead[0] * ahead[0] + ahead[1] * ahead[1]
    b = start[0] * ahead[0] + start[1] * ahead[1]
    c = start[0] * start[0] + start[1] * start[1] - radius * radius
    if a == 0.0:
        return (low, high) if c <= 0.0 else (1.0, 0.0)
    root = b * b - a * c
    if root < 0.0:
        return 1.0, 0.0
    side = math.sqrt(root)
    return max(low, (-b - side) / a), min(high, (-b + side) / a)


@inner
def _seen_from(point: Point, targets: Targets, k: int) -> Point:
    """Return a point in a piece's own frame."""
    x = point[0] - targets.origins[k, 0]
    y = point[1] - targets.origins[k, 1]
    z = point[2] - targets.origins[k, 2]
    r = targets.rotations
    return (
        x * r[k, 0, 0] + y * r[k, 1, 0] + z * r[k, 2, 0],
        x * r[k, 0, 1] + y * r[k, 1, 1] + z * r[k, 2, 1],
        x * r[k, 0, 2] + y * r[k, 1, 2] + z * r[k, 2, 2],
    )


@inner
def _squared_apart(a: Point, b: Point, c: Point, d: Point) -> float:
    """Return the squared distance between the straight pieces a to b and c to d."""
    ux, uy, uz = b[0] - a[0], b[1] - a[1], b[2] - a[2]
    vx, vy, vz = d[0] - c[0], d[1] - c[1], d[2] - c[2]
    wx, wy, wz = a[0] - c[0], a[1] - c[1], a[2] - c[2]
    uu, vv = ux * ux + uy * uy + uz * uz, vx * vx + vy * vy + vz * vz
    uv, uw, vw = ux * vx + uy * vy + uz * vz, ux * wx + uy * wy + uz * wz, vx * wx + vy * wy + vz * wz
    square = uu * vv - uv * uv
    s = 0.0
    if square > 1e-14 * uu * vv:
        s = min(max((uv * vw - vv * uw) / square, 0.0), 1.0)
    t = (uv * s + vw) / vv if vv > 0.0 else 0.0
    if t < 0.0 or t > 1.0:
        t = min(max(t, 0.0), 1.0)
        s = min(max((uv * t - uw) / uu, 0.0), 1.0) if uu > 0.0 else 0.0
    x, y, z = wx + s * ux - t * vx, wy + s * uy - t * vy, wz + s * uz - t * vz
    return x * x + y * y + z * z
