"""Which upright box holds a piece anywhere in its body's travel.

What meets such a box is found with trees.py, how near it truly comes is measured in sweeps.py.
"""

import numpy as np

from routeviz.geometry.arrays import Floats
from routeviz.geometry.shapes import HINGED, Bodies, Pieces, poses

SWEEP_STEP = 0.1  # radians between the poses that cover a turn: the bulge between two is 0.13 % of the arm


def swept_boxes(bodies: Bodies) -> tuple[Floats, Floats]:
    """Return for every piece an upright box that holds it anywhere in its travel.

    Between two poses a turning point leaves their box by at most the bulge of its arc, which is added.

    Parameters
    ----------
    bodies : Bodies
        k pieces in all.

    Returns
    -------
    lows, highs : array, shape (k, 3)
        Least and greatest corner of each box.
    """
    pieces = bodies.pieces
    count = len(pieces.halves)
    lows, highs = np.full((count, 3), np.inf), np.full((count, 3), -np.inf)
    body = pieces.bodies
    hinged = bodies.kinds[body] == HINGED
    largest = float(np.abs(bodies.travels[body][hinged]).max(initial=0.0))
    steps = 1 + int(np.ceil(largest / SWEEP_STEP))
    for travel in np.linspace(0.0, 1.0, steps + 1).tolist():
        frames = poses(bodies, travel)
        extents = extents_of(pieces, np.einsum("kij,kjl->kil", frames[body, :3, :3], pieces.rotations))
        centres = np.einsum("kij,kj->ki", frames[body, :3, :3], pieces.origins) + frames[body, :3, 3]
        lows = np.minimum(lows, centres + extents[0])
        highs = np.maximum(highs, centres + extents[1])
    farthest = arms_of(bodies)
    half_step = np.where(hinged, 0.5 * np.abs(bodies.travels[body]) / steps, 0.0)
    bulge = (farthest * (1.0 - np.cos(half_step)))[:, None]
    return lows - bulge, highs + bulge


def extents_of(pieces: Pieces, rotations: Floats) -> tuple[Floats, Floats]:
    """Return how far each piece, turned so, reaches from its origin along -x, -y, -z and +x, +y, +z."""
    flat = np.sqrt(np.maximum(0.0, 1.0 - rotations[:, :, 2] ** 2)) * pieces.radii[:, None]
    lows, highs = -flat, flat.copy()
    owners = np.repeat(np.arange(len(pieces.halves)), np.diff(pieces.begins))
    places = np.einsum("cij,cj->ci", rotations[owners][:, :, :2], pieces.corners)
    with_corners = np.diff(pieces.begins) > 0
    lows[with_corners], highs[with_corners] = np.inf, -np.inf
    np.minimum.at(lows, owners, places)
    np.maximum.at(highs, owners, places)
    thick = np.abs(rotations[:, :, 2]) * pieces.halves[:, None]
    return lows - thick, highs + thick


def arms_of(bodies: Bodies) -> Floats:
    """Return for each piece a bound on how far its farthest point is from its body's hinge axis."""
    pieces = bodies.pieces
    owners = np.repeat(np.arange(len(pieces.halves)), np.diff(pieces.begins))
    reach = pieces.radii.copy()
    np.maximum.at(reach, owners, np.hypot(pieces.corners[:, 0], pieces.corners[:, 1]))
    offsets = pieces.origins - bodies.points[pieces.bodies]
    axes = bodies.directions[pieces.bodies]
    along = (offsets * axes).sum(axis=1)[:, None] * axes
    distance = np.sqrt(((offsets - along) ** 2).sum(axis=1))
    return np.asarray(distance + np.hypot(reach, pieces.halves))
