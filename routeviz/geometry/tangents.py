"""Which tangents of a fine curve suffice to draw it again: as few as possible, an arc between two and two.

A tangent is an edge of the fine polyline, or a line fitted to the curve on both sides of the edge's middle.
Two tangents that nearly meet make a corner; its arc lies between the two places of contact, so that
neighbours do not get in each other's way, and the fewest corners are a shortest way along the edges.
"""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.cells import crossed, dot, moved
from routeviz.geometry.compiled import inner
from routeviz.geometry.distances import Point
from routeviz.geometry.rounds import SLACK, cut_rate, less, put3, row3, unit

WIDEST = (
    8  # samples on each side of a tangent's own: four nodes; a parabola does not follow a bend for longer
)
TRUE = (
    0.25  # share of the room by which a fitted tangent's curve may miss the samples: the rest is for the arcs
)
LARGEST_COSINE = math.cos(math.radians(110))  # of a turn: 10 degrees short of what a centreline may have
NEARLY_STRAIGHT = 1e-5  # sine squared, 0.2 degrees: lines nearer to parallel meet nowhere in particular
EXACT = 1e-9  # length: two fixed end legs that miss each other by more cannot share a corner
PATIENCE = 12  # tangents tried in vain, one after the other, before farther ones are given up; no source
WORST, TIGHT, OWN = (
    0.1,
    0.05,
    0.2,
)  # corners that a full use of the room, a least radius, an own corner are worth


class Fine(NamedTuple):
    """A fine polyline of n corners and its curve, as compiled loops take it.

    Parameters
    ----------
    nodes : array, shape (n, 3)
        The polyline.
    radii, floors : array, shape (n,)
        At each node the radius that it may have by itself, and the least that is asked for there.
    samples : array, shape (2 n - 3, 3)
        On the curve: the middle of each edge, and between two the middle of the node's arc.
    rooms : array, shape (2 n - 3,)
        How far the new curve may be from each sample.
    lines : array, shape (n - 1, 6)
        For each edge a point and a direction: its tangent.
    first, last : int
        The edges at which the straight ends end.
    """

    nodes: Floats
    radii: Floats
    floors: Floats
    samples: Floats
    rooms: Floats
    lines: Floats
    first: int
    last: int


class Bend(NamedTuple):
    """A corner between two tangents, if there is one: its place, its radius, what its arc takes of a leg."""

    found: bool
    corner: Point
    radius: float
    cut: float


@inner
def fit_tangents(fine: Fine, own: NDArray[np.bool_]) -> None:
    """Write the tangent of each edge but the ends': the widest fit that is true to the samples, or the edge.

    Parameters
    ----------
    fine : Fine
        Its ``lines`` are written.
    own : array of bool, shape (n - 1,)
        Where the edge itself is wanted.
    """
    count = fine.samples.shape[0]
    for edge in range(fine.first, fine.last + 1):
        start, end = row3(fine.nodes, edge, 0), row3(fine.nodes, edge + 1, 0)
        put3(fine.lines, edge, 0, row3(fine.samples, 2 * edge, 0))
        put3(fine.lines, edge, 3, unit(less(end, start))[1])
        if own[edge] or edge in (fine.first, fine.last):
            continue
        span = min(WIDEST, 2 * (edge - fine.first), 2 * (fine.last - edge), count - 1 - 2 * edge)
        while span >= 2 and not _is_true(fine, edge, span):
            span -= 2


@inner
def _is_true(fine: Fine, edge: int, span: int) -> bool:
    """Write the tangent at the middle of a parabola through so many samples on each side, if near them."""
    middle, way = 2 * edge, row3(fine.lines, edge, 3)
    base = row3(fine.samples, middle, 0)
    sums, zeroth, first, second = np.zeros(5), np.zeros(3), np.zeros(3), np.zeros(3)
    for k in range(middle - span, middle + span + 1):
        off = less(row3(fine.samples, k, 0), base)
        along, power = dot(off, way), 1.0
        for axis in range(3):
            zeroth[axis] += off[axis]
            first[axis] += off[axis] * along
            second[axis] += off[axis] * along * along
        for degree in range(5):
            sums[degree] += power
            power *= along
    _solve_parabola(sums, zeroth, first, second)
    room = TRUE * fine.rooms[middle]
    for k in range(middle - span, middle + span + 1):
        off = less(row3(fine.samples, k, 0), base)
        along, miss = dot(off, way), 0.0
        for axis in range(3):
            miss += (off[axis] - zeroth[axis] - along * (first[axis] + along * second[axis])) ** 2
        if miss > room * room:
            return False
    for axis in range(3):
        fine.lines[edge, axis] = base[axis] + zeroth[axis]
    put3(fine.lines, edge, 3, unit((first[0], first[1], first[2]))[1])
    return True


