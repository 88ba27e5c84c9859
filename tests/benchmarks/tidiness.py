"""How tidy a lay is: tubes that cross beside each other as seen from the back, and pairs that wind.

Counted are pairs that come within NEAR of each other, middle to middle. Two such cross where their
centrelines do as seen along the way from front to back. They wind where the Gauss integral of the two open
curves is above WOUND: three quarters of a full turn.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from routeviz.geometry.curves import Curve, length, points_along
from routeviz.geometry.winding import crossings_in_view, windings

NEAR = 20.0  # mm
WOUND = 0.75
STEP = 6.0  # between points on a tube


@dataclass(frozen=True)
class Tidiness:
    """Crossings, wound pairs, and how many pairs were near enough to count."""

    crossings: int
    wound: int
    near: int


def tidiness(curves: Sequence[Curve]) -> Tidiness:
    """How tidy the lay of these centrelines is."""
    if not curves:
        return Tidiness(0, 0, 0)
    rows = []
    for curve in curves:
        count = int(np.ceil(length(curve) / STEP)) + 1
        rows.append(points_along(curve, np.linspace(0, length(curve), count)))
    firsts = np.concatenate([[0], np.cumsum([len(row) for row in rows])])
    points = np.vstack(rows)
    owners = np.repeat(np.arange(len(rows)), [len(row) for row in rows])
    close = owners[cKDTree(points).query_pairs(NEAR, output_type="ndarray")]
    pairs = np.unique(np.sort(close[close[:, 0] != close[:, 1]], axis=1), axis=0)
    if not len(pairs):
        return Tidiness(0, 0, 0)
    from_front = np.ascontiguousarray(points[:, [0, 2, 1]])
    crossings = crossings_in_view(from_front, firsts, pairs, np.full(len(pairs), NEAR))
    turns = np.abs(windings(points, firsts, pairs))
    return Tidiness(int(crossings.sum()), int((turns > WOUND).sum()), len(pairs))
