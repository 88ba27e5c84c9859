"""Which edges of different strings are near each other, and how near?

What they are asked to do then is in spreading.py.
"""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.compiled import compiled, inner
from routeviz.planning.strings import Strings

SLACK = (
    1e-9  # of lengths in mm: what is left out by a bound is left out by the distance itself, however rounded
)


class Edges(NamedTuple):
    """Edges in the order of their cells.

    Parameters
    ----------
    numbers : array of int, shape (e,)
        Each edge's, which is that of its first point.
    groups : array of int, shape (e,)
        Of its string.
    rows : array, shape (e, 8)
        Its middle, half its length, its direction, and the tube's radius.
    """

    numbers: Ints
    groups: Ints
    rows: Floats


class Watched(NamedTuple):
    """Pairs of edges that are near each other, and where all points were when they were found.

    Parameters
    ----------
    pairs : array of int, shape (m, 2)
        As many as there are, in no order that means anything.
    spare : array, shape (m,)
        How far the two edges were from being too near each other.
    start : array, shape (n, 3)
        Where each point was when the pairs of its edges were sought.
    strayed : array, shape (n,)
        How far it has gone since; ``inf`` where they are still to be sought.
    """

    pairs: Ints
    spare: Floats
    start: Floats
    strayed: Floats


@compiled
def near_pairs(strings: Strings, gaps: Floats, reach: float, watched: Watched, kept: int, far: float) -> int:
    """Seek the pairs of edges that have gone far, and return how many pairs there are then.

    An edge goes from a point to the next of its string and has the number of its first point. Two are near
    each other when their strings are of different groups, one of them may move, and they are within reach.

    Parameters
    ----------
    strings : Strings
        All.
    gaps : array, shape (n,)
        What is to be free about each point, between two the larger.
    reach : float
        How far apart two walls are still looked at.
    watched : Watched
        Written. All pairs of edges whose points have strayed less than ``far`` are known, as they were where
        they started; pairs of the others are forgotten, and sought where they are now.
    kept : int
        How many pairs there were.
    far : float
        How far an edge may stray and not be sought anew, >= 0.

    Returns
    -------
    count : int
        How many there are; more than m where the list was too short: then it is of no use.
    """
    gone = _gone(strings, watched, far)
    found = _those_that_stay(gone, watched, kept)
    every = gone.all()
    edges, firsts, counts = _in_cells(strings, watched.start, reach)
    ny, nz = counts[1], counts[2]
    for cell in range(counts[0] * ny * nz):
        for a in range(firsts[cell], firsts[cell + 1]):
            if gone[edges.numbers[a]]:
                for row in range(9):
                    i, j = cell // (ny * nz) + row // 3 - 1, cell // nz % ny + row % 3 - 1
                    if 0 <= i < counts[0] and 0 <= j < ny:
                        line, k = (i * ny + j) * nz, cell % nz
                        span = a, firsts[line + max(k - 1, 0)], firsts[line + min(k + 2, nz)]
                        # Where all are sought, those before it have found it.
                        if not every or span[2] > a:
                            found = _pair_up(strings, span, edges, (gaps, reach), (gone, watched, found))
    return found


@inner
def _gone(strings: Strings, watched: Watched, far: float) -> NDArray[np.bool_]:
    """Return which edges have gone far, by the number of their first points; these start from here."""
    points, start, strayed = strings.points, watched.start, watched.strayed
    gone = np.zeros(points.shape[0], np.bool_)
    for i in range(points.shape[0]):
        if strayed[i] > far:
            gone[i], strayed[i] = True, 0.0
            for axis in range(3):
                start[i, axis] = points[i, axis]
    for e in range(points.shape[0] - 1):
        gone[e] = gone[e] or gone[e + 1]
    return gone


