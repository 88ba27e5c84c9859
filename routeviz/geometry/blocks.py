"""Boxes, prisms, round bars and the surfaces of meshes, as convex pieces.

What a piece is stands in shapes.py, how an outline falls into convex parts in convex.py.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike
from shapely import Polygon

from routeviz.geometry.arrays import Floats, check_shape
from routeviz.geometry.convex import convex_parts
from routeviz.geometry.frames import facing, points_from, rigid
from routeviz.geometry.shapes import Pieces

SLIVER = 1e-9  # half the width, over the longest edge, of the strip that stands for a triangle without height


def alike(frames: Floats, halves: ArrayLike, outlines: Sequence[Floats]) -> Pieces:
    """Return pieces of one body with corners.

    Parameters
    ----------
    frames : array, shape (k, 4, 4)
        Where each stands.
    halves : array, shape (k,)
        Half their thickness.
    outlines : sequence of array, shape (n, 2)
        Their convex outlines, anticlockwise.

    Returns
    -------
    pieces : Pieces
        All of body 0.
    """
    count = len(outlines)
    begins = np.concatenate([[0], np.cumsum([len(outline) for outline in outlines])])
    return Pieces(
        rotations=frames[:, :3, :3],
        origins=frames[:, :3, 3],
        halves=np.broadcast_to(np.asarray(halves, dtype=np.float64), (count,)),
        radii=np.zeros(count),
        corners=np.concatenate(outlines) if count else np.zeros((0, 2)),
        begins=begins.astype(np.int64),
        bodies=np.zeros(count, dtype=np.int64),
    )


def box(frame: Floats, size: ArrayLike) -> Pieces:
    """Return a box from its frame's zero, one corner, along the three axes of the frame.

    Parameters
    ----------
    frame : array, shape (4, 4)
        Takes points of the box to where it stands.
    size : array, shape (3,)
        Along x, y and z, each > 0.

    Returns
    -------
    pieces : Pieces
        One piece of body 0.

    Raises
    ------
    ValueError
        A size is not above zero.
    """
    sizes = np.asarray(size, dtype=np.float64)
    check_shape("size", sizes, (3,))
    if not (sizes > 0.0).all():
        raise ValueError(f"size: must be above zero along x, y and z, {sizes.tolist()} given")
    x, y, z = 0.5 * sizes
    middle = rigid(frame[:3, :3], points_from(frame, (x, y, z)))
    return alike(middle[None], [z], [np.array([(-x, -y), (x, -y), (x, y), (-x, y)])])


def prism(frame: Floats, outline: Polygon, height: float) -> Pieces:
    """Return an outline in the frame's x and y, with its holes, from z = 0 up to a height.

    Parameters
    ----------
    frame : array, shape (4, 4)
        Takes points of the prism to where it stands.
    outline : Polygon
        Valid; for round holes see ``convex.circle_corners``.
    height : float
        Along the frame's z, > 0.

    Returns
    -------
    pieces : Pieces
        Convex pieces of body 0.

    Raises
    ------
    ValueError
        No height, or not one valid polygon with an area.
    """
    if not height > 0.0:
        raise ValueError(f"height: must be above zero, {height} given")
    parts = convex_parts(outline)
    middle = rigid(frame[:3, :3], points_from(frame, (0.0, 0.0, 0.5 * height)))
    return alike(np.broadcast_to(middle, (len(parts), 4, 4)), 0.5 * height, parts)


def cylinder(first: ArrayLike, last: ArrayLike, radius: float) -> Pieces:
    """Return a round bar with flat ends between two points.

    Parameters
    ----------
    first, last : array, shape (3,)
        The middles of its two ends.
    radius : float
        Of the bar, > 0.

    Returns
    -------
    pieces : Pieces
        One piece of body 0.

    Raises
    ------
    ValueError
        No radius, or both ends in one point.
    """
    begin, end = np.asarray(first, dtype=np.float64), np.asarray(last, dtype=np.float64)
    if not radius > 0.0:
        raise ValueError(f"radius: must be above zero, {radius} given")
    return Pieces(
        rotations=facing(end - begin)[None],
        origins=(0.5 * (begin + end))[None],
        halves=np.array([0.5 * np.linalg.norm(end - begin)]),
        radii=np.array([radius]),
        corners=np.zeros((0, 2)),
        begins=np.zeros(2, dtype=np.int64),
        bodies=np.zeros(1, dtype=np.int64),
    )


def triangles(vertices: ArrayLike, faces: ArrayLike) -> Pieces:
    """Return the surface of a mesh, a flat piece a triangle; the inside is not filled.

    A triangle without height stays, as a strip of next to no width along its longest edge.

    Parameters
    ----------
    vertices : array, shape (n, 3)
        Points of the mesh.
    faces : array of int, shape (m, 3)
        Three vertices a triangle, from 0.

    Returns
    -------
    pieces : Pieces
        m pieces of body 0.

    Raises
    ------
    ValueError
        A face names a vertex that is not there, or a number is not finite.
    """
    points = np.asarray(vertices, dtype=np.float64)
    indices = np.asarray(faces, dtype=np.int64)
    count = check_shape("vertices", points, (None, 3))
    check_shape("faces", indices, (None, 3))
    if indices.size and (indices.min() < 0 or indices.max() >= count):
        raise ValueError("faces: names a vertex that is not there")
    placed = [flat_triangle(points[face]) for face in indices]
    frames = np.array([frame for frame, _ in placed]).reshape(-1, 4, 4)
    return alike(frames, np.zeros(len(placed)), [outline for _, outline in placed])


def flat_triangle(points: Floats) -> tuple[Floats, Floats]:
    """Return the frame and the outline of a triangle of three points, its longest edge along x."""
    lengths = np.sqrt(((np.roll(points, -1, axis=0) - points) ** 2).sum(axis=1))
    a, b, c = np.roll(points, -int(np.argmax(lengths)), axis=0)
    longest = float(lengths.max())
    if longest == 0.0:
        return rigid(np.eye(3), a), SLIVER * np.array([(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)])
    along = (b - a) / longest
    foot = float(((c - a) * along).sum())
    rise = (c - a) - foot * along
    height = float(np.sqrt((rise**2).sum()))
    if height <= SLIVER * longest:
        width = SLIVER * longest
        outline = np.array([(0.0, -width), (longest, -width), (longest, width), (0.0, width)])
        return rigid(facing(along)[:, [2, 0, 1]], a), outline
    third = np.cross(along, rise / height)
    third /= np.sqrt((third**2).sum())
    axes = np.column_stack([along, np.cross(third, along), third])
    return rigid(axes, a), np.array([(0.0, 0.0), (longest, 0.0), (foot, height)])
