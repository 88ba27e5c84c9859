import math

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from routeviz.geometry.corners import inscribed_radii
from routeviz.geometry.curves import (
    chords,
    length,
    points_along,
    reversed_curve,
    rounded_polyline,
    tangents_along,
    tightest_bend,
    trimmed,
)

BENT = np.array([[0, 0, 0], [100, 0, 0], [100, 60, 0], [100, 60, 80], [40, 90, 80]], float)
RADII = np.array([30.0, 20.0, 25.0])


def a_bent_curve():
    return rounded_polyline(BENT, RADII)


def many_along(curve, count=2001):
    return np.linspace(0, length(curve), count)


def test_a_curve_starts_and_ends_at_its_polylines_ends_and_in_its_directions():
    curve = a_bent_curve()
    ends = [0, length(curve)]
    assert points_along(curve, ends) == pytest.approx(BENT[[0, -1]])
    last = (BENT[-1] - BENT[-2]) / np.linalg.norm(BENT[-1] - BENT[-2])
    assert tangents_along(curve, ends) == pytest.approx(np.array([[1, 0, 0], last]))


def test_points_go_on_at_unit_speed_along_unit_tangents_without_a_jump():
    curve = a_bent_curve()
    along = many_along(curve)
    tangents, step = tangents_along(curve, along), along[1]
    moved = np.diff(points_along(curve, along), axis=0)
    assert np.linalg.norm(tangents, axis=1) == pytest.approx(1)
    assert moved == pytest.approx(0.5 * step * (tangents[1:] + tangents[:-1]), abs=step**2 / RADII.min() / 2)
    assert np.linalg.norm(np.diff(tangents, axis=0), axis=1).max() <= step / RADII.min() + 1e-12


def test_every_arc_lies_at_its_radius_from_its_centre():
    curve = a_bent_curve()
    for piece in np.nonzero(curve.curvatures)[0]:
        centre = curve.starts[piece] + curve.normals[piece] / curve.curvatures[piece]
        along = curve.begins[piece] + np.linspace(0, curve.lengths[piece], 9)
        distances = np.linalg.norm(points_along(curve, along) - centre, axis=1)
        assert distances == pytest.approx(1 / curve.curvatures[piece])


def test_the_tightest_bend_is_the_least_radius_and_lies_at_the_middle_of_its_arc():
    radius, along = tightest_bend(a_bent_curve())
    assert radius == pytest.approx(20)
    corner = points_along(a_bent_curve(), [along])[0] - BENT[2]
    # Right angle: the arc's middle lies R (1/cos 45 deg - 1) from the corner, halfway between the legs.
    assert np.linalg.norm(corner) == pytest.approx(20 * (math.sqrt(2) - 1))
    assert tightest_bend(rounded_polyline(BENT[:2], [])) == (math.inf, 0.0)


def test_moved_rigidly_a_curve_moves_along_and_keeps_its_numbers():
    turn, shift = Rotation.from_rotvec([0.3, -1.1, 0.7]), np.array([12.0, -70, 33])
    curve, moved = a_bent_curve(), rounded_polyline(turn.apply(BENT) + shift, RADII)
    assert moved.lengths == pytest.approx(curve.lengths)
    along = many_along(curve, 50)
    assert points_along(moved, along) == pytest.approx(turn.apply(points_along(curve, along)) + shift)


def test_run_backwards_a_curve_passes_the_same_points():
    curve, back = a_bent_curve(), reversed_curve(a_bent_curve())
    along = many_along(curve, 101)
    assert length(back) == pytest.approx(length(curve))
    assert points_along(back, along) == pytest.approx(points_along(curve, length(curve) - along))
    assert tangents_along(back, along[1:-1:7]) == pytest.approx(
        -tangents_along(curve, length(curve) - along[1:-1:7]), abs=1e-6
    )
    from_polyline = rounded_polyline(BENT[::-1], RADII[::-1])
    assert back.normals == pytest.approx(from_polyline.normals, abs=1e-9)


def test_a_trimmed_curve_is_the_middle_of_the_whole():
    curve = a_bent_curve()
    middle = trimmed(curve, 75, 60.5)
    along = many_along(middle, 101)
    assert length(middle) == pytest.approx(length(curve) - 135.5)
    assert points_along(middle, along) == pytest.approx(points_along(curve, along + 75))
    assert points_along(trimmed(curve, 0, 0), along) == pytest.approx(points_along(curve, along))


