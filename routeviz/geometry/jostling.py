"""How circles that overlap each other or a rim push themselves apart: compiled, deterministic, in place.

What is made of it, and which start positions are tried, is in packing.py; the last tightening is in
jamming.py.
"""

from typing import NamedTuple

import numpy as np
import shapely

from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.compiled import compiled, inner

# Cells of the rim's grid along the longer side; 48 keeps the list of edges near a cell short.
CELLS = 48
# Steps between two listings of neighbours; with MOST_MOVE a pair beyond the listing's reach cannot meet
# unseen.
LISTING = 10
MOST_MOVE = 0.015
PAIR_REACH = 1.45


class Rim(NamedTuple):
    """An opening's edges, and for each cell of a grid the edges that may be within reach of a point in it.

    Parameters
    ----------
    edges : array, shape (m, 4)
        x, y of one end and of the other.
    corner : array, shape (2,)
        Least x and y of the grid.
    step : float
        Side of a cell.
    across, up : int
        Cells along x and y.
    begins : array of int, shape (across * up + 1,)
        Where a cell's edges begin in ``near``.
    near : array of int
        Edges, cell by cell.
    """

    edges: Floats
    corner: Floats
    step: float
    across: int
    up: int
    begins: Ints
    near: Ints


def rim_of(edges: Floats, reach: float) -> Rim:
    """Return the rim with the grid that lists, for each cell, the edges within reach of any of its points."""
    low = np.minimum(edges[:, :2], edges[:, 2:]).min(axis=0)
    high = np.maximum(edges[:, :2], edges[:, 2:]).max(axis=0)
    step = float((high - low).max()) / CELLS
    across, up = (int(count) for count in np.ceil((high - low) / step).clip(min=1))
    x, y = np.meshgrid(low[0] + (np.arange(across) + 0.5) * step, low[1] + (np.arange(up) + 0.5) * step)
    tree = shapely.STRtree(shapely.linestrings(edges.reshape(-1, 2, 2)))
    # A point of a cell is at most 0.71 of its side away from its middle.
    middles = shapely.points(x.ravel(), y.ravel())
    cells, near = tree.query(middles, predicate="dwithin", distance=reach + 0.75 * step)
    order = np.lexsort((near, cells))
    begins = np.searchsorted(cells[order], np.arange(across * up + 1))
    return Rim(edges, low, step, across, up, begins.astype(np.int64), near[order].astype(np.int64))


@inner
def away_from(x: float, y: float, edges: Floats, e: int) -> tuple[float, float, float]:
    """Return the distance from an edge, and the unit vector that leads away from it (zeros on the edge)."""
    ax, ay = edges[e, 0], edges[e, 1]
    bx, by = edges[e, 2] - ax, edges[e, 3] - ay
    share = ((x - ax) * bx + (y - ay) * by) / (bx * bx + by * by)
    share = min(1.0, max(0.0, share))
    dx, dy = x - ax - share * bx, y - ay - share * by
    distance = np.sqrt(dx * dx + dy * dy)
    if distance > 0.0:
        return distance, dx / distance, dy / distance
    return 0.0, 0.0, 0.0


@inner
def cell_of(x: float, y: float, rim: Rim) -> int:
    """Return the cell in which a point lies; for one outside the grid, the nearest."""
    i = min(rim.across - 1, max(0, int((x - rim.corner[0]) / rim.step)))
    j = min(rim.up - 1, max(0, int((y - rim.corner[1]) / rim.step)))
    return j * rim.across + i


@inner
def is_inside(x: float, y: float, edges: Floats) -> bool:
    """Return whether a ray to the right crosses the edges an odd number of times."""
    odd = False
    for e in range(len(edges)):
        ay, by = edges[e, 1], edges[e, 3]
        if (ay > y) != (by > y) and x < edges[e, 0] + (y - ay) * (edges[e, 2] - edges[e, 0]) / (by - ay):
            odd = not odd
    return odd


@inner
def clears(x: float, y: float, rim: Rim, margin: float) -> bool:
    """Return whether a point lies inside and a margin, at most the grid's reach, away from every edge."""
    cell = cell_of(x, y, rim)
    for k in range(rim.begins[cell], rim.begins[cell + 1]):
        if away_from(x, y, rim.edges, rim.near[k])[0] < margin:
            return False
    return is_inside(x, y, rim.edges)


def fill_greedily(kept: Floats, offers: Floats, separation: float) -> Floats:
    """Return the kept points and, in order, each offered one that is a separation away from all before it."""
    chosen = np.concatenate([kept, offers])
    return chosen[: take_free(chosen, len(kept), separation)].copy()


@compiled
def take_free(points: Floats, count: int, separation: float) -> int:
    """Move to the front, behind the first so many, each point away from all there; return how many."""
    for i in range(count, len(points)):
        free = True
        for j in range(count):
            dx, dy = points[i, 0] - points[j, 0], points[i, 1] - points[j, 1]
            if dx * dx + dy * dy < separation * separation:
                free = False
                break
        if free:
            points[count, 0], points[count, 1] = points[i, 0], points[i, 1]
            count += 1
    return count


