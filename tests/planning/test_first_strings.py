"""What is compiled beside the main work on a first run lays tubes rightly."""

import numpy as np
import pytest

from routeviz.geometry.curves import points_along, rounded_polyline
from routeviz.geometry.winding import windings
from routeviz.planning.first_strings import NEAR, RADIUS, TAKEN, WIDE, part_two, unlay_two


def test_two_tubes_that_are_given_way_to_keep_apart_and_stay_near_their_strings():
    """Each has but one corner, which can only turn wider: they stay as far apart as they began.

    An arc of radius r in the corner of a quarter turn is (sqrt(2) - 1) (R - r) farther out than one of R.
    """
    curves = []
    for number, (_, (corners, radii)) in part_two().items():
        assert len(corners) == 3
        assert TAKEN - 0.002 <= radii[0] <= WIDE
        curve = rounded_polyline(corners, radii)
        points = points_along(curve, np.linspace(0, float(curve.begins[-1]), 2000))
        off = np.abs(np.linalg.norm(points[:, :2], axis=1) - WIDE).max()
        assert off <= (np.sqrt(2) - 1) * (WIDE - TAKEN) + 0.01
        curves.append(points)
        assert points[:, 2] == pytest.approx(number * (2 * RADIUS + NEAR), abs=0.001)
    assert curves[1][:, 2].min() - curves[0][:, 2].max() >= 2 * RADIUS


def test_two_strands_of_a_rope_are_unlaid():
    """The strands of a rope of two turns have wound about each other twice; a full turn gives 1."""
    one, other = unlay_two()
    firsts = np.array([0, len(one), len(one) + len(other)])
    assert abs(float(windings(np.concatenate([one, other]), firsts, [[0, 1]])[0])) < 1.0
