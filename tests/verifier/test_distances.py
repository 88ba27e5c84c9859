"""The separate checker is held to closed forms, and python-fcl to exact distances."""

import fcl
import numpy as np
import pytest
from verifier.distances import SOLVER, between, clearance
from verifier.parts import Motion, Shape, Thing, rod, turn_of
from verifier.tubes import centreline, cut


def a_box(low, high, motion=None):
    low, high = np.array(low, float), np.array(high, float)
    halves = (high - low) / 2
    shape = Shape(fcl.Box(*(2 * halves)), np.eye(3), (low + high) / 2, float(np.linalg.norm(halves)), halves)
    return Thing("a box", "a box", "box", [shape], motion)


def a_line(*points, radii=()):
    return centreline(np.array(points, float), np.array(radii, float))


def test_a_quarter_turn_has_the_length_of_its_arc():
    line = a_line((0, 0, 0), (100, 0, 0), (100, 100, 0), radii=[40])
    # two legs of 100, each shorter by the radius, and a quarter of a circle
    assert line.length == pytest.approx(2 * 60 + np.pi / 2 * 40, abs=1e-9)
    assert line.tightest == 40
    middle = cut(line, line.length / 2 - 0.1, line.length / 2 + 0.1).points.mean(axis=0)
    # half way round, 45 degrees: centre (60, 40), so (60 + 40 sin 45, 40 - 40 cos 45)
    assert middle == pytest.approx([60 + 40 * 0.5**0.5, 40 - 40 * 0.5**0.5, 0], abs=0.01)


def test_a_tube_over_a_face_an_edge_and_a_corner_of_a_box():
    box = a_box((-50, -50, -50), (50, 50, 50))
    assert clearance(a_line((-90, 0, 60), (90, 0, 60)), 6, box).distance == pytest.approx(7, abs=SOLVER)
    # over the edge at y = 50, z = 50: 10 and 10 away
    over_edge = a_line((-90, 60, 60), (90, 60, 60))
    assert clearance(over_edge, 6, box).distance == pytest.approx(200**0.5 - 3, abs=SOLVER)
    # past the corner, the tube square to the corner's diagonal
    past = a_line((60 - 50, 60 + 50, 60), (60 + 50, 60 - 50, 60))
    assert clearance(past, 6, box).distance == pytest.approx(300**0.5 - 3, abs=SOLVER)


def test_a_tube_ends_flat():
    box = a_box((-50, -50, -50), (50, 50, 50))
    assert clearance(a_line((0, 0, 53), (0, 0, 153)), 6, box).distance == pytest.approx(3, abs=SOLVER)


@pytest.mark.parametrize(("height", "expected"), [(52, -1), (50.5, -2.5), (40, -3)])
def test_overlap_is_told_by_the_centreline_less_the_radius_and_by_no_more_than_the_radius(height, expected):
    box = a_box((-50, -50, -50), (50, 50, 50))
    line = a_line((-90, 0, height), (90, 0, height))
    assert clearance(line, 6, box).distance == pytest.approx(expected, abs=2 * SOLVER)


def test_a_shallow_overlap_is_told_though_the_centreline_is_beyond_what_is_asked_for():
    box = a_box((-50, -50, -50), (50, 50, 50))
    line = a_line((-90, 0, 52.9), (90, 0, 52.9))
    assert clearance(line, 6, box, up_to=0.6).distance == pytest.approx(-0.1, abs=SOLVER)


def test_two_tubes_that_cross_and_two_that_overlap():
    one, other = a_line((-50, 0, 0), (50, 0, 0)), a_line((0, -50, 8), (0, 50, 8))
    assert between(one, 5, other, 6).distance == pytest.approx(2.5, abs=SOLVER)
    near = a_line((0, -50, 4), (0, 50, 4))
    assert between(one, 5, near, 6).distance == pytest.approx(-1.5, abs=4 * SOLVER)


def test_a_bar_on_a_hinge_comes_nearest_inside_its_travel():
    # A bar 100 long, 2 thick, turns about the y axis through its near end from 30 deg below level to 30 deg
    # above. A tube of 6 lies across at x = 120: nearest when a far edge, hypot(100, 1) from the axis, points
    # at it.
    hinge = Motion(np.zeros(3), np.array([0.0, -1.0, 0.0]), np.radians(60))
    box = a_box((0, -10, -1), (100, 10, 1))
    start = turn_about_y(np.radians(30))
    shape = box.shapes[0]
    low = Shape(shape.geometry, start @ shape.turn, start @ shape.place, shape.reach, shape.halves)
    bar = Thing("bar", "bar", "box", [low], hinge)
    found = clearance(a_line((120, -50, 0), (120, 50, 0)), 6, bar)
    # the edge is atan(1 / 100) = 0.57 deg off the bar's middle, 0.0095 of 60 deg
    assert abs(found.travel - 0.5) == pytest.approx(0.0095, abs=0.0005)
    assert found.distance == pytest.approx(120 - (100**2 + 1) ** 0.5 - 3, abs=SOLVER)


def turn_about_y(angle):
    c, s = np.cos(angle), np.sin(angle)
    return np.array([[c, 0, s], [0, 1, 0], [-s, 0, c]])


@pytest.mark.parametrize("angle", np.linspace(0.02, 1.5, 9))
def test_a_piece_cut_out_of_a_bend_has_ends_square_to_the_bend(angle):
    bend = centreline(np.array([[0, 0, 0], [100, 0, 0], [100, 100, 0]]), np.array([60.0]))
    piece = cut(bend, 40 + 60 * angle, bend.length)  # the bend begins 100 - 60 along
    way = piece.points[1] - piece.points[0]
    assert way / np.linalg.norm(way) == pytest.approx([np.cos(angle), np.sin(angle), 0], abs=1e-4)
    back = cut(bend, 0, 40 + 60 * angle)
    way = back.points[-1] - back.points[-2]
    assert way / np.linalg.norm(way) == pytest.approx([np.cos(angle), np.sin(angle), 0], abs=1e-4)


def test_python_fcl_stays_within_its_error_on_short_cylinders_and_capsules():
    """Exact distance of a segment from a box by golden section on a convex function, first principles."""
    rng = np.random.default_rng(20)
    for _ in range(400):
        halves = rng.uniform(2, 200, 3)
        begin = rng.uniform(-1.5, 1.5, 3) * halves
        direction = rng.normal(size=3)
        direction /= np.linalg.norm(direction)
        end = begin + 10 * direction
        exact = from_box(begin, end, halves)
        box = fcl.CollisionObject(fcl.Box(*(2 * halves)), fcl.Transform())
        if exact > 2.6:
            capsule = fcl.CollisionObject(
                fcl.Capsule(2.5, 10), fcl.Transform(turn_of(direction), (begin + end) / 2)
            )
            assert fcl.distance(capsule, box) == pytest.approx(exact - 2.5, abs=SOLVER)
            wide = rod(begin, end, 2.5)
            cylinder = fcl.CollisionObject(wide.geometry, fcl.Transform(wide.turn, wide.place))
            # a cylinder lies inside its capsule, and holds the chord
            assert exact - 2.5 - SOLVER <= fcl.distance(cylinder, box) <= exact + SOLVER


def from_box(begin, end, halves):
    def far(share):
        return np.linalg.norm(np.maximum(np.abs(begin + share * (end - begin)) - halves, 0))

    low, high = 0.0, 1.0
    for _ in range(120):
        a, b = low + (high - low) / 3, high - (high - low) / 3
        low, high = (low, b) if far(a) < far(b) else (a, high)
    return far((low + high) / 2)