@inner
def _solve_parabola(sums: Floats, zeroth: Floats, first: Floats, second: Floats) -> None:
    """Replace the right sides of the normal equations of a parabola, for three axes, by its coefficients."""
    a, b, c, d, e = sums[0], sums[1], sums[2], sums[3], sums[4]
    p, q, r = c * e - d * d, c * d - b * e, b * d - c * c
    s, t, u = a * e - c * c, b * c - a * d, a * c - b * b
    whole = a * p + b * q + c * r
    for axis in range(3):
        x, y, z = zeroth[axis], first[axis], second[axis]
        zeroth[axis] = (p * x + q * y + r * z) / whole
        first[axis] = (q * x + s * y + t * z) / whole
        second[axis] = (r * x + t * y + u * z) / whole


@inner
def bend_between(fine: Fine, i: int, j: int, floor: float, least: float) -> Bend:
    """Return the corner in which the tangents of two edges meet; its radius follows the samples.

    Parameters
    ----------
    fine : Fine
        The curve.
    i, j : int
        Edges, i < j.
    floor : float
        Least radius.
    least : float
        How far from both places of contact a corner must be.

    Returns
    -------
    bend : Bend
        On a straight end's line where it is next to one.
    """
    nowhere = Bend(False, row3(fine.nodes, i + 1, 0), 0.0, 0.0)
    one, way = row3(fine.lines, i, 0), row3(fine.lines, i, 3)
    other, next_way = row3(fine.lines, j, 0), row3(fine.lines, j, 3)
    cosine = dot(way, next_way)
    sine2 = 1.0 - cosine * cosine
    if cosine < LARGEST_COSINE or sine2 < NEARLY_STRAIGHT:
        return nowhere
    off = less(other, one)
    along, against = dot(off, way), dot(off, next_way)
    ahead, behind = (along - cosine * against) / sine2, (against - cosine * along) / sine2
    if not min(ahead, behind) > max(least, SLACK):
        return nowhere
    here, there = moved(one, ahead, way, 0.0, way), moved(other, -behind, next_way, 0.0, way)
    gap = less(there, here)
    if i == fine.first and j == fine.last and dot(gap, gap) > EXACT * EXACT:
        return nowhere
    share = 0.0 if i == fine.first else (1.0 if j == fine.last else 0.5)
    corner = moved(here, share, gap, 0.0, gap)
    if _is_near_an_end(fine, i, j, corner, 2.0 * least):
        return nowhere
    half = 0.5 * math.acos(min(cosine, 1.0))
    most = (min(ahead, behind) - 0.5 * SLACK) / cut_rate(ahead, half, behind)
    if most < floor:
        return nowhere
    radius = min(max(_radius_that_follows(fine, i, j, corner, half), floor), most)
    return Bend(True, corner, radius, radius * math.tan(half))


@inner
def _is_near_an_end(fine: Fine, i: int, j: int, corner: Point, least_leg: float) -> bool:
    """Return whether a corner is an outermost one, nearer to its end than a leg, and than the node there."""
    count = fine.nodes.shape[0]
    for tip, node in ((0, i + 1), (count - 1, j)):
        end = row3(fine.nodes, tip, 0)
        own, off = less(row3(fine.nodes, node, 0), end), less(corner, end)
        outermost = i == fine.first if tip == 0 else j == fine.last
        if outermost and dot(off, off) < min(least_leg * least_leg, dot(own, own)):
            return True
    return False


@inner
def _radius_that_follows(fine: Fine, i: int, j: int, corner: Point, half: float) -> float:
    """Return the radius of the arc that passes through the samples next to the middle of its corner."""
    way, next_way = row3(fine.lines, i, 3), row3(fine.lines, j, 3)
    _, along = unit(moved(way, 1.0, next_way, 0.0, way))
    _, aside = unit(less(next_way, way))
    low, high = 2 * i, 2 * j
    while high - low > 1:
        middle = (low + high) // 2
        if dot(less(row3(fine.samples, middle, 0), corner), along) < 0.0:
            low = middle
        else:
            high = middle
    secant, total = 1.0 / math.cos(half), 0.0
    for k in (low, high):
        off = less(row3(fine.samples, k, 0), corner)
        # |off - secant R aside| = R, seen in the plane of the corner.
        deep, beside = dot(off, aside), dot(off, along)
        root = max(deep * deep - (secant * secant - 1.0) * beside * beside, 0.0)
        total += 0.5 * (deep * secant + math.sqrt(root)) / (secant * secant - 1.0)
    return total


