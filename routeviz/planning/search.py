"""What is the cheapest way from cell to cell, how far is everything from a cell, and which bends are needed?

Which cells are free and what they cost is in freespace.py; that tubes make each other way, in threading.py.
"""

import math
from typing import NamedTuple

import numpy as np

from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.compiled import compiled, inner

NONE = -1
EVERYWHERE: Ints = np.zeros(0, np.int64)  # no goal: the front stops nowhere
ROOM = 1024  # places in a heap to begin with: it doubles when it is full
SAME = 1e-9  # costs that differ by less are equal: what rounding makes of sums of square roots
LOOK = (
    0.4  # of a cell's side between the places at which a straight line is looked at: no cell is jumped over
)
NEAR = 8  # points ahead within which each is tried when a way is thinned
LEANING = 0.999  # by how much a straight line is taken as shorter than it is: rounding never makes it dearer


@compiled
def cheapest_way(  # noqa: C901, PLR0913  one loop over arrays that are kept from call to call, compiled once
    dear: Floats, counts: Ints, begin: int, goal: int, costs: Floats, parents: Ints, marks: Ints, mark: int
) -> Ints:
    """Return the cells of the cheapest way, the goal first; empty where there is none.

    A step costs its length in cells times what the cell that it leads into says. The search leans on the
    straight distance (A*), so no cell may cost less than 1.

    Parameters
    ----------
    dear : array, shape (c,)
        What a step into each cell costs, >= 1; ``inf`` where nothing may go.
    counts : array of int, shape (3,)
        Cells each way; cell (i, j, k) is number ``(i * counts[1] + j) * counts[2] + k``.
    begin, goal : int
        Cells.
    costs, parents, marks : array, shape (c,)
        Kept from call to call, so that nothing need be cleared: what is not marked with ``mark`` is stale.
    mark : int
        Another at each call, > 0.

    Returns
    -------
    cells : array of int, shape (w,)
        From the goal back to the beginning.
    """
    ny, nz = counts[1], counts[2]
    gi, gj, gk = goal // (ny * nz), goal // nz % ny, goal % nz
    keys = np.empty(ROOM)
    heap = np.empty(ROOM, np.int64)
    size = 0
    costs[begin], parents[begin], marks[begin] = 0.0, NONE, mark
    keys, heap, size = _pushed(keys, heap, size, 0.0, begin)
    while size > 0:
        cell, reached = heap[0], keys[0]
        size = _popped(keys, heap, size)
        if cell == goal:
            break
        i, j, k = cell // (ny * nz), cell // nz % ny, cell % nz
        here = costs[cell]
        left = LEANING * math.sqrt(float((i - gi) ** 2 + (j - gj) ** 2 + (k - gk) ** 2))
        if reached > here + left + SAME:
            continue
        for di in range(-1, 2):
            if i + di < 0 or i + di >= counts[0]:
                continue
            for dj in range(-1, 2):
                if j + dj < 0 or j + dj >= ny:
                    continue
                for dk in range(-1, 2):
                    if k + dk < 0 or k + dk >= nz or (di == 0 and dj == 0 and dk == 0):
                        continue
                    other = cell + (di * ny + dj) * nz + dk
                    cost = here + math.sqrt(float(di * di + dj * dj + dk * dk)) * dear[other]
                    if cost == np.inf or (marks[other] == mark and costs[other] <= cost):
                        continue
                    costs[other], parents[other], marks[other] = cost, cell, mark
                    left = math.sqrt(float((i + di - gi) ** 2 + (j + dj - gj) ** 2 + (k + dk - gk) ** 2))
                    keys, heap, size = _pushed(keys, heap, size, cost + LEANING * left, other)
    return _traced(parents, marks, mark, goal)


@compiled
def distances_from(dear: Floats, links: Ints, counts: Ints, begin: int, goals: Ints) -> Floats:
    """Return how far every cell is from one, as a front moves through them; ``inf`` where there is no way.

    Parameters
    ----------
    dear : array, shape (c,)
        What a cell costs; ``inf`` where nothing may go.
    links : array of int, shape (3, c)
        1 where the front passes from a cell to the next along each direction.
    counts : array of int, shape (3,)
        Cells each way.
    begin : int
        From where.
    goals : array of int
        The front stops when it has come to all of these; with none it goes everywhere.

    Returns
    -------
    costs : array, shape (c,)
        In cells; of cells beyond the last goal only what was come to.

    References
    ----------
    J. A. Sethian, Proceedings of the National Academy of Sciences 93 (1996), 1591-1595: the fast marching
    method, first order (from memory).
    """
    steps = np.array([counts[1] * counts[2], counts[2], 1])
    costs = np.full(dear.shape[0], np.inf)
    done = np.zeros(dear.shape[0], np.int64)
    wanted = np.zeros(dear.shape[0], np.int64)
    wanted[goals] = 1
    left = wanted.sum()
    keys = np.empty(ROOM)
    heap = np.empty(ROOM, np.int64)
    size = 0
    costs[begin] = 0.0
    keys, heap, size = _pushed(keys, heap, size, 0.0, begin)
    while size > 0:
        cell = heap[0]
        size = _popped(keys, heap, size)
        if done[cell]:
            continue
        done[cell] = 1
        left -= wanted[cell]
        if wanted[cell] and left == 0:
            break
        for axis in range(3):
            for sense in (-1, 1):
                other = cell + sense * steps[axis]
                if links[axis, min(cell, other)] == 0 or done[other]:
                    continue
                cost = _front(costs, done, links, steps, other, dear[other])
                if cost < costs[other]:
                    costs[other] = cost
                    keys, heap, size = _pushed(keys, heap, size, cost, other)
    return costs


