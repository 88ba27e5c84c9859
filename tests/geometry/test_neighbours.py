import itertools
import math

import fcl
import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from routeviz.geometry.corners import inscribed_radii
from routeviz.geometry.curves import (
    Curve,
    chords,
    length,
    points_along,
    reversed_curve,
    rounded_polyline,
    trimmed,
)
from routeviz.geometry.neighbours import least_between

WIDTH = 0.02


def straight(start, end):
    return rounded_polyline([start, end], [])


def quarter_turn(radius, centre=(0.0, 0.0, 0.0), turn=None):
    """An arc of a quarter turn round a centre, from +x to +y, then turned."""
    corners = np.array([[radius, 0, 0], [radius, radius, 0], [0, radius, 0]], float)
    moved = turn.apply(corners) if turn is not None else corners
    return rounded_polyline(moved + np.asarray(centre), [radius])


def some_corners(count, seed, spread=60.0):
    random = np.random.default_rng(seed)
    found = []
    while len(found) < count:
        steps = np.array([22.0, 0, 0]) + random.uniform(-25, 25, (5, 3))
        corners = random.uniform(-spread, spread, 3) + np.vstack([np.zeros(3), np.cumsum(steps, axis=0)])
        turns = np.einsum("ij,ij->i", steps[1:], steps[:-1])
        if (turns > 0).all():
            found.append(corners)
    return found


def some_curves(count, seed, spread=60.0):
    return [rounded_polyline(c, 0.9 * inscribed_radii(c)) for c in some_corners(count, seed, spread)]


def sampled_distance(first: Curve, second: Curve):
    """Another method: points 0.5 apart on both, each pair looked at; then 0.02 apart round the nearest."""
    a = points_along(first, np.linspace(0, length(first), math.ceil(length(first) / 0.5) + 1))
    b = points_along(second, np.linspace(0, length(second), math.ceil(length(second) / 0.5) + 1))
    i, j = np.unravel_index(np.argmin(((a[:, None] - b) ** 2).sum(axis=2)), (len(a), len(b)))
    s, t = i * length(first) / (len(a) - 1), j * length(second) / (len(b) - 1)
    a = points_along(first, np.clip(np.linspace(s - 4, s + 4, 401), 0, length(first)))
    b = points_along(second, np.clip(np.linspace(t - 4, t + 4, 401), 0, length(second)))
    return np.sqrt(((a[:, None] - b) ** 2).sum(axis=2).min())


CLOSED_FORMS = {
    "parallel, level": (straight([0, 0, 0], [50, 0, 0]), straight([0, 10, 0], [50, 10, 0]), 10.0),
    "parallel, past each other": (straight([0, 0, 0], [50, 0, 0]), straight([53, 4, 0], [90, 4, 0]), 5.0),
    "crossing at right angles": (straight([-9, 0, 0], [9, 0, 0]), straight([0, -9, 7], [0, 9, 7]), 7.0),
    "crossing askew": (straight([-90, 0, 0], [90, 1e-3, 0]), straight([-90, 1e-3, 4], [90, 0, 4]), 4.0),
    "meeting in a point": (straight([0, 0, 0], [20, 0, 0]), straight([10, -5, 0], [10, 5, 0]), 0.0),
    "end to side": (straight([0, 0, 0], [20, 0, 0]), straight([10, 3, 0], [14, 30, 0]), 3.0),
    "end to end": (straight([0, 0, 0], [10, 0, 0]), straight([13, 4, 0], [30, 9, 0]), 5.0),
    "concentric arcs": (quarter_turn(30), quarter_turn(37.5), 7.5),
    "arcs on one axis": (quarter_turn(20), quarter_turn(23, (0, 0, 4)), 5.0),
    # Circles of radius 20 round 0 in the plane z = 0 and round (25, 0, 0) in the plane y = 0. The second
    # one's point (25 - 20 cos a, 0, 20 sin a) is sqrt((5 - 20 cos a)^2 + 400 sin(a)^2) from the first: 15 at
    # a = 0, and nowhere less.
    "linked arcs": (
        quarter_turn(20, turn=Rotation.from_euler("z", -45, degrees=True)),
        quarter_turn(20, (25, 0, 0), Rotation.from_euler("zx", [135, 90], degrees=True)),
        15.0,
    ),
    "a line past an arc": (quarter_turn(20), straight([40, 40, 0], [0, 40, 0]), 20.0),
    "a line through an arc's axis": (quarter_turn(20), straight([0, 0, -30], [0, 0, 30]), 20.0),
}


