"""How far does a centreline pass from each point that was taped on its tube?

How the centreline was fitted to them is in geometry/fitting.py.
"""

import numpy as np

from routeviz.geometry.arrays import Floats
from routeviz.geometry.curves import Curve


def misses_mm(curve: Curve, points: Floats) -> tuple[Floats, Floats]:
    """Return how far a centreline passes from given points, and how far along it each of these places lies.

    Parameters
    ----------
    curve : Curve
        The centreline, m pieces.
    points : array, shape (k, 3)
        Points beside it.

    Returns
    -------
    misses : array, shape (k,)
        Distances to the nearest point of the centreline.
    alongs : array, shape (k,)
        Arc lengths of these.
    """
    into = _into_nearest(curve, points)
    bends = curve.curvatures * into
    forward = into * np.sinc(bends / np.pi)
    aside = 0.5 * bends * into * np.sinc(0.5 * bends / np.pi) ** 2
    places = curve.starts + curve.tangents * forward[..., None] + curve.normals * aside[..., None]
    off = np.linalg.norm(places - points[:, None], axis=2)
    nearest, rows = off.argmin(axis=1), np.arange(len(points))
    return off[rows, nearest], (curve.begins[:-1] + into)[rows, nearest]


def _into_nearest(curve: Curve, points: Floats) -> Floats:
    """Return how far into each piece its point nearest to each given one lies, shape (k, m)."""
    seen = points[:, None] - curve.starts
    ahead = (seen * curve.tangents).sum(axis=2)
    inward = (seen * curve.normals).sum(axis=2)
    bent = curve.curvatures > 0
    radii = 1.0 / np.where(bent, curve.curvatures, 1.0)
    turns = curve.curvatures * curve.lengths
    # Angles are counted within half a turn of the arc's middle: what lies beyond is nearer to its other end.
    angles = (np.arctan2(ahead, radii - inward) - 0.5 * turns + np.pi) % (2.0 * np.pi) - np.pi + 0.5 * turns
    into = np.where(bent, np.clip(angles, 0.0, turns) * radii, np.clip(ahead, 0.0, curve.lengths))
    return np.asarray(into)
