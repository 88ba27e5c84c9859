"""Simple circular curves, as surveyors set them out between two straights.

United States Department of the Army, FM 5-233, "Construction Surveying" (1985), the chapter on curves, gives
with radius R and deflection I: tangent T = R tan(I/2), length of curve R I, external R (1/cos(I/2) - 1),
middle ordinate M = R (1 - cos(I/2)), long chord C = 2 R sin(I/2). Source and formulas are cited from memory;
the numbers are worked out from them in the tests.
"""

import math

import numpy as np
import pytest

from routeviz.geometry.corners import inscribed_radii, largest_common_radius
from routeviz.geometry.curves import chords, length, points_along, rounded_polyline

Z_SHAPE = [[0, 0, 0], [100, 0, 0], [100, 100, 0], [200, 100, 0]]
L_SHAPE = [[0, 0, 0], [30, 0, 0], [30, 100, 0]]
IN_SPACE = [[0, 0, 0], [100, 0, 0], [100, 60, 0], [100, 60, 80]]


def a_bend(deflection_deg, radius):
    angle = math.radians(deflection_deg)
    return rounded_polyline(
        [[-200, 0, 0], [0, 0, 0], [200 * math.cos(angle), 200 * math.sin(angle), 0]], [radius]
    )


@pytest.mark.parametrize("deflection", [5, 30, 60, 90, 115, 120])
def test_tangent_curve_and_chord_lengths_follow_the_formulas(deflection):
    half, curve = math.radians(deflection) / 2, a_bend(deflection, 25)
    assert curve.lengths == pytest.approx([200 - 25 * math.tan(half), 50 * half, 200 - 25 * math.tan(half)])
    ends = points_along(curve, curve.begins[1:3])
    assert np.linalg.norm(ends[1] - ends[0]) == pytest.approx(50 * math.sin(half))


@pytest.mark.parametrize("deflection", [5, 30, 60, 90, 115, 120])
def test_a_rounded_corner_is_cut_by_the_external_distance(deflection):
    half, curve = math.radians(deflection) / 2, a_bend(deflection, 25)
    middle = points_along(curve, [length(curve) / 2])[0]
    assert np.linalg.norm(middle) == pytest.approx(25 * (1 / math.cos(half) - 1))


@pytest.mark.parametrize(("arc", "sagitta"), [(5, 0.156), (10, 0.622), (20, 2.448)])
def test_the_middle_ordinate_of_arcs_of_radius_20(arc, sagitta):
    """20 (1 - cos(arc / 40)), to the thousandth: 5 -> 0.156, 10 -> 0.622, 20 -> 2.448."""
    bend = rounded_polyline(
        [[-50, 0, 0], [0, 0, 0], [50 * math.cos(arc / 20), 50 * math.sin(arc / 20), 0]], [20]
    )
    start, middle, end = points_along(bend, bend.begins[1] + np.array([0, arc / 2, arc]))
    assert np.linalg.norm(middle - (start + end) / 2) == pytest.approx(sagitta, abs=5e-4)
    _, along = chords(bend, sagitta + 1e-3)
    assert len(along) == 4


@pytest.mark.parametrize(("corners", "radius"), [(Z_SHAPE, 50), (L_SHAPE, 30), (IN_SPACE, 30)])
def test_the_largest_common_radius_of_right_angles(corners, radius):
    """tan 45 deg = 1, so a leg between two bends gives half its length and an end leg all of it.

    Z: 100 / 2 = 50; L: the shorter leg, 30; in space: 60 / 2 = 30.
    """
    assert largest_common_radius(corners) == pytest.approx(radius)
    assert inscribed_radii(corners).min() == pytest.approx(radius)


def test_the_length_of_a_polyline_rounded_in_space():
    """100 + 60 + 80 less twice (2 x 30 - 30 pi/2): 240 - 120 + 30 pi = 214.24778."""
    assert length(rounded_polyline(IN_SPACE, [30, 30])) == pytest.approx(214.24778, abs=5e-6)


@pytest.mark.parametrize(("aside", "run"), [(5, 19.365), (10, 26.458), (20, 34.641), (40, 40.0)])
def test_an_offset_by_two_arcs_of_radius_20_takes_the_run_of_a_reverse_curve(aside, run):
    """Two equal arcs, no straight between: run^2 = y (4 R - y).

    y = 5: sqrt(375) = 19.365; 10: sqrt(700) = 26.458; 20: sqrt(1200) = 34.641; 40: sqrt(1600) = 40.
    """
    turn = math.acos(1 - aside / 40)
    cut = 20 * math.tan(turn / 2)
    way = np.array([math.cos(turn), math.sin(turn), 0])
    first = np.array([cut, 0, 0])
    second = first + 2 * cut * way
    curve = rounded_polyline([[0, 0, 0], first, second, second + np.array([cut, 0, 0])], [20, 20])
    assert points_along(curve, [length(curve)])[0] == pytest.approx([run, aside, 0], abs=5e-4)
    assert length(curve) == pytest.approx(40 * turn)
