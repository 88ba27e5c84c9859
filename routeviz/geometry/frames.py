"""Where one frame stands in another: rotations and rigid motions as 3 by 3 and 4 by 4 matrices.

A frame is named for what it does: ``cabinet_from_part`` takes points given in the part to the cabinet.
"""

import numpy as np
from numpy.typing import ArrayLike

from routeviz.geometry.arrays import Floats, check_shape

SLACK = 1e-9  # how far a matrix may be from a rotation, a vector from unit length: rounding, not intent


def unit(vector: ArrayLike) -> Floats:
    """Return the vector at length one.

    Parameters
    ----------
    vector : array, shape (3,)
        Any vector but zero.

    Returns
    -------
    direction : array, shape (3,)
        Parallel to it, of length 1.

    Raises
    ------
    ValueError
        The vector is zero.
    """
    values = np.asarray(vector, dtype=np.float64)
    check_shape("vector", values, (3,))
    length = float(np.sqrt((values * values).sum()))
    if length <= 0.0:
        raise ValueError("vector: has no length, hence no direction")
    return np.asarray(values / length)


def rotation_about(axis: ArrayLike, angle: float) -> Floats:
    """Return the rotation by an angle about an axis through zero, right-handed.

    Parameters
    ----------
    axis : array, shape (3,)
        Direction of the axis; need not be of unit length.
    angle : float
        In radians; with the thumb along the axis, the fingers of the right hand show the positive sense.

    Returns
    -------
    rotation : array, shape (3, 3)
        ``rotation @ point`` is the turned point.

    References
    ----------
    Rodrigues' rotation formula: R = I + sin(a) K + (1 - cos(a)) K^2, K the cross-product matrix of the axis.
    """
    x, y, z = unit(axis)
    cross = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    squared = np.outer((x, y, z), (x, y, z)) - np.eye(3)
    return np.asarray(np.eye(3) + np.sin(angle) * cross + (1.0 - np.cos(angle)) * squared)


def facing(direction: ArrayLike) -> Floats:
    """Return a rotation whose third column is the direction; the other two are chosen always alike.

    Parameters
    ----------
    direction : array, shape (3,)
        Any vector but zero.

    Returns
    -------
    rotation : array, shape (3, 3)
        Columns are the axes of a right-handed frame with its z along the direction.
    """
    third = unit(direction)
    least = int(np.argmin(np.abs(third)))
    first = unit(np.cross(np.eye(3)[least], third))
    return np.column_stack([first, np.cross(third, first), third])


def rigid(rotation: ArrayLike, origin: ArrayLike) -> Floats:
    """Return the frame with these axes at this origin.

    Parameters
    ----------
    rotation : array, shape (3, 3)
        Columns are the frame's axes, seen from outside.
    origin : array, shape (3,)
        The frame's zero, seen from outside.

    Returns
    -------
    frame : array, shape (4, 4)
        Takes homogeneous points given in the frame to the outside.

    Raises
    ------
    ValueError
        The matrix stretches or mirrors.
    """
    axes = np.asarray(rotation, dtype=np.float64)
    place = np.asarray(origin, dtype=np.float64)
    check_shape("rotation", axes, (3, 3))
    check_shape("origin", place, (3,))
    if np.abs(axes.T @ axes - np.eye(3)).max() > SLACK or np.linalg.det(axes) < 0.0:
        raise ValueError("rotation: not a rotation; it stretches or mirrors")
    frame = np.eye(4)
    frame[:3, :3] = axes
    frame[:3, 3] = place
    return frame


def inverse(frame: Floats) -> Floats:
    """Return the frame that undoes a rigid one.

    Parameters
    ----------
    frame : array, shape (4, 4)
        A rigid motion.

    Returns
    -------
    undone : array, shape (4, 4)
        Takes points from the outside into the frame.
    """
    turned = frame[:3, :3].T
    return rigid(turned, -(turned @ frame[:3, 3]))


def points_from(frame: Floats, points: ArrayLike) -> Floats:
    """Return points given in a frame as they are seen from outside it.

    Parameters
    ----------
    frame : array, shape (4, 4)
        A rigid motion.
    points : array, shape (..., 3)
        Given in the frame.

    Returns
    -------
    points : array, shape (..., 3)
        Seen from outside.
    """
    return np.asarray(np.asarray(points, dtype=np.float64) @ frame[:3, :3].T + frame[:3, 3])


def directions_from(frame: Floats, directions: ArrayLike) -> Floats:
    """Return directions given in a frame as they are seen from outside it.

    Parameters
    ----------
    frame : array, shape (4, 4)
        A rigid motion; only its rotation counts.
    directions : array, shape (..., 3)
        Given in the frame.

    Returns
    -------
    directions : array, shape (..., 3)
        Seen from outside.
    """
    return np.asarray(np.asarray(directions, dtype=np.float64) @ frame[:3, :3].T)


def turned_about(point: ArrayLike, axis: ArrayLike, angle: float) -> Floats:
    """Return the rigid motion that turns about an axis through a point.

    Parameters
    ----------
    point : array, shape (3,)
        Any point of the axis.
    axis : array, shape (3,)
        Its direction.
    angle : float
        In radians, right-handed about the axis.

    Returns
    -------
    frame : array, shape (4, 4)
        Takes a point at rest to where it is after the turn.
    """
    centre = np.asarray(point, dtype=np.float64)
    rotation = rotation_about(axis, angle)
    return rigid(rotation, centre - rotation @ centre)
