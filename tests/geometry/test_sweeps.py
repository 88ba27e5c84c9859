"""Clearances of tubes against what must be true of them: by hand, by brute force, by symmetry."""

import numpy as np
import pytest

from routeviz.geometry.blocks import box, cylinder, triangles
from routeviz.geometry.curves import Curve, length, points_along, rounded_polyline, tangents_along
from routeviz.geometry.distances import point_distances
from routeviz.geometry.frames import facing, points_from, rigid, rotation_about
from routeviz.geometry.shapes import Bodies, Hinge, Slide, assembled, placed, united
from routeviz.geometry.sweeps import TOLERANCE, distances_of_pairs, least_distances

HERE = np.eye(4)
WALL = assembled([box(rigid(np.eye(3), (-50, -50, -10)), (100, 100, 10))], [None])  # its top at z = 0


def straight(first, last) -> Curve:
    return rounded_polyline(np.array([first, last], dtype=float), np.zeros(0))


def interval(curve, radius, bodies: Bodies):
    near = distances_of_pairs([curve], [radius], bodies, [(0, 0)])
    assert near.lows[0] <= near.highs[0] <= near.lows[0] + TOLERANCE + 1e-12
    return near


def holds(near, true):
    return near.lows[0] - 1e-9 <= true <= near.highs[0] + 1e-9


def test_a_tube_along_a_face_is_as_far_as_its_centreline_less_its_radius():
    near = interval(straight((-20, 0, 7), (20, 0, 7)), 3.0, WALL)
    assert holds(near, 4.0)


def test_a_tube_that_crosses_an_edge_askew_is_as_far_as_the_common_normal_is_long():
    # The box's upper edge runs along y at x = 10, z = 4; the tube along x + z = 20 in the plane y = 5, whose
    # distance from the edge is |10 + 4 - 20| / sqrt(2).
    near = interval(straight((20, 5, 0), (0, 5, 20)), 1.0, assembled([box(HERE, (10, 10, 4))], [None]))
    assert holds(near, 6 / np.sqrt(2) - 1)
    assert near.points[0] == pytest.approx((13, 5, 7), abs=0.3)
    assert near.touches[0] == pytest.approx((10, 5, 4), abs=0.3)


def test_a_tube_past_a_corner_in_space_by_hand():
    # The line (12, y, 6) begins at y = 11, past the corner (10, 10, 4) of the box: 2 aside, 1 on, 2 above.
    near = interval(straight((12, 11, 6), (12, 40, 6)), 0.0, assembled([box(HERE, (10, 10, 4))], [None]))
    assert holds(near, 3.0)


def test_a_flat_end_that_faces_a_wall_one_away_is_one_away_however_thick():
    near = interval(straight((0, 0, 1), (0, 0, 30)), 4.0, WALL)
    assert holds(near, 1.0)


@pytest.mark.parametrize("degrees", [5.0, 30.0, 60.0, 85.0])
def test_an_oblique_flat_end_is_as_far_as_its_rim_dips(degrees):
    lean = np.radians(degrees)
    near = interval(straight((0, 0, 9), (40 * np.sin(lean), 0, 9 + 40 * np.cos(lean))), 4.0, WALL)
    assert holds(near, 9 - 4 * np.sin(lean))


def test_an_oblique_flat_end_that_dips_in_would_clear_if_it_were_thinner_by_what_is_said():
    # The rim of radius r touches where r sin(a) = 1: r = 2 at 30 degrees.
    lean = np.radians(30)
    near = interval(straight((0, 0, 1), (40 * np.sin(lean), 0, 1 + 40 * np.cos(lean))), 4.0, WALL)
    assert holds(near, 2.0 - 4.0)


def test_a_flat_end_past_a_corner_is_as_far_as_its_rim():
    # The end's disc of radius 3 at x = 14, square to x; the corner's edge at x = 10, z = 4: the rim is at
    # z = 9 - 3 = 6: 4 away along x, 2 along z.
    near = interval(straight((14, 5, 9), (60, 5, 9)), 3.0, assembled([box(HERE, (10, 10, 4))], [None]))
    assert holds(near, np.hypot(4, 2))


def test_a_spike_within_the_bore_of_a_flat_end_is_as_far_as_it_is_ahead():
    spike = assembled([triangles([(-5, 1, 0.5), (-20, 1, 3), (-20, 2, -1)], [(0, 1, 2)])], [None])
    near = interval(straight((0, 0, 0), (60, 0, 0)), 3.0, spike)
    assert holds(near, 5.0)


def test_a_tube_whose_end_stands_flush_on_a_face_touches_and_does_not_enter():
    curve = straight((0, 0, 0), (0, 0, 30))
    assert holds(interval(curve, 4.0, WALL), 0.0)


