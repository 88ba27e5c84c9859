"""How a flat outline with holes falls into convex parts.

The parts become solids in shapes.py; how far a point is from one is in distances.py.
"""

import math
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely import Polygon

from routeviz.geometry.arrays import Floats

FLAT = 1e-12  # a corner this straight, as cross product over the two lengths, counts as no corner
DIGITS = 9  # to which coordinates are rounded before edges are held to be upright: far below any measure

Ring = list[int]


def circle_corners(centre: ArrayLike, radius: float, sagitta: float) -> Floats:
    """Return the corners of a regular polygon inscribed in a circle, anticlockwise.

    As a hole it is never wider than the circle, and nowhere more than the sagitta narrower.

    Parameters
    ----------
    centre : array, shape (2,)
        Of the circle.
    radius : float
        Of the circle, > 0.
    sagitta : float
        The most by which the polygon may lie inside the circle, > 0.

    Returns
    -------
    corners : array, shape (n, 2)
        At least eight, all on the circle.

    Raises
    ------
    ValueError
        Radius or sagitta is not above zero.
    """
    if not (radius > 0.0 and sagitta > 0.0):
        raise ValueError("radius, sagitta: must both be above zero")
    sides = max(8, math.ceil(math.pi / math.acos(max(0.0, 1.0 - sagitta / radius))))
    angles = np.arange(sides) * (2.0 * math.pi / sides)
    return np.asarray(centre, dtype=np.float64) + radius * np.column_stack([np.cos(angles), np.sin(angles)])


def convex_parts(outline: Polygon) -> list[Floats]:
    """Return convex polygons that together are the outline.

    Rectangles where every edge is parallel to an axis, else merged triangles.

    Parameters
    ----------
    outline : Polygon
        Valid, with an area, with or without holes.

    Returns
    -------
    parts : list of array, shape (n, 2)
        Corners of each, anticlockwise, n >= 3.

    Raises
    ------
    ValueError
        The outline is not one valid polygon with an area.
    """
    if outline.geom_type != "Polygon" or outline.is_empty or not outline.is_valid or not outline.area > 0.0:
        raise ValueError("outline: one valid polygon with an area is wanted")
    rings = [
        np.round(np.asarray(ring.coords)[:, :2], DIGITS) for ring in (outline.exterior, *outline.interiors)
    ]
    edges = np.concatenate([np.hstack([ring[:-1], ring[1:]]) for ring in rings])
    steps = np.abs(edges[:, 2:] - edges[:, :2])
    if (steps.min(axis=1) == 0.0).all():
        across = rectangles(edges)
        up = rectangles(edges[:, [1, 0, 3, 2]])
        best = across if len(across) <= len(up) else [(y0, x0, y1, x1) for x0, y0, x1, y1 in up]
        return [np.array([(a, b), (c, b), (c, d), (a, d)]) for a, b, c, d in best]
    return merged_triangles(outline)


def rectangles(edges: Floats) -> list[tuple[float, float, float, float]]:
    """Return the rectangles between axis-parallel edges (x0, y0, x1, y1), in strips.

    The strips run along y; equal spans in neighbouring strips are joined.

    Returns
    -------
    rectangles : list of tuple
        (x0, y0, x1, y1) each.
    """
    level = edges[edges[:, 3] == edges[:, 1]]
    lefts, rights = level[:, [0, 2]].min(axis=1), level[:, [0, 2]].max(axis=1)
    found: list[tuple[float, float, float, float]] = []
    open_spans: dict[tuple[float, float], float] = {}
    end = 0.0
    for begin, end in pairwise(np.unique(edges[:, [0, 2]]).tolist()):
        middle = 0.5 * (begin + end)
        heights = np.sort(level[(lefts < middle) & (rights > middle), 1]).tolist()
        spans = set(zip(heights[::2], heights[1::2], strict=True))
        found += [(open_spans.pop(s), s[0], begin, s[1]) for s in sorted(open_spans) if s not in spans]
        for span in spans:
            open_spans.setdefault(span, begin)
    found += [(open_spans[s], s[0], end, s[1]) for s in sorted(open_spans)]
    return found


def merged_triangles(outline: Polygon) -> list[Floats]:
    """Return convex polygons made by joining triangles across their longest common edges first."""
    corners: dict[tuple[float, float], int] = {}
    parts: list[Ring | None] = []
    for triangle in shapely.constrained_delaunay_triangles(outline).geoms:
        places = np.asarray(shapely.orient_polygons(triangle).exterior.coords)[:-1, :2].tolist()
        parts.append([corners.setdefault((x, y), len(corners)) for x, y in places])
    points = np.array(list(corners))
    owner = {edge: i for i, ring in enumerate(parts) if ring for edge in edges_of(ring)}
    shared = [(a, b) for a, b in owner if a < b and (b, a) in owner]
    shared.sort(key=lambda e: (-float(((points[e[0]] - points[e[1]]) ** 2).sum()), e))
    for a, b in shared:
        one, other = owner[a, b], owner[b, a]
        ring = joined_ring(parts[one] or [], parts[other] or [], (a, b))
        if one != other and is_convex(points[ring]):
            parts[one], parts[other] = ring, None
            owner.update(dict.fromkeys(edges_of(ring), one))
    return [without_flat_corners(points[ring]) for ring in parts if ring]


def edges_of(ring: Ring) -> list[tuple[int, int]]:
    """Return a ring's directed edges."""
    return list(zip(ring, ring[1:] + ring[:1], strict=True))


def joined_ring(one: Ring, other: Ring, edge: tuple[int, int]) -> Ring:
    """Return two rings as one, without the edge that the first runs forwards and the second backwards."""
    a, b = edge
    i, j = one.index(b), other.index(a)
    return one[i:] + one[:i] + (other[j:] + other[:j])[1:-1]


def corner_turns(corners: Floats) -> Floats:
    """Return at each corner the cross product of its two edges over their lengths."""
    into = corners - np.roll(corners, 1, axis=0)
    out = np.roll(into, -1, axis=0)
    scale = np.hypot(into[:, 0], into[:, 1]) * np.hypot(out[:, 0], out[:, 1])
    return np.asarray((into[:, 0] * out[:, 1] - into[:, 1] * out[:, 0]) / scale)


def is_convex(corners: Floats) -> bool:
    """Return whether an anticlockwise polygon is convex."""
    return len(np.unique(corners, axis=0)) == len(corners) and bool((corner_turns(corners) >= -FLAT).all())


def without_flat_corners(corners: Floats) -> Floats:
    """Return the polygon without corners at which it goes straight on."""
    kept = corners[corner_turns(corners) > FLAT]
    return kept if len(kept) >= 3 else corners