@inner
def _front(costs: Floats, done: Ints, links: Ints, steps: Ints, cell: int, dear: float) -> float:
    """Return when the front comes to a cell from those beside it that it has passed."""
    passed = np.empty(3)
    count = 0
    for axis in range(3):
        least = np.inf
        before, after = cell - steps[axis], cell + steps[axis]
        if before >= 0 and links[axis, before] == 1 and done[before]:
            least = costs[before]
        if links[axis, cell] == 1 and done[after]:
            least = min(least, costs[after])
        if least < np.inf:
            at = count
            while at > 0 and passed[at - 1] > least:
                passed[at] = passed[at - 1]
                at -= 1
            passed[at] = least
            count += 1
    return _arrival(passed[:count], dear)


@inner
def _arrival(passed: Floats, dear: float) -> float:
    """Return when a front comes to a cell that it has passed on one to three sides, at these rising times."""
    best = float(passed[0]) + dear
    for used in range(2, passed.shape[0] + 1):
        if best <= passed[used - 1]:
            break
        total, square = 0.0, 0.0
        for n in range(used):
            total += passed[n]
            square += passed[n] * passed[n]
        under = total * total - used * (square - dear * dear)
        if under >= 0.0:
            best = (total + math.sqrt(under)) / used
    return best


@inner
def _traced(parents: Ints, marks: Ints, mark: int, goal: int) -> Ints:
    """Return the cells from the goal back to where the search began; none where it was not come to."""
    if marks[goal] != mark:
        return np.empty(0, np.int64)
    count, cell = 0, goal
    while cell != NONE:
        count, cell = count + 1, parents[cell]
    cells = np.empty(count, np.int64)
    cell = goal
    for n in range(count):
        cells[n] = cell
        cell = parents[cell]
    return cells


@inner
def _pushed(keys: Floats, heap: Ints, size: int, key: float, cell: int) -> tuple[Floats, Ints, int]:
    """Add to the heap; equal keys come out by cell number, so that ties never hang on memory."""
    if size == heap.shape[0]:
        more, cells = np.empty(2 * size), np.empty(2 * size, np.int64)
        for n in range(size):  # slices would cost the first run seconds of compiling
            more[n], cells[n] = keys[n], heap[n]
        keys, heap = more, cells
    at = size
    while at > 0:
        up = (at - 1) // 2
        if keys[up] < key or (keys[up] == key and heap[up] <= cell):
            break
        keys[at], heap[at] = keys[up], heap[up]
        at = up
    keys[at], heap[at] = key, cell
    return keys, heap, size + 1


@inner
def _popped(keys: Floats, heap: Ints, size: int) -> int:
    """Take the first off the heap; returns the new size."""
    size -= 1
    key, cell = keys[size], heap[size]
    at = 0
    while True:
        down = 2 * at + 1
        if down >= size:
            break
        right = down + 1
        if right < size and (
            keys[right] < keys[down] or (keys[right] == keys[down] and heap[right] < heap[down])
        ):
            down = right
        if key < keys[down] or (key == keys[down] and cell <= heap[down]):
            break
        keys[at], heap[at] = keys[down], heap[down]
        at = down
    keys[at], heap[at] = key, cell
    return size


class Cells(NamedTuple):
    """Cells as ``thinned`` takes them: what is free at each, and where they are."""

    clear: Floats
    counts: Ints
    low: Floats
    side: float


@compiled
def thinned(points: Floats, clear: Floats, counts: Ints, low: Floats, side: float, least: float) -> Ints:
    """Return which points of a way are needed: between two of them the straight line is free.

    Parameters
    ----------
    points : array, shape (n, 3)
        A way.
    clear : array, shape (c,)
        How far each cell's middle is from what stands there.
    counts, low, side
        Of the cells.
    least : float
        What counts as free.

    Returns
    -------
    needed : array of int, shape (m,)
        In order, both ends among them.
    """
    cells = Cells(clear, counts, low, side)
    total = points.shape[0]
    needed = np.empty(total, np.int64)
    needed[0], count, at = 0, 1, 0
    while at < total - 1:
        onward = total - 1
        while onward > at + 1 and not _sees(points, at, onward, cells, least):
            # Far ends are tried with large strides: the last few points are tried one by one.
            onward -= 1 if onward - at < NEAR else (onward - at) // 4
        at = onward
        needed[count] = at
        count += 1
    return needed[:count]


@inner
def _sees(points: Floats, a: int, b: int, cells: Cells, least: float) -> bool:
    """Return whether all cells on the straight line between two points are free."""
    low, side, counts = cells.low, cells.side, cells.counts
    dx, dy, dz = points[b, 0] - points[a, 0], points[b, 1] - points[a, 1], points[b, 2] - points[a, 2]
    steps = int(math.sqrt(dx * dx + dy * dy + dz * dz) / (LOOK * side)) + 1
    for n in range(1, steps):
        share = n / steps
        i = min(max(int((points[a, 0] + share * dx - low[0]) / side), 0), counts[0] - 1)
        j = min(max(int((points[a, 1] + share * dy - low[1]) / side), 0), counts[1] - 1)
        k = min(max(int((points[a, 2] + share * dz - low[2]) / side), 0), counts[2] - 1)
        if cells.clear[(i * counts[1] + j) * counts[2] + k] < least:
            return False
    return True
