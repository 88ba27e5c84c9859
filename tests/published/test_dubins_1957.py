"""Shortest paths of bounded curvature between two poses in the plane.

L. E. Dubins, "On curves of minimal length with a constraint on average curvature, and with prescribed initial
and terminal positions and tangents", American Journal of Mathematics 79 (1957), 497-516: the shortest such
path is an arc, a straight or an arc, and an arc (CSC or CCC). A. M. Shkel and V. Lumelsky, "Classification of
the Dubins set", Robotics and Autonomous Systems 34 (2001), 179-202, give each length in closed form.
Both are cited from memory; the lengths below follow from the closed forms, radius 1.

Here the optimal words are composed as rounded polylines; an arc of more than 120 degrees takes two or more
corners of one circle.
"""

import math

import numpy as np
import pytest

from routeviz.geometry.curves import length, points_along, rounded_polyline, tangents_along, tightest_bend


def tangent_polygon(pose, word):
    """Return corners and radii of a path whose parts are (turn to the left, straight length)."""
    x, y, heading = pose
    at, corners, turning = np.array([x, y, 0.0]), [np.array([x, y, 0.0])], heading
    radii = []
    for turn, straight in word:
        share = math.ceil(abs(turn) / 2)
        for _ in range(share):
            cut = math.tan(abs(turn) / share / 2)
            corner = at + cut * np.array([math.cos(turning), math.sin(turning), 0])
            turning += turn / share
            at = corner + cut * np.array([math.cos(turning), math.sin(turning), 0])
            corners.append(corner)
            radii.append(1.0)
        at = at + straight * np.array([math.cos(turning), math.sin(turning), 0])
    return np.array([*corners, at]), radii


CASES = {
    "straight on for 10": ((10, 0, 0), [(0.0, 10.0)], 10.0),
    "half a turn to the side": ((0, 2, math.pi), [(math.pi, 0.0)], math.pi),
    # Left circle round (0, 1), then left round (3, 4): outer tangent of 3 sqrt 2 at 45 degrees.
    "a quarter turn, LSL": (
        (4, 4, math.pi / 2),
        [(math.pi / 4, 3 * math.sqrt(2)), (math.pi / 4, 0.0)],
        5.813437,
    ),
    # Right circle round (0, -1), then left round (4, -3): centres sqrt(20) apart, so an inner tangent of
    # sqrt(20 - 4) = 4, at 2 atan(1/2) to the first heading; 4 + 4 atan(1/2).
    "a shift to the side, RSL": (
        (4, -4, 0),
        [(-2 * math.atan(1 / 2), 4.0), (2 * math.atan(1 / 2), 0.0)],
        5.854590,
    ),
    # Out by 60 degrees, round by 300, in by 60: 7 pi / 3.
    "reversal on the spot, RLR": (
        (0, 0, math.pi),
        [(-math.pi / 3, 0.0), (5 * math.pi / 3, 0.0), (-math.pi / 3, 0.0)],
        7.330383,
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_the_optimal_word_ends_in_the_pose_and_has_the_length(name):
    (x, y, heading), word, expected = CASES[name]
    curve = rounded_polyline(*tangent_polygon((0, 0, 0), word))
    assert length(curve) == pytest.approx(expected, abs=1e-6)
    assert points_along(curve, [length(curve)])[0] == pytest.approx([x, y, 0], abs=1e-9)
    end = [math.cos(heading), math.sin(heading), 0]
    assert tangents_along(curve, [length(curve)])[0] == pytest.approx(end, abs=1e-9)


@pytest.mark.parametrize("name", [name for name in CASES if name != "straight on for 10"])
def test_no_arc_is_tighter_than_the_bound(name):
    _, word, _ = CASES[name]
    assert tightest_bend(rounded_polyline(*tangent_polygon((0, 0, 0), word)))[0] == pytest.approx(1)