def test_a_tube_whose_end_goes_in_is_entered_by_its_whole_radius():
    curve = straight((0, 0, -0.5), (0, 0, 30))
    near = interval(curve, 4.0, WALL)
    assert near.lows[0] == near.highs[0] == -4.0


def test_a_tube_through_a_surface_without_thickness_is_entered_too():
    sheet = assembled([triangles([(-9, -9, 0), (9, -9, 0), (0, 9, 0)], [(0, 1, 2)])], [None])
    near = interval(straight((0, 0, -7), (0, 0, 20)), 2.0, sheet)
    assert near.highs[0] == -2.0


@pytest.mark.parametrize("x", [10.0, 0.0])
def test_a_tube_between_two_pieces_of_a_solid_or_in_its_face_is_entered_by_its_whole_radius(x):
    pair = united([box(HERE, (10, 10, 4)), box(rigid(np.eye(3), (10, 0, 0)), (10, 10, 4))])
    near = interval(straight((x, -5, 2), (x, 30, 2)), 1.0, assembled([pair], [None]))
    assert near.highs[0] == pytest.approx(-1.0)


def test_an_overlap_from_the_side_is_the_radius_that_must_go():
    near = interval(straight((-20, 0, 1), (20, 0, 1)), 3.0, WALL)
    assert holds(near, -2.0)


def test_a_blade_through_a_section_overlaps_by_what_its_point_is_within_the_radius():
    # The corner (9, 1, -1), sqrt 2 off the tube's axis, is the blade's nearest: the section there goes
    # through it, and no plane parts the two.
    blade = triangles([(9, 1, -1), (7, 9, -8), (-5, 10, -10)], [(0, 1, 2)])
    assert holds(interval(straight((0, 0, 0), (40, 0, 0)), 3.0, assembled([blade], [None])), np.sqrt(2) - 3)


def test_a_sheet_that_ends_flush_with_a_flat_end_touches_and_does_not_enter():
    sheet = box(rigid(rotation_about((1, 0, 0), 1.1416), (-7, 1, 0)), (7, 7, 0.08))
    assert holds(interval(straight((0, 0, 0), (40, 0, 0)), 3.0, assembled([sheet], [None])), 0.0)


@pytest.mark.parametrize(
    "turn", [None, Hinge(point=np.array([9.0, 5, 9]), axis=np.array([1.0, 0, 1]), angle=0.8)]
)
def test_blades_that_overlap_are_told_to_the_width_that_is_promised(turn):
    # with whole numbers for corners, so that edges meet axes, sections and each other
    rng = np.random.default_rng(7)
    blades = [triangles(rng.integers(-12, 13, (3, 3)), [(0, 1, 2)]) for _ in range(400)]
    near = least_distances([straight((0, 0, 0), (40, 0, 0))], [3.0], assembled(blades, [turn] * 400), 20.0)
    assert ((near.highs - near.lows) <= TOLERANCE + 1e-9).all()


def test_a_bend_is_measured_on_its_arc_not_on_its_chord():
    # A quarter turn of radius 20 about (20, 0, 20) from (0, 0, 20) to (20, 0, 0); a post through (2, 0, 2)
    # along y, 18 sqrt(2) from the centre.
    curve = rounded_polyline(np.array([(0, 0, 40), (0, 0, 0), (40, 0, 0)], dtype=float), np.array([20.0]))
    post = assembled([cylinder((2, -9, 2), (2, 9, 2), 1.0)], [None])
    near = interval(curve, 2.0, post)
    assert holds(near, 18 * np.sqrt(2) - 20 - 2 - 1)


def test_a_lever_comes_nearest_at_full_travel_by_hand():
    # A strip 100 long and 2 thick, hinged at x = 0, rises by 0.1 rad; a tube along y over its end at x = 90,
    # z = 20. Then the upper face is the line z cos(a) - x sin(a) = 2.
    lever = assembled(
        [box(rigid(np.eye(3), (0, -5, 0)), (100, 10, 2))],
        [Hinge(point=np.zeros(3), axis=np.array([0.0, -1.0, 0.0]), angle=0.1)],
    )
    near = interval(straight((90, -20, 20), (90, 20, 20)), 3.0, lever)
    assert holds(near, 20 * np.cos(0.1) - 90 * np.sin(0.1) - 2 - 3)
    assert near.travels[0] == pytest.approx(1.0, abs=0.01)


def test_a_peg_that_swings_past_is_nearest_between_rest_and_full_travel():
    # A peg's axis swings on a circle of radius 50 about y from 0 to 90 degrees; a tube along y on the ray at
    # 45 degrees, 58 out: 8 less both radii, at half travel. At either end it is 36 away or so.
    peg = assembled(
        [cylinder((50, -30, 0), (50, 30, 0), 1.5)],
        [Hinge(point=np.zeros(3), axis=np.array([0.0, -1.0, 0.0]), angle=np.pi / 2)],
    )
    ray = 58 / np.sqrt(2)
    near = interval(straight((ray, -20, ray), (ray, 20, ray)), 2.0, peg)
    assert holds(near, 8 - 1.5 - 2)
    assert near.travels[0] == pytest.approx(0.5, abs=0.02)
    assert np.hypot(near.touches[0, 0], near.touches[0, 2]) == pytest.approx(51.5, abs=0.02)


