"""What a cell of a sweep is, and what the tube's points in it attain.

A cell is a stretch of one piece of a centreline, times a part of the travel, times the tube's whole section
or a square of it. The tube is looked at from the moving body, so that the piece stands still. How near what
is in a cell can come at least is in bounds.py.
"""

import math
from typing import NamedTuple

from routeviz.geometry.arrays import Floats
from routeviz.geometry.compiled import inner
from routeviz.geometry.distances import (
    BODY,
    KIND,
    SKIN,
    Point,
    Swept,
    nearest_on,
    taken_back,
    turn_back,
    turned,
)
from routeviz.geometry.shapes import HINGED, STILL

# Columns of a cell: where along the piece and how far either way, where in the travel and how far either way,
# where in the section (aside along the bend's normal, across) and half the square's side, or -1 for the whole
# section, the proven least, and what to halve next.
INTO, HALF, TRAVEL, PART, ASIDE, ACROSS, SIDE, LEAST, HALVE = range(9)
COLUMNS = 9
BY_LENGTH, BY_TRAVEL, BY_SECTION, NOT_AGAIN = 0.0, 1.0, 2.0, 3.0

# Columns of what is found for a tube and a body: the least attained and proven, and where it is attained.
HIGH, LOW, AT_INTO, AT_TRAVEL, AT_ASIDE, AT_ACROSS, AT_LINK, AT_PIECE = range(8)


# Columns of a link, one piece of a centreline: start, tangent, normal (straight ones have one too),
# curvature, length, arc length at which it begins, radius of its tube.
START, TANGENT, NORMAL, BEND, LENGTH, BEGINS, RADIUS = 0, 3, 6, 9, 10, 11, 12


class Task(NamedTuple):
    """What is measured: tubes, bodies, and a row a pair for what is found.

    Parameters
    ----------
    swept : Swept
        The bodies.
    links : array, shape (m, 13)
        The columns above.
    found : array, shape (rows, 8)
        The columns above; ``HIGH`` and ``LOW`` begin at infinity.
    tolerance, reach : float
        How wide an interval may stay, and from which distance on nothing is looked at.
    """

    swept: Swept
    links: Floats
    found: Floats
    tolerance: float
    reach: float


@inner
def dot(a: Point, b: Point) -> float:
    """Return the scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


@inner
def crossed(a: Point, b: Point) -> Point:
    """Return the vector product."""
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


@inner
def moved(a: Point, u: float, b: Point, v: float, c: Point) -> Point:
    """Return a + u b + v c."""
    return a[0] + u * b[0] + v * c[0], a[1] + u * b[1] + v * c[1], a[2] + u * b[2] + v * c[2]


@inner
def frame_at(task: Task, link: int, body: int, into: float, travel: float) -> tuple[Point, Point, Point]:
    """Return the centreline's point, tangent and normal as seen from the body at rest."""
    links, bodies = task.links, task.swept.bodies
    start = (links[link, 0], links[link, 1], links[link, 2])
    tangent = (links[link, 3], links[link, 4], links[link, 5])
    normal = (links[link, 6], links[link, 7], links[link, 8])
    bend = links[link, BEND]
    if bend > 0.0:
        cosine, sine = math.cos(bend * into), math.sin(bend * into)
        half_sine = math.sin(0.5 * bend * into)
        point = moved(start, sine / bend, tangent, 2.0 * half_sine * half_sine / bend, normal)
        zero = (0.0, 0.0, 0.0)
        tangent, normal = (
            moved(zero, cosine, tangent, sine, normal),
            moved(zero, cosine, normal, -sine, tangent),
        )
    else:
        point = moved(start, into, tangent, 0.0, normal)
    if bodies[body, KIND] == STILL:
        return point, tangent, normal
    turn = turn_back(bodies, body, travel)
    point = taken_back(bodies, body, turn, point)
    if bodies[body, KIND] == HINGED:
        tangent, normal = turned(bodies, body, turn, tangent), turned(bodies, body, turn, normal)
    return point, tangent, normal


@inner
def note(task: Task, row: int, link: int, piece: int, place: tuple[float, float, float, float]) -> None:
    """Keep what the tube attains at a place (into, travel, aside, across), if nothing nearer is known."""
    into, travel, aside, across = place
    found = task.found
    body = int(task.swept.pieces[piece, BODY])
    point, tangent, normal = frame_at(task, link, body, into, travel)
    offset = moved((0.0, 0.0, 0.0), aside, normal, across, crossed(tangent, normal))
    share, off = 1.0, math.sqrt(aside * aside + across * across)
    value, _ = nearest_on(task.swept, piece, moved(point, 1.0, offset, 0.0, offset))
    if 0.0 < value <= SKIN < off:
        # On the surface: a little farther out the section may be in the piece, and it overlaps from here on.
        farther = min(task.links[link, RADIUS], off + 0.1 * task.tolerance) / off
        offset = moved((0.0, 0.0, 0.0), farther, offset, 0.0, offset)
        beyond, _ = nearest_on(task.swept, piece, moved(point, 1.0, offset, 0.0, offset))
        if beyond == 0.0:
            value, off, aside, across = 0.0, farther * off, farther * aside, farther * across
    if value == 0.0:
        share = first_touch(task.swept, piece, point, offset)
        value = share * off - task.links[link, RADIUS]
    if value < found[row, HIGH]:
        found[row, HIGH] = value
        found[row, AT_INTO], found[row, AT_TRAVEL] = into, travel
        found[row, AT_ASIDE], found[row, AT_ACROSS] = share * aside, share * across
        found[row, AT_LINK], found[row, AT_PIECE] = link, piece


@inner
def first_touch(swept: Swept, piece: int, point: Point, offset: Point) -> float:
    """Return which share of an offset that ends inside the piece first touches it.

    Newton's method on a convex function comes to its first root from below and never passes it.

    Returns
    -------
    share : float
        0 to 1.
    """
    share = 0.0
    for _ in range(60):
        base = moved(point, share, offset, 0.0, offset)
        distance, nearest = nearest_on(swept, piece, base)
        if distance <= SKIN:
            return share
        apart = (base[0] - nearest[0], base[1] - nearest[1], base[2] - nearest[2])
        falling = -dot(apart, offset) / distance
        if falling <= 0.0:
            return 1.0
        share = min(1.0, share + distance / falling)
    return 1.0


@inner
def inner_edge(cells: Floats, i: int) -> float:
    """Return how near to the centreline a square of the section comes."""
    u = max(0.0, abs(cells[i, ASIDE]) - cells[i, SIDE])
    v = max(0.0, abs(cells[i, ACROSS]) - cells[i, SIDE])
    return math.sqrt(u * u + v * v)
