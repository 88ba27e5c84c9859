"""Which edges of different strings are near each other, and how near?

What they are asked to do then is in spreading.py.
"""

import math

import numpy as np

from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.compiled import compiled, inner
from routeviz.planning.strings import Strings


@compiled
def near_pairs(strings: Strings, reach: float, pairs: Ints) -> int:
    """Write pairs of edges of different strings whose middles are near, and return how many there are.

    An edge goes from a point to the next of its string and has the number of its first point.

    Parameters
    ----------
    strings : Strings
        All.
    reach : float
        Beyond the longest of two edges: how far apart two walls are still looked at.
    pairs : array of int, shape (m, 2)
        Filled as far as it goes.

    Returns
    -------
    count : int
        How many there are; more than m where ``pairs`` was too short.
    """
    edges, sorted_firsts, counts, middles = _in_cells(strings, reach)
    ny, nz = counts[1], counts[2]
    found = 0
    for cell in range(counts[0] * ny * nz):
        i, j, k = cell // (ny * nz), cell // nz % ny, cell % nz
        for a in range(sorted_firsts[cell], sorted_firsts[cell + 1]):
            # What comes after it in its own cell and the next above, then four rows of up to three cells.
            end = sorted_firsts[cell + (2 if k + 1 < nz else 1)]
            found = _pair_up(strings, (a, a + 1, end), edges, middles, reach, (pairs, found))
            for di, dj in ((0, 1), (1, -1), (1, 0), (1, 1)):
                if i + di < counts[0] and 0 <= j + dj < ny:
                    row = ((i + di) * ny + j + dj) * nz
                    begin, end = sorted_firsts[row + max(k - 1, 0)], sorted_firsts[row + min(k + 2, nz)]
                    found = _pair_up(strings, (a, begin, end), edges, middles, reach, (pairs, found))
    return found


@inner
def _in_cells(strings: Strings, reach: float) -> tuple[Ints, Ints, Ints, Floats]:
    """Return edges cell by cell, where each cell's begin, how many cells, edges' middles and half lengths."""
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
    edges, placed = _sorted(cells, firsts, middles)
    return edges, firsts, counts, placed


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
def _sorted(cells: Ints, firsts: Ints, middles: Floats) -> tuple[Ints, Floats]:
    """Return the edges cell by cell, and their middles and half lengths in that order."""
    edges, placed = np.empty(firsts[-1], np.int64), np.empty((firsts[-1], 4))
    filled = firsts[:-1].copy()
    for e in range(cells.shape[0]):
        if cells[e] >= 0:
            at = filled[cells[e]]
            edges[at], filled[cells[e]] = e, at + 1
            for axis in range(4):
                placed[at, axis] = middles[e, axis]
    return edges, placed


@inner
def _pair_up(
    strings: Strings, span: tuple[int, int, int], edges: Ints, middles: Floats, reach: float,
    filled: tuple[Ints, int],
) -> int:  # fmt: skip
    """Write the pairs of one edge with those of a span that are near it; returns how many there are now."""
    a, begin, end = span
    pairs, found = filled
    owners, radii = strings.owners, strings.radii
    e = edges[a]
    own, x, y, z = owners[e], middles[a, 0], middles[a, 1], middles[a, 2]
    for b in range(begin, end):
        dx, dy, dz = middles[b, 0] - x, middles[b, 1] - y, middles[b, 2] - z
        f = edges[b]
        near = radii[own] + radii[owners[f]] + reach
        far = near + middles[a, 3] + middles[b, 3]
        if dx * dx + dy * dy + dz * dz > far * far or strings.groups[owners[f]] == strings.groups[own]:
            continue
        if _held(strings.free, e, f) or closest(strings.points, e, f)[3] >= near:
            continue
        if found < pairs.shape[0]:
            pairs[found, 0], pairs[found, 1] = e, f
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
def spare_of(strings: Strings, pairs: Ints, gaps: Floats) -> Floats:
    """Return how far the edges of each pair are from being too near each other."""
    owners, radii = strings.owners, strings.radii
    spare = np.empty(pairs.shape[0])
    for n in range(pairs.shape[0]):
        p, q = owners[pairs[n, 0]], owners[pairs[n, 1]]
        wanted = radii[p] + radii[q] + max(gaps[p], gaps[q])
        spare[n] = closest(strings.points, pairs[n, 0], pairs[n, 1])[3] - wanted
    return spare
