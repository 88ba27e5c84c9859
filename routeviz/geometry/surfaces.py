"""Triangles as a surface: which corners are one, which triangles have no area, is it closed.

Distances to triangles are elsewhere; here is only what must be known before they are used.
"""

import numpy as np
from numpy.typing import NDArray

from routeviz.geometry.arrays import Floats, Ints, check_shape


def merged(corners: Floats) -> tuple[Floats, Ints]:
    """Return each different point once, and the triangles over them.

    Parameters
    ----------
    corners : array, shape (m, 3, 3)
        Three points a triangle.

    Returns
    -------
    points : array, shape (n, 3)
        In order of x, then y, then z. Only points equal to the last bit are one; 0 and -0 are equal.
    triangles : array, shape (m, 3)
        In the order given.
    """
    check_shape("corners", corners, (None, 3, 3))
    points = corners.reshape(-1, 3) + 0.0  # turns -0 into 0
    order = np.lexsort(points.T[::-1])
    ordered = points[order]
    is_new = np.ones(len(points), dtype=np.bool_)
    is_new[1:] = (ordered[1:] != ordered[:-1]).any(axis=1)
    number = np.empty(len(points), dtype=np.int64)
    number[order] = np.cumsum(is_new) - 1
    return ordered[is_new], number.reshape(-1, 3)


def heights(points: Floats, triangles: Ints) -> Floats:
    """Return each triangle's height over its longest edge.

    Parameters
    ----------
    points : array, shape (n, 3)
        Corners.
    triangles : array, shape (m, 3)
        Which corners.

    Returns
    -------
    heights : array, shape (m,)
        The least height; 0 where all corners are one point.
    """
    check_shape("points", points, (None, 3))
    a, b, c = (points[triangles[:, k]] for k in range(3))
    twice_area = np.linalg.norm(np.cross(b - a, c - a), axis=1)
    longest = np.max([np.linalg.norm(edge, axis=1) for edge in (b - a, c - b, a - c)], axis=0)
    result: Floats = np.divide(twice_area, longest, out=np.zeros_like(longest), where=longest > 0)
    return result


def is_closed(triangles: Ints) -> bool:
    """Return whether every edge belongs to exactly two triangles that run along it in opposite directions.

    Parameters
    ----------
    triangles : array, shape (m, 3)
        Which corners; a triangle that names a corner twice has no edges of its own and is passed over.

    Returns
    -------
    closed : bool
        False where no triangle is left.
    """
    kept = triangles[spans(triangles)]
    if not len(kept):
        return False
    starts = kept.ravel()
    ends = np.roll(kept, -1, axis=1).ravel()
    n = int(kept.max()) + 1
    forward = np.sort(starts * n + ends)
    backward = np.sort(ends * n + starts)
    return bool((forward[1:] != forward[:-1]).all() and (forward == backward).all())


def spans(triangles: Ints) -> NDArray[np.bool_]:
    """Return which triangles, of shape (m, 3), have three different corners."""
    a, b, c = triangles.T
    different: NDArray[np.bool_] = (a != b) & (b != c) & (c != a)
    return different
