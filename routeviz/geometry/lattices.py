"""Rows of circles in a region: close packed at many angles, and spread or squeezed to its height.

These are the start positions; how they are improved is in packing.py.
"""

from collections.abc import Sequence
from math import ceil, floor, pi, sqrt

import numpy as np
import shapely
from shapely import Polygon

from routeviz.geometry.arrays import Floats
from routeviz.geometry.compiled import compiled
from routeviz.geometry.jostling import Rim, clears, fill_greedily

# Angles tried beside those of the region's longest edges; and shifts along the row, as shares of the pitch.
ANGLES = 12
EDGE_ANGLES = 6
SHIFTS = 8


def lattices(
    region: Polygon, rim: Rim, margin: float, separation: float, inset: float, wanted: int
) -> list[Floats]:
    """Return the fullest lattice of each angle and spacing of rows, fullest first.

    Parameters
    ----------
    region : Polygon
        Where centres may lie, or a little more.
    rim : Rim
        The opening's rim; every point returned clears it.
    margin : float
        Least distance from the rim.
    separation : float
        Least distance between two points.
    inset : float
        By how much the region is larger than the truth on each side; the first row stands this far in.
    wanted : int
        No further angle is tried once so many points are found.

    Returns
    -------
    lattices : list of array, shape (n, 2)
        Points pairwise a separation apart.
    """
    loop = shapely.get_coordinates(region.convex_hull)
    found: list[Floats] = []
    for angle in _angles(loop, separation):
        if found and max(len(points) for points in found) >= wanted:
            break
        along = np.array([np.cos(angle), np.sin(angle)])
        turned = np.stack([loop @ along, loop @ np.array([-along[1], along[0]])], axis=1)
        low, high = turned.min(axis=0) + inset, turned.max(axis=0) - inset
        high = np.maximum(low, high)
        for start, height, pitch in _spacings(low[1], high[1], separation):
            shifts = low[0] + np.arange(SHIFTS) * pitch / SHIFTS
            box = (low[0], high[0], high[1])
            options = [rows_of(along, (shift, start), (height, pitch), box, rim, margin) for shift in shifts]
            found.append(max(options, key=len))
    found.sort(key=len, reverse=True)
    return found


def plain_lattice(regions: Sequence[Polygon], separation: float, inset: float) -> Floats:
    """Return close packed rows, level or upright, whichever are more, over the box round some regions.

    Parameters
    ----------
    regions : sequence of Polygon
        Where centres may lie, or a little more; at least one.
    separation : float
        Least distance between two points.
    inset : float
        By how much the regions are larger than the truth on each side.

    Returns
    -------
    points : array, shape (n, 2)
        Points of the box, pairwise a separation apart; nothing compiled is used.
    """
    left, low, right, high = shapely.total_bounds(np.array(regions)) + np.array(
        [inset, inset, -inset, -inset]
    )
    options = []
    for wide, tall in ((right - left, high - low), (high - low, right - left)):
        rows = np.arange(max(floor(tall / (sqrt(0.75) * separation) + 1e-9), 0) + 1)
        columns = np.arange(max(floor(wide / separation + 1e-9), 0) + 1)
        across = (columns[None, :] + 0.5 * (rows[:, None] % 2)) * separation
        up = np.broadcast_to(rows[:, None] * (sqrt(0.75) * separation), across.shape)
        kept = across <= max(wide, 0.0) * (1 + 1e-9)
        options.append(np.stack([across[kept], up[kept]], axis=1))
    options[1] = options[1][:, ::-1]
    return np.asarray(np.array([left, low]) + max(options, key=len))


def together(fullest: list[list[Floats]], separation: float) -> list[Floats]:
    """Return the lattices of several regions joined, first with first, without points that are too near."""
    joined = fullest[0]
    for others in fullest[1:]:
        joined = [fill_greedily(a, b, separation) for a, b in zip(joined, others, strict=False)]
    return joined


def _angles(loop: Floats, separation: float) -> list[float]:
    """Return directions in radians: those of the hull's longest edges, then some all round."""
    edges = np.diff(loop, axis=0)
    lengths = np.hypot(edges[:, 0], edges[:, 1])
    longest = [k for k in np.argsort(-lengths, kind="stable")[:EDGE_ANGLES] if lengths[k] > 0.5 * separation]
    angles = [float(np.arctan2(edges[k, 1], edges[k, 0])) % pi for k in longest]
    angles += [k * pi / ANGLES for k in range(ANGLES)]
    return list(dict.fromkeys(round(angle, 9) for angle in angles))


def _spacings(low: float, high: float, separation: float) -> list[tuple[float, float, float]]:
    """Return start, row height and pitch: close packed from either side, spread, squeezed."""
    close, wide = sqrt(0.75) * separation, high - low
    rows = floor(wide / close + 1e-9)
    spacings = [(low, close, separation), (high - rows * close, close, separation)]
    if rows > 0:
        spacings.append((low, wide / rows, separation))
    squeezed = wide / (rows + 1)
    if 0.5 * separation < squeezed < close or (rows == 0 and squeezed > 0.0):
        spacings.append((low, squeezed, 2.0 * sqrt(separation**2 - squeezed**2)))
    if rows == 0:
        spacings.append((0.5 * (low + high), close, separation))
    return spacings


@compiled
def rows_of(
    along: Floats,
    start: tuple[float, float],
    spacing: tuple[float, float],
    box: tuple[float, float, float],
    rim: Rim,
    margin: float,
) -> Floats:
    """Return the points of a lattice, every second row shifted by half a pitch, that clear the rim."""
    height, pitch = spacing
    slack = 1e-9 * margin
    rows = floor((box[2] - start[1] + slack) / height) + 1
    columns = ceil((box[1] - box[0]) / pitch) + 2
    points = np.empty((rows * columns, 2))
    count = 0
    for row in range(rows):
        v = start[1] + row * height
        for column in range(-1, columns - 1):
            u = start[0] + (column + 0.5 * (row % 2)) * pitch
            if u < box[0] - slack or u > box[1] + slack:
                continue
            x, y = u * along[0] - v * along[1], u * along[1] + v * along[0]
            if clears(x, y, rim, margin - slack * 0.1):
                points[count, 0], points[count, 1] = x, y
                count += 1
    return points[:count].copy()
