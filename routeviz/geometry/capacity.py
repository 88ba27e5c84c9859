"""How many points with a given least separation a planar region can hold at most: bounds with a proof.

Each bound is a theorem or is proved in its docstring; the least of them counts. Where the points are that
were found is in packing.py, what a region for centres is in erosion.py.
"""

from math import floor, pi, sin, sqrt

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Polygon
from shapely.ops import split

from routeviz.geometry.arrays import Floats
from routeviz.geometry.erosion import reflex_corners

# Proven least ratios, enclosing circle over circle, at which n equal circles fit, where a closed form is
# known: n 2 to 7 Graham 1968, 8 and 9 Pirl 1969, 11 Melissen 1994, 13 and 19 Fodor 2003 and 1999.
PROVEN_RATIOS = {
    2: 2.0,
    3: 1.0 + 2.0 / sqrt(3.0),
    4: 1.0 + sqrt(2.0),
    5: 1.0 + 1.0 / sin(pi / 5.0),
    6: 3.0,
    8: 1.0 + 1.0 / sin(pi / 7.0),
    9: 1.0 + 1.0 / sin(pi / 8.0),
    11: 1.0 + 1.0 / sin(pi / 9.0),
    13: 2.0 + sqrt(5.0),
    19: 1.0 + sqrt(2.0) + sqrt(6.0),
}
# Rounding is given to the bound: what fails by less than this share of the separation counts as room.
LENIENCY = 1e-7
# A cut is worth trying on this many levels; each level tries at most this many lines.
CUT_LEVELS = 3
CUT_LINES = 24
# The library's buffer may be off by 1 % of its distance (it simplifies its input) and 0.1 % for its arcs.
BUFFER_MARGIN = 1.02


def capacity(region: Polygon, separation: float) -> int:
    """Return a number of points, pairwise a separation apart, that the region certainly cannot exceed.

    Parameters
    ----------
    region : Polygon
        Any shape, holes included.
    separation : float
        Least distance between two points, > 0.

    Returns
    -------
    bound : int
        The least of the bounds by hull, strip, circle and cells, and of the sums over the pieces that cuts
        leave: a point lies in at least one piece.
    """
    if region.is_empty:
        return 0
    return _capacity_with_cuts(region, separation * (1.0 - LENIENCY), CUT_LEVELS)