def test_a_slide_that_goes_past_is_nearest_on_its_way():
    block = assembled([box(HERE, (4, 4, 4))], [Slide(direction=np.array([1.0, 0.0, 0.0]), length=60.0)])
    near = interval(straight((30, 2, 10), (30, 2, 40)), 1.0, block)
    assert holds(near, 6.0)
    assert 26 / 60 - 1e-9 <= near.travels[0] <= 30 / 60 + 1e-9


def a_random_scene(rng):
    def somewhere():
        return rigid(rotation_about(rng.normal(size=3), rng.uniform(0, 3)), rng.uniform(-30, 30, 3))

    bar = cylinder(rng.uniform(-30, 30, 3), rng.uniform(-30, 30, 3), rng.uniform(1, 8))
    solid = united([box(somewhere(), rng.uniform(3, 40, 3)), bar])
    movement = (
        None,
        Hinge(point=rng.uniform(-40, 40, 3), axis=rng.normal(size=3), angle=rng.uniform(-1.5, 1.5)),
        Slide(direction=rng.normal(size=3), length=rng.uniform(-30, 30)),
    )[rng.integers(3)]
    while True:
        corners, radii = rng.uniform(-60, 60, (4, 3)), rng.uniform(3, 12, 2)
        try:
            return rounded_polyline(corners, radii), rng.uniform(0, 4), solid, movement
        except ValueError:
            continue


def points_of_tube(curve, radius, along):
    """Points in some sections: the middle and three rings of twenty-four."""
    angles = np.arange(24) * (np.pi / 12)
    rings = np.concatenate(
        [
            [(0.0, 0.0)],
            *(radius * s * np.column_stack([np.cos(angles), np.sin(angles)]) for s in (1 / 3, 2 / 3, 1)),
        ]
    )
    across = np.array([facing(t)[:, :2] for t in tangents_along(curve, along)])
    return (points_along(curve, along)[:, None] + np.einsum("nij,kj->nki", across, rings)).reshape(-1, 3)


@pytest.mark.parametrize("seed", range(40))
def test_no_point_of_the_tube_anywhere_in_the_travel_is_nearer_than_the_low(seed):
    curve, radius, solid, movement = a_random_scene(np.random.default_rng(seed))
    bodies = assembled([solid], [movement])
    near = interval(curve, radius, bodies)
    points = points_of_tube(curve, radius, np.linspace(0, length(curve), 40))
    for travel in (0.0,) if movement is None else np.linspace(0, 1, 7):
        found, _ = point_distances(points, np.full(len(points), travel), bodies)
        assert found.min() >= near.lows[0] - 1e-9


@pytest.mark.parametrize("seed", range(40))
def test_the_high_is_attained_where_it_is_said_to_be(seed):
    curve, radius, solid, movement = a_random_scene(np.random.default_rng(seed))
    bodies = assembled([solid], [movement])
    near = interval(curve, radius, bodies)
    assert near.points[0] == pytest.approx(points_along(curve, near.alongs)[0], abs=1e-6)
    found, _ = point_distances(near.touches, near.travels, bodies)
    assert found[0, 0] <= 1e-6
    points = points_of_tube(curve, radius, np.clip(near.alongs, 0, length(curve)))
    found, _ = point_distances(points, np.full(len(points), near.travels[0]), bodies)
    # The ring's twenty-four points leave out 1 - cos(7.5 degrees) of the radius, and slope is one at most.
    lateral = 2 * radius * np.sin(np.pi / 48)
    assert found.min() <= max(near.highs[0], 0.0) + lateral + 1e-6


@pytest.mark.parametrize("seed", range(12))
def test_moved_rigidly_or_run_backwards_nothing_changes_but_the_arc_length(seed):
    rng = np.random.default_rng(100 + seed)
    curve, radius, solid, _ = a_random_scene(rng)
    hinge = Hinge(point=rng.uniform(-40, 40, 3), axis=rng.normal(size=3), angle=0.6)
    near = interval(curve, radius, assembled([solid], [hinge]))
    frame = rigid(rotation_about(rng.normal(size=3), rng.uniform(0, 3)), rng.uniform(-500, 500, 3))
    turned = Hinge(point=points_from(frame, hinge.point), axis=frame[:3, :3] @ hinge.axis, angle=hinge.angle)
    moved = Curve(
        starts=points_from(frame, curve.starts),
        tangents=curve.tangents @ frame[:3, :3].T,
        normals=curve.normals @ frame[:3, :3].T,
        curvatures=curve.curvatures,
        lengths=curve.lengths,
        begins=curve.begins,
    )
    for other in (
        interval(moved, radius, assembled([placed(solid, frame)], [turned])),
        interval(backwards(curve), radius, assembled([solid], [hinge])),
    ):
        assert abs(other.highs[0] - near.highs[0]) <= 2 * TOLERANCE
        assert other.lows[0] <= near.highs[0]
        assert near.lows[0] <= other.highs[0]


