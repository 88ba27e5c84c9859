"""Which edges of different strings are near each other, and how near?

What they are asked to do then is in spreading.py.
"""

import math
from typing import NamedTuple

import numpy as np

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


@compiled
def near_pairs(strings: Strings, reach: float, pairs: Ints, offs: Floats) -> int:
    """Write pairs of edges of different strings that are near each other, and return how many there are.

    An edge goes from a point to the next of its string and has the number of its first point.

    Parameters
    ----------
    strings : Strings
        All.
    reach : float
        How far apart two walls are still looked at.
    pairs : array of int, shape (m, 2)
        Filled as far as it goes.
    offs : array, shape (m,)
        How far apart the two are, filled as far.

    Returns
    -------
    count : int
        How many there are; more than m where ``pairs`` was too short.
    """
    edges, sorted_firsts, counts = _in_cells(strings, reach)
    ny, nz = counts[1], counts[2]
    found = 0
    for cell in range(counts[0] * ny * nz):
        i, j, k = cell // (ny * nz), cell // nz % ny, cell % nz
        for a in range(sorted_firsts[cell], sorted_firsts[cell + 1]):
            # What comes after it in its own cell and the next above, then four rows of up to three cells.
            end = sorted_firsts[cell + (2 if k + 1 < nz else 1)]
            found = _pair_up(strings, (a, a + 1, end), edges, reach, (pairs, offs, found))
            for di, dj in ((0, 1), (1, -1), (1, 0), (1, 1)):
                if i + di < counts[0] and 0 <= j + dj < ny:
                    row = ((i + di) * ny + j + dj) * nz
                    begin, end = sorted_firsts[row + max(k - 1, 0)], sorted_firsts[row + min(k + 2, nz)]
                    found = _pair_up(strings, (a, begin, end), edges, reach, (pairs, offs, found))
    return found


@inner
def _in_cells(strings: Strings, reach: float) -> tuple[Edges, Ints, Ints]:
    """Return edges cell by cell, where each cell's begin, and how many cells there are each way."""
    owners = strings.owners
    total = owners.shape[0]
    middles, low, high, longest = _middles(strings)
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
    return _sorted(strings, cells, firsts, middles), firsts, counts


@inner
def _middles(strings: Strings) -> tuple[Floats, Floats, Floats, float]:
    """Return edges' middles and half lengths, corners of a box about the middles, and the longest edge."""
    points, owners = strings.points, strings.owners
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
def _sorted(strings: Strings, cells: Ints, firsts: Ints, middles: Floats) -> Edges:
    """Return the edges cell by cell."""
    points, total = strings.points, firsts[-1]
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
    strings: Strings, span: tuple[int, int, int], edges: Edges, reach: float, filled: tuple[Ints, Floats, int]
) -> int:
    """Write the pairs of one edge with those of a span that are near it; returns how many there are now."""
    a, begin, end = span
    pairs, offs, found = filled
    # Looked up once: what is taken out of a tuple in the loop is counted each time.
    points, free = strings.points, strings.free
    groups, numbers, rows = edges.groups, edges.numbers, edges.rows
    own, e = groups[a], numbers[a]
    x, y, z, half, wide = rows[a, 0], rows[a, 1], rows[a, 2], rows[a, 3], rows[a, 7]
    ux, uy, uz = rows[a, 4], rows[a, 5], rows[a, 6]
    for b in range(begin, end):
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
            pairs[found, 0], pairs[found, 1], offs[found] = e, f, off
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


@compiled
def spare_of(strings: Strings, pairs: Ints, offs: Floats, gaps: Floats) -> Floats:
    """Return how far the edges of each pair are from being too near each other."""
    owners, radii = strings.owners, strings.radii
    spare = np.empty(pairs.shape[0])
    for n in range(pairs.shape[0]):
        p, q = owners[pairs[n, 0]], owners[pairs[n, 1]]
        spare[n] = offs[n] - (radii[p] + radii[q] + max(gaps[p], gaps[q]))
    return spare