def _capacity_with_cuts(region: Polygon, separation: float, levels: int) -> int:
    """Return the least of the bounds of the whole and of its pieces."""
    whole = _capacity_uncut(region, separation)
    corners = _few(reflex_corners(region), CUT_LINES // 3)
    if levels == 0 or whole <= 2 or len(corners) == 0:
        return whole
    pieces = min(
        (_cut(region, line) for line in _cut_lines(region, corners)), key=lambda p: _sum(p, separation)
    )
    # A sum well above the whole will not come down by cutting on, for each cut counts its line twice.
    if _sum(pieces, separation) > whole + 2 * len(pieces):
        return whole
    return min(whole, sum(_capacity_with_cuts(piece, separation, levels - 1) for piece in pieces))


def _sum(pieces: list[Polygon], separation: float) -> int:
    """Return the summed bounds of the pieces by hull, and by cells with Steiner's formula: quick."""
    total = 0
    for piece in pieces:
        reach = separation / sqrt(3.0)
        grown = piece.area + reach * piece.length + pi * reach**2
        total += min(
            _capacity_of_hull(piece.convex_hull, separation), int(2.0 * grown / (sqrt(3.0) * separation**2))
        )
    return total


def _capacity_of_hull(hull: Polygon, separation: float) -> int:
    """Return the least bound for a convex region."""
    return min(by_hull(hull, separation), by_strip(hull, separation), by_circle(hull, separation))


def _capacity_uncut(region: Polygon, separation: float) -> int:
    """Return the least bound that takes the region as one."""
    hull = region.convex_hull
    least = _capacity_of_hull(hull, separation)
    if least > 1 and hull.area > region.area * (1.0 + 1e-9):
        least = min(least, by_cells(region, separation))
        least = min(least, by_hull(hull, separation) - len(stowaways(region, hull, separation)))
    return least


def by_hull(hull: Polygon, separation: float) -> int:
    """Return Oler's bound for a convex region of area A and perimeter P: 2A/(sqrt3 s^2) + P/(2s) + 1.

    It holds for convex regions only. A thin three-armed star whose tips are one separation apart holds three
    points, and the formula with its own area and perimeter gives 2.7: hence the hull.

    Parameters
    ----------
    hull : Polygon
        Convex.
    separation : float
        Least distance between two points.

    Returns
    -------
    bound : int
        At least 1.

    References
    ----------
    N. Oler, An inequality in the geometry of numbers, Acta Math. 105 (1961) 19-48; J. H. Folkman and R. L.
    Graham, A packing inequality for compact convex subsets of the plane, Canad. Math. Bull. 12 (1969)
    745-752.
    """
    area, perimeter = float(hull.area) / separation**2, float(hull.length) / separation
    return floor(2.0 * area / sqrt(3.0) + perimeter / 2.0 + 1.0 + LENIENCY)


def by_strip(hull: Polygon, separation: float) -> int:
    """Return the bound for a region that lies in a rectangle narrower than the separation.

    Two points differ by at most the width w across, hence by at least sqrt(s^2 - w^2) along; in order along
    the length L there are at most 1 + L / sqrt(s^2 - w^2) of them. Every direction of a hull edge is tried.

    Parameters
    ----------
    hull : Polygon
        Convex.
    separation : float
        Least distance between two points.

    Returns
    -------
    bound : int
        The largest integer there is where no direction is narrow enough.
    """
    loop = shapely.get_coordinates(hull.exterior if isinstance(hull, Polygon) else hull)
    edges = np.diff(loop, axis=0)
    along = edges / np.hypot(edges[:, 0], edges[:, 1])[:, None]
    lengths = np.ptp(loop @ along.T, axis=0)
    widths = np.ptp(loop @ np.stack([-along[:, 1], along[:, 0]]), axis=0)
    narrow = widths < separation
    if not narrow.any():
        return int(np.iinfo(np.int64).max)
    counts = lengths[narrow] / np.sqrt(separation**2 - widths[narrow] ** 2)
    return 1 + floor(float(counts.min()) + LENIENCY)


def by_circle(hull: Polygon, separation: float) -> int:
    """Return the bound for a region that lies in a circle for which the best packing is proven.

    Parameters
    ----------
    hull : Polygon
        The region or its hull.
    separation : float
        Least distance between two points.

    Returns
    -------
    bound : int
        The largest integer there is where the circle is larger than the proven ones.

    References
    ----------
    See ``PROVEN_RATIOS``; R. L. Graham, Sets of points with given minimum separation, Amer. Math. Monthly 75
    (1968) 192-193; U. Pirl, Math. Nachr. 40 (1969) 111-124; H. Melissen, Geom. Dedicata 50 (1994) 15-25; F.
    Fodor, Geom. Dedicata 74 (1999) 139-145 and Beitr. Algebra Geom. 44 (2003) 431-440.
    """
    ratio = 1.0 + 2.0 * shapely.minimum_bounding_radius(hull) / separation
    too_many = [count for count, least in PROVEN_RATIOS.items() if ratio < least * (1.0 - LENIENCY)]
    return min(too_many) - 1 if too_many else int(np.iinfo(np.int64).max)


def by_cells(region: Polygon, separation: float) -> int:
    """Return the bound by area: a regular hexagon of inner radius s/2 for each point.

    The hexagons take from the area within s/sqrt3 of the region. The part of a point's Voronoi cell within
    s/sqrt3 has at least the hexagon's area, sqrt3/2 s^2: the cell's corners are at least s/sqrt3 away, so its
    sides cut disjoint caps off that disc, none wider than 60 degrees; a cap's area is convex in its angle, so
    six caps of 60 degrees take the most. The parts do not overlap. Any shape of region.

    Parameters
    ----------
    region : Polygon
        Any shape, holes included.
    separation : float
        Least distance between two points.

    Returns
    -------
    bound : int
        At least 1.

    References
    ----------
    L. Fejes Toth, Lagerungen in der Ebene, auf der Kugel und im Raum, 1953, chapter III (from memory).
    """
    grown = region.buffer(BUFFER_MARGIN * separation / sqrt(3.0), quad_segs=16)
    return max(1, floor(2.0 * float(grown.area) / (sqrt(3.0) * separation**2) + LENIENCY))


def stowaways(region: Polygon, hull: Polygon, separation: float) -> Floats:
    """Return points placed in the hull of a region, a separation away from the region and from each other.

    Together with any points of the region they are a packing of the hull: its bound shrinks by their number.

    Parameters
    ----------
    region : Polygon
        Any shape, holes included.
    hull : Polygon
        Its convex hull.
    separation : float
        Least distance between two points.

    Returns
    -------
    points : array, shape (n, 2)
        As many as were found.
    """
    spare = shapely.difference(hull, region.buffer(1.01 * separation, quad_segs=16))
    bays = spare.geoms if isinstance(spare, MultiPolygon) else [spare]
    points = np.empty((0, 2))
    for bay in bays:
        if isinstance(bay, Polygon) and not bay.is_empty:
            # Two bays may look at each other through a narrow gap of the region.
            found = _placed_in(bay, region, separation)
            apart = np.hypot(*(found[:, None, :] - points[None, :, :]).T).min(axis=0, initial=np.inf)
            points = np.concatenate([points, found[apart >= separation]])
    return points


def _placed_in(bay: Polygon, region: Polygon, separation: float) -> Floats:
    """Return the points of the best lattice anchored at a corner of the bay that lie away from the region."""
    loop = shapely.get_coordinates(bay.exterior)
    middle = loop[:-1].mean(axis=0)
    reach = int(np.ceil(np.hypot(*np.ptp(loop, axis=0)) / separation)) + 1
    steps = np.arange(-reach, reach + 1)
    u, v = (axis.ravel() for axis in np.meshgrid(steps, steps))
    # Turned and moved as complex numbers: every lattice is one row.
    lattice = (1.0 + LENIENCY) * separation * (u + 0.5 * v + 1j * sqrt(0.75) * v)
    inset = _few(loop[:-1], 8) * (1.0 - 1e-6) + middle * 1e-6
    anchors = np.append(inset[:, 0] + 1j * inset[:, 1], complex(*middle))
    turns = np.exp(1j * np.append(np.arange(6) * pi / 18.0, _longest_heading(loop)))
    sites = (anchors[:, None, None] + turns[None, :, None] * lattice).reshape(-1, len(lattice))
    shapely.prepare(bay)
    inside = shapely.contains_xy(bay, sites.real, sites.imag)
    best = inside.sum(axis=1).argmax()
    chosen = sites[best][inside[best]]
    away = shapely.distance(shapely.points(chosen.real, chosen.imag), region) >= separation
    return np.asarray(np.stack([chosen.real, chosen.imag], axis=1)[away], dtype=np.float64)


def _longest_heading(loop: Floats) -> float:
    """Return the angle of the longest edge of a closed loop of points (k, 2)."""
    edges = np.diff(loop, axis=0)
    longest = edges[np.argmax(np.hypot(edges[:, 0], edges[:, 1]))]
    return float(np.arctan2(longest[1], longest[0]))


def _few(points: Floats, most: int) -> Floats:
    """Return at most so many of the points, evenly picked in their order."""
    if len(points) <= most:
        return points
    return np.asarray(points[np.linspace(0, len(points) - 1, most).round().astype(int)])


def _cut_lines(region: Polygon, corners: Floats) -> list[LineString]:
    """Return lines through corners that jut in, in each heading."""
    left, low, right, high = region.bounds
    size = np.hypot(right - left, high - low)
    lines = []
    for corner in corners:
        for heading in _headings(region, corner, corners):
            lines.append(LineString([corner - size * heading, corner + size * heading]))
    return lines


def _headings(region: Polygon, corner: Floats, corners: Floats) -> list[Floats]:
    """Return directions to cut a corner: along and across the hull's longest edge, to the nearest corner."""
    angle = _longest_heading(shapely.get_coordinates(region.convex_hull))
    headings = [np.array([np.cos(angle), np.sin(angle)]), np.array([-np.sin(angle), np.cos(angle)])]
    gaps = corners - corner
    distances = np.hypot(gaps[:, 0], gaps[:, 1])
    others = distances > 1e-9 * distances.max(initial=1.0)
    if others.any():
        nearest = np.flatnonzero(others)[np.argmin(distances[others])]
        headings.append(gaps[nearest] / distances[nearest])
    return headings


def _cut(region: Polygon, line: LineString) -> list[Polygon]:
    """Return the pieces into which a line cuts the region."""
    return [piece for piece in split(region, line).geoms if isinstance(piece, Polygon) and not piece.is_empty]
