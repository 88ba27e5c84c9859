"""What is in sight in a parallel view: straight lines against convex things that stand before them.

All is in the view's own frame: x to the right, y up, z towards the eye. Of a convex thing, what it hides is
convex too: its silhouette, as far as that lies behind its front. So along a straight line it hides one
stretch, found by clipping; no raster, no samples.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.compiled import compiled, inner
from routeviz.geometry.stretches import LEAST, Stretches, outside, without

CELL = 24.0  # side of the cells in which blinds are looked up: about what a short line spans
INSET = 0.01  # how far inside a silhouette a line must be: lines on it are seen
BEHIND = 0.02  # how far behind a front a line must be: lines on it are seen
NO_LINK = -9  # of what is no chain: far from any link
HIDES, SWALLOWS, NOTHING = 0, 1, 2
ROOM = 1 << 16  # stretches for which room is made at first


@dataclass(frozen=True, slots=True, kw_only=True)
class Blinds:
    """Convex things that may stand before a line.

    Parameters
    ----------
    lines : array, shape (n, 3)
        ``a x + b y + c > 0`` is inside a silhouette's side; a, b of unit length.
    line_begins : array of int, shape (k + 1,)
        Those of thing i are ``lines[line_begins[i]:line_begins[i + 1]]``.
    planes : array, shape (m, 3)
        ``a x + b y + c`` is the height of a front face, towards the eye.
    plane_begins : array of int, shape (k + 1,)
        As ``line_begins``.
    boxes : array, shape (k, 4)
        Least x and y, greatest x and y.
    owners : array of int, shape (k,)
        Whose they are.
    along : array, shape (k,)
        Where along its owner; ``nan`` for what has no length.
    links : array of int, shape (k,)
        Which link of its owner's chain it is; ``NO_LINK`` for none.
    """

    lines: Floats
    line_begins: Ints
    planes: Floats
    plane_begins: Ints
    boxes: Floats
    owners: Ints
    along: Floats
    links: Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class Owned:
    """Whose things are, and where along it: ``owners``, ``along`` and ``links`` as in ``Blinds``."""

    owners: Ints
    along: Floats
    links: Ints


def unlinked(owners: Ints) -> Owned:
    """Return whose things are that are no part of a chain."""
    count = len(owners)
    return Owned(owners=owners, along=np.full(count, np.nan), links=np.full(count, NO_LINK))


def blinds_of(points: Floats, begins: Ints, planes: Floats, plane_begins: Ints, owned: Owned) -> Blinds:
    """Return things as blinds.

    Parameters
    ----------
    points : array, shape (n, 2)
        Where their corners are seen; the hull of each thing's is its silhouette.
    begins : array of int, shape (k + 1,)
        Thing i has ``points[begins[i]:begins[i + 1]]``.
    planes, plane_begins
        As ``Blinds`` has them.
    owned : Owned
        Whose they are.

    Returns
    -------
    blinds : Blinds
        Without those that are seen as a line or a point, and those without a front.
    """
    numbers = np.repeat(np.arange(len(begins) - 1), np.diff(begins))
    hulls = shapely.convex_hull(shapely.multipoints(points, indices=numbers)) if len(points) else np.zeros(0)
    kept = np.flatnonzero((shapely.area(hulls) > 1e-6) & (np.diff(plane_begins) > 0))
    corners, owner = shapely.get_coordinates(hulls[kept], return_index=True)
    last = np.append(owner[1:] != owner[:-1], True)[: len(owner)]
    first, second = corners[~last], corners[1:][~last[:-1]]
    inward = np.stack([first[:, 1] - second[:, 1], second[:, 0] - first[:, 0]], axis=1)
    inward /= np.linalg.norm(inward, axis=1, keepdims=True)
    counts = np.bincount(owner[~last], minlength=len(kept))
    middles = np.add.reduceat(first, np.append(0, np.cumsum(counts)[:-1]), axis=0) if len(kept) else first
    middles = np.repeat(middles / counts[:, None], counts, axis=0)
    inward *= np.sign(np.einsum("ij,ij->i", inward, middles - first))[:, None]
    chosen = np.concatenate(
        [np.zeros(0, np.int64), *(np.arange(plane_begins[k], plane_begins[k + 1]) for k in kept)]
    )
    return Blinds(
        lines=np.column_stack([inward, -np.einsum("ij,ij->i", inward, first)]),
        line_begins=np.append(0, np.cumsum(counts)),
        planes=planes[chosen],
        plane_begins=np.append(0, np.cumsum(np.diff(plane_begins)[kept])),
        boxes=shapely.bounds(hulls[kept]),
        owners=owned.owners[kept],
        along=owned.along[kept],
        links=owned.links[kept],
    )


def joined_blinds(some: list[Blinds]) -> Blinds:
    """Return all of some blinds as one."""
    return Blinds(
        lines=np.concatenate([one.lines for one in some]),
        line_begins=_together([one.line_begins for one in some]),
        planes=np.concatenate([one.planes for one in some]),
        plane_begins=_together([one.plane_begins for one in some]),
        boxes=np.concatenate([one.boxes for one in some]),
        owners=np.concatenate([one.owners for one in some]),
        along=np.concatenate([one.along for one in some]),
        links=np.concatenate([one.links for one in some]),
    )


def _together(begins: list[Ints]) -> Ints:
    counts = np.concatenate([np.diff(one) for one in begins])
    return np.append(0, np.cumsum(counts))


@dataclass(frozen=True, slots=True, kw_only=True)
class Lines:
    """Straight lines in a view, each belonging to something.

    Parameters
    ----------
    starts, ends : array, shape (n, 3)
        Both ends.
    owners : array of int, shape (n,)
        Whose: as ``Blinds.owners``.
    along : array, shape (n,)
        Where along its owner; ``nan`` for what has no length.
    near : array, shape (n,)
        Blinds of its own owner no farther along than this swallow it whatever their depth: the inside of a
        bend is no outline.
    links : array of int, shape (n,)
        Which link of its owner's chain it is; blinds of the next links do nothing to it.
    """

    starts: Floats
    ends: Floats
    owners: Ints
    along: Floats
    near: Floats
    links: Ints


def in_sight(lines: Lines, blinds: Blinds) -> tuple[Stretches, Stretches]:
    """Return what is seen of lines, and what of them is hidden.

    Parameters
    ----------
    lines : Lines
        What may be hidden.
    blinds : Blinds
        What may hide it.

    Returns
    -------
    seen, hidden : Stretches
        Neither holds what is swallowed.
    """
    numbers, spans, swallowed = _covered(lines, blinds)
    count = len(lines.starts)
    return (
        outside(numbers, spans, count),
        without(numbers[~swallowed], spans[~swallowed], numbers[swallowed], spans[swallowed], count),
    )


def _covered(lines: Lines, blinds: Blinds) -> tuple[Ints, Floats, NDArray[np.bool_]]:
    room = ROOM
    cells, cell_begins, grid = _cells(blinds.boxes)
    while True:
        numbers, spans, kinds = np.empty(room, np.int64), np.empty((room, 2)), np.empty(room, np.int64)
        count = _clip(
            _flat_lines(lines), _flat_blinds(blinds), (cells, cell_begins, grid), numbers, spans, kinds
        )
        if count <= room:
            return numbers[:count], spans[:count], kinds[:count] == SWALLOWS
        room = count


def _cells(boxes: Floats) -> tuple[Ints, Ints, Floats]:
    """Return which boxes each square cell of a grid meets, cell after cell, and the grid's frame."""
    if not len(boxes):
        return np.zeros(0, np.int64), np.zeros(2, np.int64), np.array([0.0, 0.0, 1.0, 1.0])
    low = boxes[:, :2].min(axis=0)
    wide, high = (np.floor((boxes[:, 2:].max(axis=0) - low) / CELL) + 1).tolist()
    first = ((boxes[:, :2] - low) // CELL).astype(np.int64)
    counts = ((boxes[:, 2:] - low) // CELL).astype(np.int64) - first + 1
    each = counts.prod(axis=1)
    owner = np.repeat(np.arange(len(boxes)), each)
    step = np.arange(each.sum()) - np.repeat(np.append(0, np.cumsum(each)[:-1]), each)
    across, up = step % counts[owner, 0] + first[owner, 0], step // counts[owner, 0] + first[owner, 1]
    cell = across + up * int(wide)
    begins = np.append(0, np.cumsum(np.bincount(cell, minlength=int(wide * high))))
    return owner[np.argsort(cell, kind="stable")], begins, np.array([*low.tolist(), wide, high])


class FlatLines(NamedTuple):
    """``Lines`` for compiled code."""

    starts: Floats
    ends: Floats
    owners: Ints
    along: Floats
    near: Floats
    links: Ints


class FlatBlinds(NamedTuple):
    """``Blinds`` for compiled code."""

    lines: Floats
    line_begins: Ints
    planes: Floats
    plane_begins: Ints
    owners: Ints
    along: Floats
    links: Ints


def _flat_lines(lines: Lines) -> FlatLines:
    return FlatLines(*(np.ascontiguousarray(getattr(lines, name)) for name in FlatLines._fields))


def _flat_blinds(blinds: Blinds) -> FlatBlinds:
    return FlatBlinds(*(np.ascontiguousarray(getattr(blinds, name)) for name in FlatBlinds._fields))


@compiled
def _clip(
    lines: FlatLines,
    blinds: FlatBlinds,
    cells: tuple[Ints, Ints, Floats],
    numbers: Ints,
    spans: Floats,
    kinds: Ints,
) -> int:
    """Write down every stretch of a line that a blind covers; return how many there are."""
    listed, begins, grid = cells
    wide, high = int(grid[2]), int(grid[3])
    met = np.full(len(blinds.owners), -1)
    count = 0
    for n in range(len(lines.starts)):
        a, b = lines.starts[n], lines.ends[n]
        left = max(int((min(a[0], b[0]) - grid[0]) // CELL), 0)
        right = min(int((max(a[0], b[0]) - grid[0]) // CELL), wide - 1)
        lowest = max(int((min(a[1], b[1]) - grid[1]) // CELL), 0)
        highest = min(int((max(a[1], b[1]) - grid[1]) // CELL), high - 1)
        for row in range(lowest, highest + 1):
            for cell in range(row * wide + left, row * wide + right + 1):
                for i in range(begins[cell], begins[cell + 1]):
                    k = listed[i]
                    if met[k] == n:
                        continue
                    met[k] = n
                    effect = _effect(lines, n, blinds, k)
                    begin, end = _span(a, b, blinds, k, effect)
                    if end - begin > LEAST:
                        if count < len(numbers):
                            numbers[count], kinds[count] = n, effect
                            spans[count, 0], spans[count, 1] = begin, end
                        count += 1
    return count


@inner
def _effect(lines: FlatLines, n: int, blinds: FlatBlinds, k: int) -> int:
    """Return what a blind may do to a line."""
    if lines.owners[n] != blinds.owners[k]:
        return HIDES
    if lines.links[n] >= 0 and abs(lines.links[n] - blinds.links[k]) <= 1:
        return NOTHING
    return SWALLOWS if abs(lines.along[n] - blinds.along[k]) < lines.near[n] else HIDES


@inner
def _span(a: Floats, b: Floats, blinds: FlatBlinds, k: int, effect: int) -> tuple[float, float]:
    """Return from where to where, as shares, a blind covers a line; end <= begin for nowhere."""
    begin, end = 0.0, 0.0 if effect == NOTHING else 1.0
    for i in range(blinds.line_begins[k], blinds.line_begins[k + 1]):
        line = blinds.lines[i]
        base = line[2] - INSET
        begin, end = _clipped(
            line[0] * a[0] + line[1] * a[1] + base, line[0] * b[0] + line[1] * b[1] + base, begin, end
        )
        if end <= begin:
            return 1.0, 0.0
    if effect == SWALLOWS:
        return begin, end
    for i in range(blinds.plane_begins[k], blinds.plane_begins[k + 1]):
        plane = blinds.planes[i]
        base = plane[2] - BEHIND
        begin, end = _clipped(
            plane[0] * a[0] + plane[1] * a[1] + base - a[2],
            plane[0] * b[0] + plane[1] * b[1] + base - b[2],
            begin,
            end,
        )
        if end <= begin:
            return 1.0, 0.0
    return begin, end


@inner
def _clipped(first: float, last: float, begin: float, end: float) -> tuple[float, float]:
    """Return the part of a stretch on which a height, given at shares 0 and 1, is above zero."""
    if first <= 0.0 and last <= 0.0:
        return 1.0, 0.0
    if first < 0.0:
        begin = max(begin, first / (first - last))
    elif last < 0.0:
        end = min(end, first / (first - last))
    return begin, end
