import math

import numpy as np
import pytest
from scipy.optimize import linprog

from routeviz.geometry.corners import corner_turns, inscribed_radii, largest_common_radius

Z_SHAPE = [[0, 0, 0], [100, 0, 0], [100, 100, 0], [200, 100, 0]]


def some_corners(seed, count=7):
    """Corners whose turns stay well below 120 degrees."""
    random = np.random.default_rng(seed)
    directions = np.array([1.0, 0, 0]) + random.uniform(-0.7, 0.7, (count - 1, 3))
    directions /= np.linalg.norm(directions, axis=1)[:, None]
    return np.vstack([np.zeros(3), np.cumsum(directions * random.uniform(20, 90, (count - 1, 1)), axis=0)])


@pytest.mark.parametrize("seed", range(20))
def test_the_largest_common_radius_is_the_optimum_of_the_linear_programme(seed):
    """Another method: maximise R subject to R (tan + tan) <= leg - straight at each leg."""
    corners = some_corners(seed)
    legs, _, turns = corner_turns(corners)
    half = np.concatenate([[0], np.tan(turns / 2), [0]])
    room = legs - np.array([5.0] + [0] * (len(legs) - 2) + [3.0])
    best = linprog([-1], A_ub=(half[:-1] + half[1:])[:, None], b_ub=room).x[0]
    assert largest_common_radius(corners, first=5, last=3) == pytest.approx(best, rel=1e-9)


@pytest.mark.parametrize("seed", range(20))
def test_inscribed_radii_fill_a_leg_at_every_corner_and_the_least_is_the_common_radius(seed):
    corners = some_corners(seed)
    legs, _, turns = corner_turns(corners)
    cuts = inscribed_radii(corners) * np.tan(turns / 2)
    taken = np.append(0, cuts) + np.append(cuts, 0)
    assert (taken <= legs + 1e-9).all()
    full = taken >= legs - 1e-9
    assert (full[:-1] | full[1:]).all()
    assert inscribed_radii(corners).min() == pytest.approx(largest_common_radius(corners))


@pytest.mark.parametrize("seed", range(20))
def test_no_inscribed_radius_grows_but_at_the_cost_of_an_equal_or_smaller_one(seed):
    """Max-min fair: each corner has a full leg on which the other corner's radius is not larger."""
    corners = some_corners(seed)
    legs, _, turns = corner_turns(corners)
    radii = inscribed_radii(corners)
    cuts = radii * np.tan(turns / 2)
    taken = np.append(0, cuts) + np.append(cuts, 0)
    full = taken >= legs - 1e-9
    others = np.concatenate([[0], radii, [0]])
    for corner, radius in enumerate(radii):
        before = full[corner] and others[corner] <= radius + 1e-9
        after = full[corner + 1] and others[corner + 2] <= radius + 1e-9
        assert before or after


def test_a_z_of_equal_legs_gets_half_a_leg_at_each_corner():
    """Right angles, tan(45 deg) = 1, the middle leg of 100 is shared by two: 50 each."""
    assert inscribed_radii(Z_SHAPE) == pytest.approx([50, 50])


def test_a_long_leg_gives_what_a_short_one_leaves():
    """Legs 20, 200, 200: the first corner stops at 20, the second has 200 - 20 = 180 and 200, so 180."""
    corners = [[0, 0, 0], [20, 0, 0], [20, 200, 0], [220, 200, 0]]
    assert inscribed_radii(corners) == pytest.approx([20, 180])


def test_radii_stop_at_the_cap_and_leave_the_straight_ends():
    """Legs 100: with 60 kept straight the first corner stops at 40; the cap holds the second at 45."""
    assert inscribed_radii(Z_SHAPE, cap=45, first=60) == pytest.approx([40, 45])


def test_a_straight_polyline_has_no_bend():
    corners = [[0, 0, 0], [1, 1, 0], [3, 3, 0]]
    assert largest_common_radius(corners) == math.inf
    assert (inscribed_radii(corners) == math.inf).all()
    assert inscribed_radii(corners[:2]).shape == (0,)


@pytest.mark.parametrize(
    ("corners", "message"),
    [
        ([[0, 0, 0]], "at least 2 wanted, 1 given"),
        ([[0, 0, 0], [0, 0, 0], [1, 0, 0]], r"corners 0 and 1 coincide at \[0.0, 0.0, 0.0\]: leave one out"),
        (
            [[0, 0, 0], [9, 0, 0], [0, 1, 0]],
            "corner 1 turns by 173.7 degrees, at most 120 allowed: turn in two",
        ),
        ([[0, 0, 0], [math.inf, 0, 0]], "not finite"),
        ([[0, 0], [1, 0]], r"shape \(n, 3\) wanted"),
    ],
)
def test_corners_that_cannot_be_rounded_are_refused(corners, message):
    with pytest.raises(ValueError, match=message):
        largest_common_radius(corners)


def test_a_turn_of_exactly_120_degrees_is_allowed():
    turned = np.array([math.cos(math.radians(120)), math.sin(math.radians(120)), 0])
    corners = np.round([[-10, 0, 0], [0, 0, 0], 10 * turned], 6)
    assert largest_common_radius(corners) == pytest.approx(10 / math.tan(math.radians(60)))


def test_straight_ends_longer_than_their_leg_and_a_cap_of_nothing_are_refused():
    with pytest.raises(ValueError, match="straight ends of 100 and 0 leave nothing of legs of 100 and 100"):
        inscribed_radii(Z_SHAPE, first=100)
    with pytest.raises(ValueError, match="cap: more than 0 wanted, 0 given"):
        inscribed_radii(Z_SHAPE, cap=0)