@inner
def _those_that_stay(gone: NDArray[np.bool_], watched: Watched, kept: int) -> int:
    """Forget the pairs of edges that are sought anew; returns how many are left."""
    pairs, spare = watched.pairs, watched.spare
    found = 0
    for n in range(kept):
        e, f = pairs[n, 0], pairs[n, 1]
        if not gone[e] and not gone[f]:
            pairs[found, 0], pairs[found, 1], spare[found] = e, f, spare[n]
            found += 1
    return found


@inner
def _in_cells(strings: Strings, points: Floats, reach: float) -> tuple[Edges, Ints, Ints]:
    """Return edges cell by cell, where each cell's begin, and how many cells there are each way."""
    owners = strings.owners
    total = owners.shape[0]
    middles, low, high, longest = _middles(strings, points)
    widest = 0.0
    for t in range(strings.radii.shape[0]):
        widest = max(widest, strings.radii[t])
    side = longest + 2.0 * widest + reach
    counts = np.empty(3, np.int64)
    for axis in range(3):
        counts[axis] = int((high[axis] - low[axis]) / side) + 1
    cells = np.full(total, -1, np.int64)
    firsts = np.zeros(counts[0] * counts[1] * counts[2] + 1, np.int64)
    for e in range(total - 1):
        if owners[e] == owners[e + 1]:
            i, j = int((middles[e, 0] - low[0]) / side), int((middles[e, 1] - low[1]) / side)
            cells[e] = (i * counts[1] + j) * counts[2] + int((middles[e, 2] - low[2]) / side)
            firsts[cells[e] + 1] += 1
    for cell in range(firsts.shape[0] - 1):
        firsts[cell + 1] += firsts[cell]
    return _sorted(strings, points, cells, firsts, middles), firsts, counts


@inner
def _middles(strings: Strings, points: Floats) -> tuple[Floats, Floats, Floats, float]:
    """Return edges' middles and half lengths, corners of a box about the middles, and the longest edge."""
    owners = strings.owners
    total, longest = points.shape[0], 0.0
    middles = np.empty((total, 4))
    low, high = np.full(3, 1e30), np.full(3, -1e30)
    for e in range(total - 1):
        if owners[e] == owners[e + 1]:
            middles[e, 3] = 0.5 * apart(points, e, e + 1)
            longest = max(longest, 2.0 * middles[e, 3])
            for axis in range(3):
                middles[e, axis] = 0.5 * (points[e, axis] + points[e + 1, axis])
                low[axis], high[axis] = min(low[axis], middles[e, axis]), max(high[axis], middles[e, axis])
    return middles, low, high, longest


@inner
def _sorted(strings: Strings, points: Floats, cells: Ints, firsts: Ints, middles: Floats) -> Edges:
    """Return the edges cell by cell."""
    total = firsts[-1]
    edges = Edges(np.empty(total, np.int64), np.empty(total, np.int64), np.empty((total, 8)))
    filled = firsts[:-1].copy()
    for e in range(cells.shape[0]):
        if cells[e] >= 0:
            at, tube = filled[cells[e]], strings.owners[e]
            filled[cells[e]] = at + 1
            edges.numbers[at], edges.groups[at] = e, strings.groups[tube]
            size = max(2.0 * middles[e, 3], SLACK)
            for axis in range(3):
                edges.rows[at, axis] = middles[e, axis]
                edges.rows[at, 4 + axis] = (points[e + 1, axis] - points[e, axis]) / size
            edges.rows[at, 3], edges.rows[at, 7] = middles[e, 3], strings.radii[tube]
    return edges