@inner
def most_used(fine: Fine, i: int, j: int, bend: Bend) -> float:
    """Return the largest share of the room, squared, that the way over a corner uses at samples between."""
    way, next_way = row3(fine.lines, i, 3), row3(fine.lines, j, 3)
    sine = 2.0 * bend.cut * bend.radius / (bend.cut * bend.cut + bend.radius * bend.radius)
    cosine = dot(way, next_way)
    inward = moved((0.0, 0.0, 0.0), 1.0 / sine, next_way, -cosine / sine, way)
    centre = moved(bend.corner, -bend.cut, way, bend.radius, inward)
    normal, worst = crossed(way, inward), 0.0
    count = 2 * (j - i) - 1
    for turn in range(count):
        # From the middle outwards: what fails, fails there first.
        k = i + j + ((turn + 1) // 2 if turn % 2 == 1 else -(turn // 2))
        point = row3(fine.samples, k, 0)
        off = less(point, bend.corner)
        before, after = dot(off, way), dot(off, next_way)
        if before < -bend.cut:
            miss = dot(off, off) - before * before
        elif after > bend.cut:
            miss = dot(off, off) - after * after
        else:
            seen = less(point, centre)
            high = dot(seen, normal)
            flat = math.sqrt(max(dot(seen, seen) - high * high, 0.0)) - bend.radius
            miss = flat * flat + high * high
        worst = max(worst, miss / (fine.rooms[k] * fine.rooms[k]))
        if worst > 1.0:
            break
    return worst


@inner
def fewest(fine: Fine, least: float, wanted: float, best: Floats, before: Ints) -> None:
    """Write for each edge the least that corners up to its tangent cost, and the tangent before it.

    Neighbouring edges can always be joined, by the node between them as it is.

    Parameters
    ----------
    fine : Fine
        With its tangents.
    least, wanted : float
        How far a corner must be from its places of contact; and the least radius wanted.
    best : array, shape (n - 1,)
        Written, from the first edge to the last.
    before : array of int, shape (n - 1,)
        Written likewise.
    """
    tried = _worth_trying(fine)
    for edge in range(best.shape[0]):
        best[edge] = 0.0 if edge == fine.first else math.inf
    for i in range(fine.first, fine.last):
        if best[i] + 1.0 + OWN < best[i + 1]:
            best[i + 1], before[i + 1] = best[i] + 1.0 + OWN, i
        if not tried[i]:
            continue
        floor, failed, j = fine.floors[i + 1], 0, i
        while j < fine.last and failed < PATIENCE:
            floor, j = min(floor, fine.floors[j + 1]), j + 1
            if j == i + 1 or not tried[j]:
                continue
            cost = _cost(fine, i, j, bend_between(fine, i, j, floor, least), wanted)
            failed = failed + 1 if cost == math.inf else 0
            if best[i] + cost < best[j]:
                best[j], before[j] = best[i] + cost, i


@inner
def _worth_trying(fine: Fine) -> NDArray[np.bool_]:
    """Return which tangents to choose from: every other, and those where the curve bends least near by.

    Between two bends without a straight piece there is but one tangent that both can share.

    Returns
    -------
    tried : array of bool, shape (n - 1,)
        For each edge.
    """
    count = fine.lines.shape[0]
    tried, bending = np.ones(count, np.bool_), np.zeros(count)
    for edge in range(fine.first + 1, fine.last):
        turn = crossed(row3(fine.lines, edge - 1, 3), row3(fine.lines, edge + 1, 3))
        bending[edge] = dot(turn, turn)
    for edge in range(fine.first + 1, fine.last):
        least = bending[edge] <= min(bending[edge - 1], bending[edge + 1])
        tried[edge] = (edge - fine.first) % 2 == 0 or least
    return tried


@inner
def _cost(fine: Fine, i: int, j: int, bend: Bend, wanted: float) -> float:
    """Return what a corner costs: one, and a little for the room that it uses and for being tight."""
    if not bend.found:
        return math.inf
    worst = most_used(fine, i, j, bend)
    return 1.0 + WORST * worst + TIGHT * min(wanted / bend.radius, 1.0) if worst <= 1.0 else math.inf