@pytest.mark.parametrize(("from_start", "from_end"), [(-1, 0), (0, 400), (150, 150), (math.nan, 0)])
def test_a_curve_of_which_nothing_is_left_is_refused(from_start, from_end):
    with pytest.raises(ValueError, match="nothing is left of a curve"):
        trimmed(a_bent_curve(), from_start, from_end)


@pytest.mark.parametrize("sagitta", [0.5, 0.025, 1e-4])
def test_chords_miss_the_curve_by_no_more_than_the_sagitta_and_are_no_finer_than_needed(sagitta):
    curve = a_bent_curve()
    points, along = chords(curve, sagitta)
    middles = points_along(curve, 0.5 * (along[1:] + along[:-1]))
    misses = np.linalg.norm(middles - 0.5 * (points[1:] + points[:-1]), axis=1)
    assert misses.max() <= sagitta * (1 + 1e-9)
    assert points == pytest.approx(points_along(curve, along))
    quarter_turns = np.pi / 2 / (2 * np.arccos(1 - sagitta / RADII))
    assert len(points) <= 1 + 4 + np.ceil(quarter_turns).sum()


def test_halved_chords_converge_on_the_length_at_second_order():
    curve = a_bent_curve()
    errors = []
    for sagitta in (0.2, 0.05, 0.0125):
        points, _ = chords(curve, sagitta)
        errors.append(length(curve) - np.linalg.norm(np.diff(points, axis=0), axis=1).sum())
    assert errors[0] / errors[1] == pytest.approx(4, rel=0.25)
    assert errors[1] / errors[2] == pytest.approx(4, rel=0.25)


def test_a_corner_in_line_has_no_arc_whatever_its_radius():
    corners = [[0, 0, 0], [10, 0, 0], [30, 0, 0], [30, 40, 0]]
    for ignored in (0, math.inf, 7):
        curve = rounded_polyline(corners, [ignored, 15])
        assert (curve.curvatures > 0).sum() == 1
        assert length(curve) == pytest.approx(70 - 30 + 15 * math.pi / 2)


def test_radii_that_fill_their_legs_survive_corners_rounded_to_a_millionth():
    random = np.random.default_rng(11)
    for _ in range(200):
        corners = np.cumsum(np.array([1.0, 0, 0]) * 4 + random.uniform(-2, 2, (8, 3)), axis=0)
        radii = inscribed_radii(corners)
        curve = rounded_polyline(np.round(corners, 6), radii)
        ends = points_along(curve, curve.begins[1:])[:-1]
        assert np.abs(ends - curve.starts[1:]).max() < 4e-5


@pytest.mark.parametrize(
    ("corners", "radii", "message"),
    [
        (
            BENT,
            [30, 31, 25],
            "leg 1 is 60 long, but the arcs at its ends take 61 of it: smaller radii or a longer",
        ),
        (BENT, [30, 0, 25], "corner 2 turns, but its radius is 0: give one above 0"),
        (BENT, [30, math.inf, 25], "corner 2 turns, but its radius is inf"),
        (BENT, [30, 20, math.nan], "corner 3 turns, but its radius is nan"),
        (BENT, [30, -20, 25], "corner 2 turns, but its radius is -20"),
        (BENT, [30, 20], r"one for each of 3 inner corners wanted, shape \(2,\) given"),
        (BENT[:1], [], "at least 2 wanted"),
        ([[0, 0, 0], [0, 0, 0]], [], "corners 0 and 1 coincide"),
        ([[0, 0, 0], [10, 0, 0], [0, 0.1, 0]], [1], "turns by 179.4 degrees, at most 120 allowed"),
    ],
)
def test_a_polyline_that_cannot_be_rounded_is_refused(corners, radii, message):
    with pytest.raises(ValueError, match=message):
        rounded_polyline(corners, radii)


@pytest.mark.parametrize("along", [-0.1, 1000, math.nan])
def test_a_place_beyond_the_ends_is_refused(along):
    with pytest.raises(ValueError, match="along: "):
        points_along(a_bent_curve(), [along])


def test_values_cannot_be_changed():
    with pytest.raises(ValueError, match="read-only"):
        a_bent_curve().starts[0] = 1


def test_a_sagitta_of_nothing_is_refused():
    with pytest.raises(ValueError, match="sagitta: more than 0 wanted"):
        chords(a_bent_curve(), 0)