@compiled
def list_pairs(points: Floats, halves: Floats, reach: float) -> Ints:
    """Return the pairs (k, 2) nearer than reach times the distance they should keep."""
    n, count = len(points), 0
    # Counted first, then filled: growing an array takes the compiler seconds.
    pairs = np.empty((0, 2), dtype=np.int64)
    for filling in range(2):
        if filling:
            pairs = np.empty((count, 2), dtype=np.int64)
        count = 0
        for i in range(n):
            for j in range(i + 1, n):
                dx, dy = points[j, 0] - points[i, 0], points[j, 1] - points[i, 1]
                far = reach * (halves[i] + halves[j])
                if dx * dx + dy * dy < far * far:
                    if filling:
                        pairs[count, 0], pairs[count, 1] = i, j
                    count += 1
    return pairs


@inner
def push(points: Floats, halves: Floats, pairs: Ints, extra: float, rim: Rim, forces: Floats) -> float:
    """Fill the forces with which overlaps push, and return the deepest overlap."""
    # A centre keeps its half and the extra from the rim; a pair keeps the sum of its halves.
    deepest = 0.0
    for i in range(len(points)):
        forces[i, 0], forces[i, 1] = 0.0, 0.0
    for k in range(len(pairs)):
        i, j = pairs[k, 0], pairs[k, 1]
        dx, dy = points[j, 0] - points[i, 0], points[j, 1] - points[i, 1]
        distance = np.sqrt(dx * dx + dy * dy)
        depth = halves[i] + halves[j] - distance
        if depth > 0.0 and distance > 0.0:
            deepest = max(deepest, depth)
            fx, fy = depth * dx / distance, depth * dy / distance
            forces[i, 0] -= fx
            forces[i, 1] -= fy
            forces[j, 0] += fx
            forces[j, 1] += fy
    for i in range(len(points)):
        cell = cell_of(points[i, 0], points[i, 1], rim)
        for k in range(rim.begins[cell], rim.begins[cell + 1]):
            distance, nx, ny = away_from(points[i, 0], points[i, 1], rim.edges, rim.near[k])
            depth = halves[i] + extra - distance
            if depth > 0.0:
                deepest = max(deepest, depth)
                forces[i, 0] += depth * nx
                forces[i, 1] += depth * ny
    return deepest


@inner
def steer(speeds: Floats, forces: Floats, blend: float) -> bool:
    """Turn the speeds towards the forces, or stop where they run uphill; return whether they ran down."""
    power, force, speed = 0.0, 0.0, 0.0
    for i in range(len(speeds)):
        for c in range(2):
            power += speeds[i, c] * forces[i, c]
            force += forces[i, c] ** 2
            speed += speeds[i, c] ** 2
    runs_down = power > 0.0 and force > 0.0
    keep = 1.0 - blend if runs_down else 0.0
    turn = blend * np.sqrt(speed / force) if runs_down else 0.0
    for i in range(len(speeds)):
        for c in range(2):
            speeds[i, c] = keep * speeds[i, c] + turn * forces[i, c]
    return runs_down


@compiled
def settle(  # noqa: C901  one loop: each function it is split into costs the first run a second of compiling
    points: Floats, halves: Floats, extra: float, rim: Rim, steps: int
) -> float:
    """Let overlapping circles push apart, in place, and return the deepest overlap left.

    Fast inertial relaxation (E. Bitzek et al., Structural relaxation made simple, Phys. Rev. Lett. 97 (2006)
    170201).

    Parameters
    ----------
    points : array, shape (n, 2)
        Centres; moved.
    halves : array, shape (n,)
        Half the distance each keeps from an equal neighbour.
    extra : float
        What a centre keeps from the rim beyond its half; may be negative.
    rim : Rim
        Its grid reaches at least the largest half and the extra.
    steps : int
        At most so many.

    Returns
    -------
    deepest : float
        The deepest overlap left.
    """
    speeds, forces = np.zeros((len(points), 2)), np.zeros((len(points), 2))
    pace, blend, good = 0.2, 0.1, 0
    size = halves[0] * 2.0
    for half in halves:
        size = min(size, half * 2.0)
    pairs, deepest = np.empty((0, 2), dtype=np.int64), 0.0
    for step in range(steps + 1):
        if step % LISTING == 0:
            pairs = list_pairs(points, halves, PAIR_REACH)
        deepest = push(points, halves, pairs, extra, rim, forces)
        if deepest < 1e-12 * size or step == steps:
            break
        if steer(speeds, forces, blend):
            good += 1
            if good > 5:
                pace, blend = min(0.5, pace * 1.1), blend * 0.99
        else:
            pace, blend, good = max(0.05, pace * 0.5), 0.1, 0
        for i in range(len(points)):
            for c in range(2):
                speeds[i, c] += pace * forces[i, c]
                points[i, c] += min(MOST_MOVE * size, max(-MOST_MOVE * size, pace * speeds[i, c]))
    return deepest


@compiled
def least_room(points: Floats, halves: Floats, extra: float, rim: Rim) -> float:
    """Return the least room between pairs and to the rim; negative where circles overlap."""
    room = np.inf
    for i in range(len(points)):
        for j in range(i):
            dx, dy = points[j, 0] - points[i, 0], points[j, 1] - points[i, 1]
            room = min(room, np.sqrt(dx * dx + dy * dy) - halves[i] - halves[j])
        cell = cell_of(points[i, 0], points[i, 1], rim)
        for k in range(rim.begins[cell], rim.begins[cell + 1]):
            distance = away_from(points[i, 0], points[i, 1], rim.edges, rim.near[k])[0]
            room = min(room, distance - halves[i] - extra)
    return room
