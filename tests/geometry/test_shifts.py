"""How far two curves lie apart: closed forms, and dense points of both, which must lie between the bounds."""

import math

import numpy as np
import pytest

from routeviz.geometry.curves import length, points_along, reversed_curve, rounded_polyline
from routeviz.geometry.shifts import farthest_apart

WIDE = 0.051  # between the bounds: twice two sagittas of 0.01, and 0.01


def straight(*ends):
    return rounded_polyline(ends, [])


def bent(radius, *corners):
    return rounded_polyline(corners, [radius] * (len(corners) - 2))


def test_a_line_beside_a_line_lies_as_far_apart_as_they_are():
    shift = farthest_apart(straight((0, 0, 0), (500, 0, 0)), straight((0, 3, 0), (500, 3, 0)))
    assert (shift.low, shift.high) == pytest.approx((3.0, 3.0), abs=1e-9)


def test_a_line_that_goes_on_lies_apart_by_what_it_goes_on():
    shift = farthest_apart(straight((0, 0, 0), (500, 0, 0)), straight((0, 0, 0), (540, 0, 0)))
    assert (shift.low, shift.high) == pytest.approx((40.0, 40.0), abs=1e-9)
    assert (shift.on, shift.along) == ("other", pytest.approx(540.0))
    assert shift.point == pytest.approx([540, 0, 0])


def test_lines_that_part_are_farthest_apart_at_the_end_square_to_the_other():
    # From the end of a line of 500 that rises by 30 degrees, straight down to the other.
    slope = (500 * math.cos(math.pi / 6), 500 * math.sin(math.pi / 6), 0)
    shift = farthest_apart(straight((0, 0, 0), (500, 0, 0)), straight((0, 0, 0), slope))
    assert shift.low == pytest.approx(250.0, abs=0.011)
    assert shift.high == pytest.approx(250.0, abs=0.011)


def test_a_corner_with_another_radius_lies_apart_in_its_middle():
    # Both arcs touch the same legs; on the bisector they are (R - r) (sqrt 2 - 1) apart.
    corners = (0, 0, 0), (200, 0, 0), (200, 200, 0)
    shift = farthest_apart(bent(60, *corners), bent(25, *corners))
    truth = 35 * (math.sqrt(2) - 1)
    assert shift.low <= truth <= shift.high
    assert shift.high - shift.low < WIDE
    middle = 140 + 60 * math.pi / 4 if shift.on == "one" else 175 + 25 * math.pi / 4
    assert shift.along == pytest.approx(middle, abs=2)


def test_a_curve_and_its_reverse_do_not_lie_apart():
    curve = bent(30, (0, 0, 0), (100, 0, 0), (100, 150, 0), (100, 150, 300))
    shift = farthest_apart(curve, reversed_curve(curve))
    assert shift.low == 0.0
    assert shift.high < WIDE


def test_a_short_way_round_something_is_not_overlooked():
    # A bump of 6 over 12 in a line of 3 metres; each of its corners turns by 45 or 90 degrees, and the arc
    # of radius r cuts the highest off by r (1 / cos 45 - 1).
    corners = (0, 0, 0), (1717, 0, 0), (1723, 6, 0), (1729, 0, 0), (3000, 0, 0)
    shift = farthest_apart(straight((0, 0, 0), (3000, 0, 0)), bent(1.5, *corners))
    truth = 6 - 1.5 * (math.sqrt(2) - 1)
    assert shift.low <= truth <= shift.high
    assert shift.high - shift.low < WIDE
    assert shift.point[0] == pytest.approx(1723, abs=0.2)


def test_the_place_may_lie_in_the_middle_of_a_straight_piece_with_both_ends_near():
    # Three sides of a yard, and the same with a fourth across: from its middle 100 to either side, 150 to the
    # far one; its ends lie on the sides.
    yard = (0, 0, 0), (0, -150, 0), (200, -150, 0), (200, 0, 0)
    shift = farthest_apart(bent(5, *yard), bent(5, *yard, (0, 0, 0)))
    assert shift.low <= 100 <= shift.high
    assert shift.high - shift.low < WIDE
    assert shift.on == "other"
    assert shift.point == pytest.approx([100, 0, 0], abs=0.1)


@pytest.mark.parametrize("seed", range(20))
def test_dense_points_of_both_lie_between_the_bounds(seed):
    rng = np.random.default_rng(seed)
    steps = rng.uniform(-1, 1, (6, 3)) * 25 + np.array([80.0, 0.0, 0.0])
    corners = np.cumsum(steps, axis=0)
    others = corners + rng.uniform(-8, 8, corners.shape)
    one, other = bent(20, *corners.tolist()), bent(12, *others.tolist())
    shift = farthest_apart(one, other)
    step = 0.2
    dense = [points_along(c, np.linspace(0, length(c), int(length(c) / step) + 1)) for c in (one, other)]
    apart = np.linalg.norm(dense[0][:, None] - dense[1][None], axis=2)
    sampled = max(apart.min(axis=1).max(), apart.min(axis=0).max())
    # What is nearest among dense points is not nearer than the curve, and by half a step at most farther.
    assert sampled - step / 2 <= shift.high
    assert sampled + step / 2 >= shift.low
    assert shift.high - shift.low < WIDE
    here, there = (one, other) if shift.on == "one" else (other, one)
    assert points_along(here, np.array([shift.along]))[0] == pytest.approx(shift.point)
    far = points_along(there, np.linspace(0, length(there), 20000))
    assert np.linalg.norm(far - shift.point, axis=1).min() >= shift.low - 1e-6
