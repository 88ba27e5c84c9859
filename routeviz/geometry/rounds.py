"""A rounded polyline as compiled loops read it: for each leg a row, with the arc behind it.

What such a curve is stands in curves.py; how far two of them lie apart, in deviations.py.
"""

import math

from routeviz.geometry.arrays import Floats
from routeviz.geometry.cells import dot, moved
from routeviz.geometry.compiled import inner
from routeviz.geometry.corners import STRAIGHT
from routeviz.geometry.distances import Point

# Columns of a row: where its straight piece starts, its direction, length and arc length at its start; of the
# arc behind it: centre, direction from its first point to the centre, radius, curvature, turn, and cut, which
# is what it takes of the leg. The last row has no arc.
START, WAY, LENGTH, BEGIN, CENTRE, INWARD, RADIUS, CURVATURE, TURN, CUT = 0, 3, 6, 7, 8, 11, 14, 15, 16, 17
WIDTH = 18

OFF = 1e-3  # how far a written corner may be off: half a thousandth along each axis, 0.87e-3 in space
SLACK = 2e-3  # what is left free of every leg besides, as radii are rounded down to thousandths


@inner
def row3(array: Floats, row: int, column: int) -> Point:
    """Return three neighbouring numbers of a row as a point."""
    return (array[row, column], array[row, column + 1], array[row, column + 2])


@inner
def put3(array: Floats, row: int, column: int, point: Point) -> None:
    """Write a point into three neighbouring numbers of a row."""
    array[row, column], array[row, column + 1], array[row, column + 2] = point


@inner
def unit(vector: Point) -> tuple[float, Point]:
    """Return a vector's length and its direction; a vector without length is its own direction."""
    length = math.sqrt(dot(vector, vector))
    scale = 1.0 / length if length > 0.0 else 0.0
    return length, (vector[0] * scale, vector[1] * scale, vector[2] * scale)


@inner
def less(a: Point, b: Point) -> Point:
    """Return a - b."""
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


@inner
def half_turn(way: Point, next_way: Point) -> float:
    """Return half the angle between two directions, exact for small ones too."""
    gap, total = less(next_way, way), moved(way, 1.0, next_way, 0.0, way)
    return math.atan2(math.sqrt(dot(gap, gap)), math.sqrt(dot(total, total)))


@inner
def lay_out(corners: Floats, radii: Floats, bends: int, table: Floats) -> None:
    """Write the rows of a rounded polyline with so many inner corners; what overfills a leg is cut to 0."""
    before, taken, along = row3(corners, 0, 0), 0.0, 0.0
    leg, way = unit(less(row3(corners, 1, 0), before))
    for row in range(bends + 1):
        corner = row3(corners, row + 1, 0)
        put3(table, row, START, moved(before, taken, way, 0.0, way))
        put3(table, row, WAY, way)
        table[row, BEGIN], table[row, CUT], table[row, TURN], table[row, CURVATURE] = along, 0.0, 0.0, 0.0
        table[row, RADIUS] = 1.0
        put3(table, row, CENTRE, corner)
        put3(table, row, INWARD, (0.0, 0.0, 0.0))
        next_leg, next_way = leg, way
        if row < bends:
            next_leg, next_way = unit(less(row3(corners, row + 2, 0), corner))
            _round(table, row, next_way, radii[row])
        table[row, LENGTH] = max(leg - taken - table[row, CUT], 0.0)
        along += table[row, LENGTH] + table[row, RADIUS] * table[row, TURN]
        before, taken, leg, way = corner, table[row, CUT], next_leg, next_way


@inner
def _round(table: Floats, row: int, next_way: Point, radius: float) -> None:
    """Write the arc behind a row, whose centre column holds the corner; none where hardly anything turns."""
    way, corner = row3(table, row, WAY), row3(table, row, CENTRE)
    half = half_turn(way, next_way)
    if 2.0 * half < STRAIGHT:
        return
    cut, sine, cosine = radius * math.tan(half), math.sin(2.0 * half), math.cos(2.0 * half)
    inward = moved(
        (0.0, 0.0, 0.0),
        1.0 / sine,
        next_way,
        -cosine / sine,
        way,
    )
    put3(table, row, INWARD, inward)
    put3(table, row, CENTRE, moved(corner, -cut, way, radius, inward))
    table[row, RADIUS], table[row, CURVATURE], table[row, TURN] = radius, 1.0 / radius, 2.0 * half
    table[row, CUT] = cut


@inner
def walked(table: Floats, bends: int, piece: int, point: Point) -> int:
    """Return the piece beside which a point lies: 2 row is a straight piece, 2 row + 1 an arc.

    Pieces are left at the plane across their end, so of a curve beside which the point runs none is missed.

    Parameters
    ----------
    table : array, shape (m, 18)
        The curve's rows.
    bends : int
        Inner corners.
    piece : int
        Where to look from.
    point : tuple of float
        Whose piece.

    Returns
    -------
    piece : int
        The first given or a later one.
    """
    while piece < 2 * bends:
        row = piece // 2
        if piece % 2 == 0:
            passed = dot(less(point, row3(table, row, START)), row3(table, row, WAY)) > table[row, LENGTH]
        else:
            passed = dot(less(point, row3(table, row + 1, START)), row3(table, row + 1, WAY)) > 0.0
        if not passed:
            break
        piece += 1
    return piece


@inner
def into_piece(table: Floats, piece: int, point: Point) -> float:
    """Return how far into a piece its nearest point lies, as arc length."""
    row = piece // 2
    way = row3(table, row, WAY)
    if piece % 2 == 0:
        into = dot(less(point, row3(table, row, START)), way)
        return float(min(max(into, 0.0), table[row, LENGTH]))
    seen = less(point, row3(table, row, CENTRE))
    angle = math.atan2(dot(seen, way), -dot(seen, row3(table, row, INWARD)))
    return float(table[row, RADIUS] * min(max(angle, 0.0), table[row, TURN]))


@inner
def place_in(table: Floats, piece: int, into: float) -> Point:
    """Return the point so far into a piece."""
    row = piece // 2
    way = row3(table, row, WAY)
    if piece % 2 == 0:
        return moved(row3(table, row, START), into, way, 0.0, way)
    radius = table[row, RADIUS]
    angle = into / radius
    return moved(
        row3(table, row, CENTRE),
        radius * math.sin(angle),
        way,
        -radius * math.cos(angle),
        row3(table, row, INWARD),
    )


@inner
def piece_begin(table: Floats, piece: int) -> float:
    """Return the arc length at which a piece begins."""
    row = piece // 2
    return float(table[row, BEGIN] + (table[row, LENGTH] if piece % 2 == 1 else 0.0))


@inner
def cut_rate(before: float, half: float, after: float) -> float:
    """Return what an arc takes of its legs at most, per unit of radius, once its corners are rounded.

    Two rounded corners move against each other by twice OFF at most, a leg turns by that over its length.

    Parameters
    ----------
    before, after : float
        Lengths of the legs.
    half : float
        Half the turn.

    Returns
    -------
    rate : float
        Never less than what it takes.
    """
    return math.tan(half) + OFF * (1.0 / before + 1.0 / after)