@pytest.mark.parametrize("name", CLOSED_FORMS)
def test_closed_forms_lie_within_the_bounds(name):
    first, second, distance = CLOSED_FORMS[name]
    found = least_between([first, second], [1.5, 0.5], 100, width=WIDTH)
    assert found.lows[0] <= distance - 2 + 1e-12
    assert found.highs[0] >= distance - 2 - 1e-12
    assert found.highs[0] - found.lows[0] <= WIDTH + 1e-5


@pytest.mark.parametrize("name", CLOSED_FORMS)
def test_the_place_found_is_on_both_curves_and_as_far_apart_as_the_upper_bound(name):
    first, second, _ = CLOSED_FORMS[name]
    found = least_between([first, second], [0, 0], 100, width=WIDTH)
    assert found.points_first == pytest.approx(points_along(first, found.along_first), abs=1e-9)
    assert found.points_second == pytest.approx(points_along(second, found.along_second), abs=1e-9)
    apart = np.linalg.norm(found.points_first - found.points_second, axis=1)
    assert apart == pytest.approx(found.highs, abs=1e-9)


@pytest.mark.parametrize("width", [0.05, 0.002])
def test_against_dense_samples_of_every_pair_within_reach(width):
    curves = some_curves(14, seed=4)
    found = least_between(curves, np.full(14, 3.0), 30, width=width)
    rows = {(i, j): k for k, (i, j) in enumerate(zip(found.first, found.second, strict=True))}
    assert (found.highs - found.lows).max() <= width + 1e-5
    for i in range(14):
        for j in range(i + 1, 14):
            apart = sampled_distance(curves[i], curves[j]) - 6
            if (i, j) in rows:
                # Samples 0.02 apart miss the nearest places by 0.014 at most, and never come nearer.
                assert found.lows[rows[i, j]] <= apart
                assert found.highs[rows[i, j]] >= apart - 0.015
            else:
                assert apart > 30 - 0.015


def test_against_fcl_capsules_along_the_chords():
    """python-fcl, in millimetres: capsules of the tube's radius round chords of 0.01 sagitta each."""
    curves = some_curves(8, seed=9, spread=25)
    found = least_between(curves, np.full(8, 2.0), 12, width=WIDTH)
    managers = [capsules(curve, 2.0) for curve in curves]
    compared = 0
    for i, j, low, high in zip(found.first, found.second, found.lows, found.highs, strict=True):
        if high > 0.05:
            data = fcl.DistanceData()
            managers[i].distance(managers[j], data, fcl.defaultDistanceCallback)
            assert low - 0.021 <= data.result.min_distance <= high + 0.021
            compared += 1
    assert compared > 5


def capsules(curve, radius):
    points, _ = chords(curve, 0.01)
    made = fcl.DynamicAABBTreeCollisionManager()
    for start, end in itertools.pairwise(points):
        size = np.linalg.norm(end - start)
        turn, _ = Rotation.align_vectors([(end - start) / size], [[0, 0, 1]])
        place = fcl.Transform(turn.as_matrix(), 0.5 * (start + end))
        made.registerObject(fcl.CollisionObject(fcl.Capsule(radius, size), place))
    made.setup()
    return made


def test_the_same_distances_whichever_way_tubes_run_and_in_whichever_order():
    curves, radii = some_curves(12, seed=2), np.linspace(1, 4, 12)
    plain = least_between(curves, radii, 25, width=WIDTH)
    backwards = least_between([reversed_curve(c) for c in curves], radii, 25, width=WIDTH)
    assert backwards.lows == pytest.approx(plain.lows, abs=WIDTH)
    assert backwards.highs == pytest.approx(plain.highs, abs=WIDTH)
    order = np.random.default_rng(0).permutation(12)
    mixed = least_between([curves[k] for k in order], radii[order], 25, width=WIDTH)
    by_pair = {
        frozenset((order[i], order[j])): high
        for i, j, high in zip(mixed.first, mixed.second, mixed.highs, strict=True)
    }
    for i, j, high in zip(plain.first, plain.second, plain.highs, strict=True):
        assert by_pair[frozenset((i, j))] == pytest.approx(high, abs=WIDTH)