def backwards(curve):
    ends = [points_along(curve, curve.begins[1:]), tangents_along(curve, curve.begins[1:])]
    angles = (curve.curvatures * curve.lengths)[:, None]
    normals = curve.normals * np.cos(angles) - curve.tangents * np.sin(angles) * (angles > 0)
    return Curve(
        starts=ends[0][::-1],
        tangents=-ends[1][::-1],
        normals=normals[::-1],
        curvatures=curve.curvatures[::-1],
        lengths=curve.lengths[::-1],
        begins=curve.begins[-1] - curve.begins[::-1],
    )


def test_a_curve_cut_into_many_pieces_measures_the_same():
    curve = straight((-40, 3, 9), (40, -5, 6))
    cut = rounded_polyline(points_along(curve, np.linspace(0, length(curve), 30)), np.zeros(28))
    for bodies in (WALL, assembled([cylinder((0, -9, 0), (3, 9, 1), 2.0)], [None])):
        assert interval(cut, 2.0, bodies).highs[0] == pytest.approx(
            interval(curve, 2.0, bodies).highs[0], abs=TOLERANCE
        )


def test_all_pairs_within_reach_and_no_others_in_order():
    bodies = assembled([box(rigid(np.eye(3), (x, 0, 0)), (5, 5, 5)) for x in (0, 20, 40, 400)], [None] * 4)
    curves = [
        straight((-10, 2, 12), (60, 2, 12)),
        straight((0, 2, 30), (60, 2, 30)),
        straight((42, 2, 8), (42, 2, 90)),
    ]
    near = least_distances(curves, [1.0, 1.0, 1.0], bodies, 6.5)
    assert list(zip(near.curves.tolist(), near.bodies.tolist(), strict=True)) == [
        (0, 0),
        (0, 1),
        (0, 2),
        (2, 2),
    ]
    assert near.highs == pytest.approx([6.0, 6.0, 6.0, 3.0])
    spared = least_distances(curves, [1.0, 1.0, 1.0], bodies, 6.5, skip=[(0, 1), (2, 2)])
    assert spared.bodies.tolist() == [0, 2]


def test_given_pairs_come_back_in_their_order_even_twice_and_beyond_reach():
    bodies = assembled([box(rigid(np.eye(3), (x, 0, 0)), (5, 5, 5)) for x in (0, 20)], [None] * 2)
    curves = [straight((2, 2, 12), (2, 2, 90)), straight((22, 2, 9), (22, 2, 90))]
    pairs = [(1, 1), (0, 0), (1, 1)]
    near = distances_of_pairs(curves, [1.0, 1.0], bodies, pairs)
    assert near.highs == pytest.approx([4.0, 7.0, 4.0])
    bounded = distances_of_pairs(curves, [1.0, 1.0], bodies, pairs, reach=5.0)
    assert bounded.lows == pytest.approx([4.0, 5.0, 4.0], abs=TOLERANCE)
    assert bounded.highs[1] == np.inf


def test_the_same_again_gives_the_same_numbers():
    curve, radius, solid, movement = a_random_scene(np.random.default_rng(3))
    first, second = (interval(curve, radius, assembled([solid], [movement])) for _ in range(2))
    assert first.lows[0] == second.lows[0]
    assert first.highs[0] == second.highs[0]


def test_nothing_to_measure_is_nothing_found():
    assert len(least_distances([], [], WALL, 5.0).lows) == 0
    assert len(least_distances([straight((0, 0, 1), (0, 0, 9))], [1.0], assembled([], []), 5.0).lows) == 0
    assert len(distances_of_pairs([], [], WALL, []).lows) == 0


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: least_distances([], [], WALL, -1.0), "must not be below zero"),
        (
            lambda: least_distances([straight((0, 0, 1), (0, 0, 9))], [-1.0], WALL, 1.0),
            "must not be below zero",
        ),
        (lambda: least_distances([straight((0, 0, 1), (0, 0, 9))], [], WALL, 1.0), "radii: shape"),
        (lambda: distances_of_pairs([], [], WALL, [(0, 0)]), "not there"),
        (lambda: least_distances([], [], WALL, 1.0, skip=[(0, 3)]), "not there"),
    ],
)
def test_what_cannot_be_measured_is_refused_by_name(call, words):
    with pytest.raises(ValueError, match=words):
        call()
