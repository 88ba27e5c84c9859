import math

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from routeviz.geometry.curves import length, points_along, rounded_polyline, tangents_along, tightest_bend
from routeviz.geometry.fitting import fitted_route

DOUBT = 2.0
KNOWN = {
    "an L": ([[0, 0, 0], [200, 0, 0], [200, 150, 0]], [30], 8),
    "a Z": ([[0, 0, 0], [100, 0, 0], [100, 100, 0], [200, 100, 0]], [30, 30], 12),
    "a U": ([[0, 0, 0], [150, 0, 0], [150, 60, 0], [0, 60, 0]], [30, 30], 11),
    "a U with one point in its bend": ([[0, 0, 0], [150, 0, 0], [150, 60, 0], [0, 60, 0]], [30, 30], 5),
    "three bends in space": (
        [[0, 0, 0], [150, 0, 0], [150, 120, 0], [150, 120, 180], [300, 200, 180]],
        [30, 35, 30],
        16,
    ),
}


def measured(name, seed):
    """Points along a known curve, the inner ones off it by up to the doubt in any direction."""
    corners, radii, count = KNOWN[name]
    curve = rounded_polyline(corners, radii)
    random = np.random.default_rng(seed)
    off = random.normal(size=(count, 3))
    off *= DOUBT * random.uniform(0, 1, (count, 1)) / np.linalg.norm(off, axis=1)[:, None]
    off[[0, -1]] = 0
    return curve, points_along(curve, np.linspace(0, length(curve), count)) + off


def sampled_miss(route, points):
    """Another method: the distance to points 0.02 apart on the curve."""
    curve = rounded_polyline(route.corners, route.radii)
    dense = points_along(curve, np.linspace(0, length(curve), math.ceil(length(curve) / 0.05)))
    return np.sqrt(((points[:, None] - dense) ** 2).sum(axis=2).min(axis=1)).max()


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("with_directions", [True, False])
@pytest.mark.parametrize("name", KNOWN)
def test_points_off_a_known_curve_are_fitted_within_the_doubt_and_no_tighter(name, with_directions, seed):
    """The known curve has radius 30 and lies within the doubt of all points, so 25 can be had."""
    curve, points = measured(name, seed)
    ends = tangents_along(curve, [0, length(curve)]) if with_directions else (None, None)
    route = fitted_route(points, doubt=DOUBT, start_direction=ends[0], end_direction=ends[1], least_radius=25)
    fitted = rounded_polyline(route.corners, route.radii)
    assert sampled_miss(route, points) <= DOUBT + 1e-6
    assert tightest_bend(fitted)[0] >= 25
    assert route.radii[route.tightest] == pytest.approx(tightest_bend(fitted)[0])
    assert length(fitted) == pytest.approx(length(curve), rel=0.05)
    if with_directions:
        assert tangents_along(fitted, [0, length(fitted)]) == pytest.approx(ends, abs=1e-9)


@pytest.mark.parametrize("name", KNOWN)
def test_the_miss_told_is_the_miss_that_samples_find(name):
    _, points = measured(name, 9)
    route = fitted_route(points, doubt=DOUBT)
    assert route.miss == pytest.approx(sampled_miss(route, points), abs=1e-3)
    assert route.corners[[0, -1]] == pytest.approx(points[[0, -1]])


def test_points_off_a_straight_tube_by_less_than_the_doubt_give_a_straight_line():
    along = np.linspace(0, 300, 10)
    points = np.column_stack([along, 1.9 * np.sin(along), 0.4 * np.cos(3 * along)])
    points[[0, -1], 1:] = 0
    for ends in ({}, {"start_direction": [2, 0, 0], "end_direction": [1, 0, 0]}):
        route = fitted_route(points, doubt=DOUBT, least_radius=25, **ends)
        assert route.corners == pytest.approx(points[[0, -1]])
        assert route.tightest is None


def test_two_points_are_joined_by_a_straight_line():
    route = fitted_route([[0, 0, 0], [10, 20, 30]], doubt=DOUBT)
    assert len(route.radii) == 0
    assert route.miss == pytest.approx(0, abs=1e-9)


def test_two_nipples_at_right_angles_are_joined_by_a_gentle_bend():
    """The quarter turn round the corner between them has radius 100 and meets both: the gentlest there is."""
    route = fitted_route(
        [[0, 0, 0], [100, 100, 0]], doubt=DOUBT, start_direction=[1, 0, 0], end_direction=[0, 1, 0]
    )
    assert 75 < route.radii.min() <= 100 + 1e-6


def test_two_nipples_that_face_the_same_way_are_joined_by_a_u():
    route = fitted_route(
        [[0, 0, 0], [0, 80, 0]],
        doubt=DOUBT,
        start_direction=[1, 0, 0],
        end_direction=[-1, 0, 0],
        least_radius=25,
    )
    curve = rounded_polyline(route.corners, route.radii)
    assert tightest_bend(curve)[0] >= 25
    assert tangents_along(curve, [0, length(curve)]) == pytest.approx(np.array([[1, 0, 0], [-1, 0, 0]]))


def test_what_cannot_be_had_is_told_and_not_hidden():
    """Two right angles 6 apart leave no radius above 3 or so within a doubt of 0.1."""
    points = [[0, 0, 0], [40, 0, 0], [50, 0, 0], [50, 6, 0], [60, 6, 0], [100, 6, 0]]
    route = fitted_route(points, doubt=0.1, least_radius=25)
    assert route.radii[route.tightest] < 25 or route.miss > 0.1
    assert route.miss == pytest.approx(sampled_miss(route, np.array(points, float)), abs=1e-3)


def test_points_that_turn_straight_back_are_joined_in_turns_of_at_most_120_degrees():
    route = fitted_route([[0, 0, 0], [100, 0, 0], [0, 1, 0]], doubt=DOUBT)
    assert length(rounded_polyline(route.corners, route.radii)) > 150


def test_the_same_points_give_the_same_bytes():
    _, points = measured("three bends in space", 1)
    first, second = (fitted_route(points, doubt=DOUBT, least_radius=25) for _ in range(2))
    assert first.corners.tobytes() == second.corners.tobytes()
    assert first.radii.tobytes() == second.radii.tobytes()


def test_moved_rigidly_the_fit_is_as_near_and_as_gentle():
    _, points = measured("a Z", 2)
    moved = Rotation.from_rotvec([0.4, 0.9, -0.2]).apply(points) + np.array([100, -20, 7])
    for some in (points, moved):
        route = fitted_route(some, doubt=DOUBT, least_radius=25)
        assert route.miss <= DOUBT
        assert route.radii.min() >= 25


@pytest.mark.parametrize(
    ("points", "given", "message"),
    [
        ([[0, 0, 0]], {}, "points: at least 2 wanted, 1 given"),
        (
            [[0, 0, 0], [0, 0, 0], [1, 0, 0]],
            {},
            r"points 0 and 1 coincide at \[0.0, 0.0, 0.0\]: leave one out",
        ),
        ([[0, 0, 0], [math.nan, 0, 0]], {}, "not finite"),
        ([[0, 0, 0], [9, 0, 0]], {"doubt": 0}, "doubt: more than 0 wanted, 0 given"),
        ([[0, 0, 0], [9, 0, 0]], {"start_direction": [0, 0, 0]}, "start_direction: a direction has a length"),
    ],
)
def test_what_cannot_be_fitted_is_refused(points, given, message):
    with pytest.raises(ValueError, match=message):
        fitted_route(points, **{"doubt": DOUBT, **given})