def test_moved_rigidly_tubes_keep_their_distances():
    corners = some_corners(12, seed=6)
    turn, shift = Rotation.from_rotvec([1.2, 0.1, -0.5]), np.array([300.0, 0, -40])
    moved = [turn.apply(c) + shift for c in corners]
    plain, other = (
        least_between(
            [rounded_polyline(c, inscribed_radii(c)) for c in some], np.full(12, 3), 20, width=WIDTH
        )
        for some in (corners, moved)
    )
    assert other.highs == pytest.approx(plain.highs, abs=WIDTH)
    assert other.lows == pytest.approx(plain.lows, abs=WIDTH)


def test_narrower_bounds_lie_inside_wider_ones():
    curves, radii = some_curves(12, seed=8), np.full(12, 3.0)
    wide, fine = (least_between(curves, radii, 15, width=w) for w in (0.05, 0.001))
    assert (fine.lows >= wide.lows - 1e-5).all()
    assert (fine.highs <= wide.highs + 1e-9).all()


def test_a_tube_cut_in_two_is_as_near_as_the_nearer_half():
    curves = some_curves(2, seed=12, spread=10)
    half = length(curves[0]) / 2
    halves = [trimmed(curves[0], 0, half), trimmed(curves[0], half, 0), curves[1]]
    whole = least_between(curves, [3, 3], 200, width=0.001)
    parts = least_between(halves, [3, 3, 3], 200, width=0.001, exempt=[(0, 1)])
    assert parts.highs.min() == pytest.approx(whole.highs[0], abs=0.001)


def test_exempt_pairs_are_left_out_in_either_order_and_others_stay():
    curves = [straight([0, y, 0], [50, y, 0]) for y in (0, 6, 12)]
    found = least_between(curves, [2, 2, 2], 10, width=WIDTH, exempt=[(1, 0), (1, 2)])
    assert list(zip(found.first, found.second, strict=True)) == [(0, 2)]


def test_pairs_beyond_reach_are_left_out():
    curves = [straight([0, y, 0], [50, y, 0]) for y in (0, 10, 30)]
    found = least_between(curves, [2, 3, 2], 8, width=WIDTH)
    assert list(zip(found.first, found.second, strict=True)) == [(0, 1)]
    assert found.highs == pytest.approx([5])


@pytest.mark.parametrize("count", [0, 1])
def test_fewer_than_two_tubes_have_no_neighbours(count):
    found = least_between(some_curves(count, seed=1), np.full(count, 2.0), 10, width=WIDTH)
    assert found.points_first.shape == (0, 3)


def test_more_pairs_than_foreseen_are_all_found():
    """Forty tubes through one point: each piece near every other."""
    turns = Rotation.from_euler(
        "zy", np.column_stack([np.arange(40) * 4.5, np.arange(40) * 1.7]), degrees=True
    )
    curves = [straight(-40 * d, 40 * d) for d in turns.apply([1.0, 0, 0])]
    found = least_between(curves, np.full(40, 1.0), 1, width=WIDTH)
    assert len(found.first) == 40 * 39 // 2
    assert found.lows == pytest.approx(-2, abs=1e-5)


@pytest.mark.parametrize(
    ("radii", "reach", "width", "message"),
    [
        ([1.0], 5, 0.1, r"radii: shape \(2\) wanted"),
        ([1.0, -1.0], 5, 0.1, "radii: 0 or more wanted, -1 given"),
        ([1.0, math.nan], 5, 0.1, "not finite"),
        ([1.0, 1.0], math.inf, 0.1, "a finite reach and a width above 0 wanted, inf and 0.1 given"),
        ([1.0, 1.0], 5, 0, "5 and 0 given"),
    ],
)
def test_what_cannot_be_measured_is_refused(radii, reach, width, message):
    with pytest.raises(ValueError, match=message):
        least_between(some_curves(2, seed=1), radii, reach, width=width)
