"""Where a circle's centre may lie inside an opening.

How many centres such a region holds is bounded in capacity.py and answered in packing.py.
"""

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from routeviz.geometry.arrays import Floats

# A 64-sided polygon inside a disc misses at most 0.12 % of the radius; the miss only enlarges the region.
DISC_SIDES = 64


def rim_edges(opening: Polygon) -> Floats:
    """Return the edges of an opening's rim, holes included, as (m, 4): x, y of one end and of the other."""
    rings = [opening.exterior, *opening.interiors]
    loops = [shapely.get_coordinates(ring) for ring in rings]
    edges = np.concatenate([np.hstack([loop[:-1], loop[1:]]) for loop in loops])
    longer_than_zero = np.hypot(edges[:, 2] - edges[:, 0], edges[:, 3] - edges[:, 1]) > 0.0
    return np.ascontiguousarray(edges[longer_than_zero])


def is_allowed(points: Floats, opening: Polygon, margins: Floats | float) -> NDArray[np.bool_]:
    """Return which points lie in the opening at least a margin away from its rim; exact, no polygonal arcs.

    Parameters
    ----------
    points : array, shape (n, 2)
        Centres.
    opening : Polygon
        May have holes.
    margins : float or array, shape (n,)
        Least distance to the rim.

    Returns
    -------
    allowed : array of bool, shape (n,)
        One answer a point.
    """
    sites = shapely.points(points)
    inside = shapely.contains_xy(opening, points[:, 0], points[:, 1])
    far = shapely.distance(sites, opening.boundary) >= margins
    return np.asarray(inside & far, dtype=np.bool_)


def outer_erosion(opening: Polygon, margin: float) -> list[Polygon]:
    """Return polygons that together contain every point of the opening at least a margin away from its rim.

    From the opening are taken the strips along the edges, and discs at the corners that jut in, each disc as
    a polygon inside it. What is taken away is never more than what must go, so a bound for what is left
    holds.

    Parameters
    ----------
    opening : Polygon
        May have holes.
    margin : float
        Least distance to the rim, > 0.

    Returns
    -------
    parts : list of Polygon
        Empty where nothing is left.
    """
    edges = rim_edges(opening)
    taken = np.concatenate([_strips(edges, margin), _corner_discs(opening, margin)])
    left = shapely.difference(opening, shapely.union_all(taken))
    parts = left.geoms if isinstance(left, MultiPolygon) else [left]
    return [part for part in parts if isinstance(part, Polygon) and not _is_crumb(part, opening, margin)]


def _is_crumb(part: Polygon, opening: Polygon, margin: float) -> bool:
    """Return whether rounding left the part: empty, or no point of it can be a margin away from the rim."""
    if part.is_empty:
        return True
    loop = shapely.get_coordinates(part)
    extent = float(np.hypot(*np.ptp(loop, axis=0)))
    return bool(shapely.distance(shapely.points(loop[0]), opening.boundary) + extent < margin)


def _strips(edges: Floats, margin: float) -> NDArray[np.object_]:
    """Return the rectangle within the margin of each edge, as polygons (m,)."""
    along = edges[:, 2:] - edges[:, :2]
    across = np.stack([-along[:, 1], along[:, 0]], axis=1)
    across *= margin / np.hypot(along[:, 0], along[:, 1])[:, None]
    start, end = edges[:, :2], edges[:, 2:]
    return np.asarray(
        shapely.polygons(np.stack([start + across, end + across, end - across, start - across], axis=1))
    )


def _corner_discs(opening: Polygon, margin: float) -> NDArray[np.object_]:
    """Return a polygon inside the disc about each corner that juts into the opening."""
    corners = reflex_corners(opening)
    turn = np.linspace(0.0, 2.0 * np.pi, DISC_SIDES, endpoint=False)
    circle = margin * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    return np.asarray(shapely.polygons(corners[:, None, :] + circle[None, :, :]))


def reflex_corners(area: Polygon) -> Floats:
    """Return the corners (k, 2) at which the area's inner angle is more than 180 degrees, ring by ring."""
    oriented = shapely.orient_polygons(area, exterior_cw=False)
    found = []
    for ring in [oriented.exterior, *oriented.interiors]:
        loop = shapely.get_coordinates(ring)[:-1]
        before, after = loop - np.roll(loop, 1, axis=0), np.roll(loop, -1, axis=0) - loop
        # The area lies on the left of every ring, so a right turn is a corner that juts in.
        found.append(loop[before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0] < 0.0])
    return np.concatenate(found)