@inner
def _pair_up(
    strings: Strings,
    span: tuple[int, int, int],
    edges: Edges,
    asked: tuple[Floats, float],
    filled: tuple[NDArray[np.bool_], Watched, int],
) -> int:
    """Write the pairs of one edge with those of a span that are near it; returns how many there are now."""
    a, begin, end = span
    gaps, reach = asked
    gone, watched, found = filled
    # Looked up once: what is taken out of a tuple in the loop is counted each time.
    points, free = watched.start, strings.free
    pairs, spare = watched.pairs, watched.spare
    groups, numbers, rows = edges.groups, edges.numbers, edges.rows
    own, e = groups[a], numbers[a]
    x, y, z, half, wide = rows[a, 0], rows[a, 1], rows[a, 2], rows[a, 3], rows[a, 7]
    ux, uy, uz = rows[a, 4], rows[a, 5], rows[a, 6]
    for b in range(begin, end):
        if b < a and gone[numbers[b]]:
            continue  # it has found this one
        dx, dy, dz = rows[b, 0] - x, rows[b, 1] - y, rows[b, 2] - z
        square = dx * dx + dy * dy + dz * dz
        near = wide + rows[b, 7] + reach
        far = near + half + rows[b, 3] + SLACK
        if square > far * far or groups[b] == own:
            continue
        # Most that are not near are certain to lie beside it, too far off, or beyond its end.
        turn = abs(ux * rows[b, 4] + uy * rows[b, 5] + uz * rows[b, 6])
        along = abs(ux * dx + uy * dy + uz * dz)
        far = near + math.sqrt(max(1.0 - turn * turn, 0.0)) * rows[b, 3] + SLACK
        if along > half + turn * rows[b, 3] + near + SLACK or square - along * along > far * far:
            continue
        f = numbers[b]
        off = 1e30 if _held(free, e, f) else closest(points, e, f)[3]
        if off >= near:
            continue
        if found < pairs.shape[0]:
            room = off - wide - rows[b, 7] - max(gaps[e], gaps[f])
            pairs[found, 0], pairs[found, 1], spare[found] = e, f, room
        found += 1
    return found


@inner
def _held(free: Floats, e: int, f: int) -> bool:
    return bool(free[e] + free[e + 1] + free[f] + free[f + 1] == 0.0)


@inner
def apart(points: Floats, i: int, j: int) -> float:
    """Return how far two points are from each other."""
    dx, dy, dz = points[i, 0] - points[j, 0], points[i, 1] - points[j, 1], points[i, 2] - points[j, 2]
    return math.sqrt(dx * dx + dy * dy + dz * dz)


@compiled
def closest(points: Floats, e: int, f: int) -> tuple[float, float, float, float, float, float]:
    """Return the shortest vector from edge f to edge e, its length, and where on both it stands, 0 to 1."""
    ux, uy, uz = (
        points[e + 1, 0] - points[e, 0],
        points[e + 1, 1] - points[e, 1],
        points[e + 1, 2] - points[e, 2],
    )
    vx, vy, vz = (
        points[f + 1, 0] - points[f, 0],
        points[f + 1, 1] - points[f, 1],
        points[f + 1, 2] - points[f, 2],
    )
    wx, wy, wz = points[e, 0] - points[f, 0], points[e, 1] - points[f, 1], points[e, 2] - points[f, 2]
    a, b, c = ux * ux + uy * uy + uz * uz, ux * vx + uy * vy + uz * vz, vx * vx + vy * vy + vz * vz
    d, g = ux * wx + uy * wy + uz * wz, vx * wx + vy * wy + vz * wz
    square = a * c - b * b
    s = min(max((b * g - c * d) / square, 0.0), 1.0) if square > 1e-9 * a * c else 0.5
    t = (b * s + g) / c if c > 0.0 else -1.0  # an edge without length is its first point
    if t < 0.0:
        t = 0.0
        s = min(max(-d / a, 0.0), 1.0) if a > 0.0 else 0.0
    elif t > 1.0:
        t = 1.0
        s = min(max((b - d) / a, 0.0), 1.0) if a > 0.0 else 0.0
    x, y, z = wx + s * ux - t * vx, wy + s * uy - t * vy, wz + s * uz - t * vz
    return x, y, z, math.sqrt(x * x + y * y + z * z), s, t
