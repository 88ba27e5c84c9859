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
    if not radius > 0.0:
        raise ValueError(f"radius: must be above zero, {radius} given")
    ends = np.array([first, last], dtype=np.float64)
    check_shape("ends", ends, (2, 3))
    if (ends[0] == ends[1]).all():
        raise ValueError(f"ends: both at {ends[0].tolist()}, so that the bar has no direction")
    return bars(ends[:1], ends[1:], np.array([radius]))


def bars(firsts: Floats, lasts: Floats, radii: Floats) -> Pieces:
    """Return round bars with flat ends, each a body of its own.

    Parameters
    ----------
    firsts, lasts : array, shape (n, 3)
        The middles of their ends, apart from each other.
    radii : array, shape (n,)
        Each > 0.

    Returns
    -------
    pieces : Pieces
        One piece a body, in order.
    """
    count = len(radii)
    steps = lasts - firsts
    lengths = np.sqrt((steps * steps).sum(axis=1))
    along = steps / lengths[:, None]
    across = np.cross(np.eye(3)[np.argmin(np.abs(along), axis=1)], along)
    across /= np.sqrt((across * across).sum(axis=1))[:, None]
    return Pieces(
        rotations=np.stack([across, np.cross(along, across), along], axis=2),
        origins=0.5 * (firsts + lasts),
        halves=0.5 * lengths,
        radii=radii,
        corners=np.zeros((0, 2)),
        begins=np.zeros(count + 1, dtype=np.int64),
        bodies=np.arange(count),
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
    frames, outlines = flat_triangles(points[indices])
    return alike(frames, np.zeros(len(frames)), outlines)


def flat_triangles(points: Floats) -> tuple[Floats, list[Floats]]:
    """Return frames and outlines of triangles of three points each, the longest edge of each along its x."""
    count = len(points)
    edges = np.roll(points, -1, axis=1) - points
    longest_edge = np.argmax((edges * edges).sum(axis=2), axis=1)
    order = (longest_edge[:, None] + np.arange(3)) % 3
    a, b, c = np.take_along_axis(points, order[:, :, None], axis=1).transpose(1, 0, 2)
    longest = lengths_of(b - a)
    along = (b - a) / np.where(longest > 0.0, longest, 1.0)[:, None]
    foot = ((c - a) * along).sum(axis=1)
    rise = (c - a) - foot[:, None] * along
    heights = lengths_of(rise)
    outlines = [
        np.array([(0.0, 0.0), (u, 0.0), (v, h)]) for u, v, h in zip(longest, foot, heights, strict=True)
    ]
    frames = np.zeros((count, 4, 4))
    frames[:, 3, 3], frames[:, :3, 3] = 1.0, a
    sound = heights > SLIVER * longest
    third = np.cross(along, rise)
    third /= np.where(sound, lengths_of(third), 1.0)[:, None]
    frames[:, :3, :3] = np.stack([along, np.cross(third, along), third], axis=2)
    for i in np.nonzero(~sound)[0].tolist():
        frames[i, :3, :3], outlines[i] = strip(along[i], float(longest[i]))
    return frames, outlines


def lengths_of(vectors: Floats) -> Floats:
    """Return the length of each vector of an array (n, 3)."""
    return np.asarray(np.sqrt((vectors * vectors).sum(axis=1)))


def strip(along: Floats, length: float) -> tuple[Floats, Floats]:
    """Return axes and outline of what stands for a triangle without height."""
    width = SLIVER * max(length, 1.0)
    outline = np.array(
        [(0.0, -width), (max(length, width), -width), (max(length, width), width), (0.0, width)]
    )
    return (facing(along)[:, [2, 0, 1]] if length > 0.0 else np.eye(3)), outline
