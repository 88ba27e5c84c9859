"""How far places may fall: worked by hand for boxes under, beside and above."""

import math

import numpy as np
import pytest

from routeviz.geometry.blocks import box
from routeviz.geometry.falling import NOBODY, Places, nearest_bodies, rooms_below
from routeviz.geometry.shapes import Hinge, Slide, assembled

DOWN = np.array([0.0, 0.0, -1.0])


def block(low, size):
    """A box by its lowest corner and its size."""
    frame = np.eye(4)
    frame[:3, 3] = low
    return box(frame, size)


def places(*points, tangent=(1.0, 0.0, 0.0), radius=2.0, excused=NOBODY):
    n = len(points)
    return Places(
        np.array(points, float), np.tile(tangent, (n, 1)), np.full(n, radius), np.full((n, 2), excused)
    )


def room(point, *solids, asked=2.0, spare=1.0, deepest=50.0, down=DOWN, movements=None, **more):
    bodies = assembled(list(solids), list(movements or [None] * len(solids)))
    (found,) = rooms_below(
        places(point, **more), bodies, np.full(len(solids), asked), down=down, spare=spare, deepest=deepest
    )
    return found


FLOOR = block((-100, -100, -30), (200, 200, 10))  # its top 20 below z = 0


def test_over_a_floor():
    assert room((0, 0, 0), FLOOR) == pytest.approx(20 - 2 - 2 - 1, abs=0.02)
    assert room((0, 0, 0), FLOOR, deepest=9) == 9
    assert room((0, 0, 100), FLOOR) == 50


def test_which_way_is_down():
    assert room((0, 0, 0), FLOOR, down=-DOWN) == 50
    slanting = np.array([0, math.sin(1.0), -math.cos(1.0)])
    assert room((0, 0, 0), FLOOR, down=slanting) == pytest.approx(15 / math.cos(1.0), abs=0.02)


def test_past_an_edge_it_is_the_distance_that_counts():
    # The edge is 3 aside and 20 below; 5 from it to the centreline is too near: at 4 above the edge.
    edge = block((3, -100, -30), (50, 200, 10))
    assert room((0, 0, 0), edge, tangent=(0, 1, 0)) == pytest.approx(20 - 4, abs=0.02)
    assert room((-2.1, 0, 0), edge, tangent=(0, 1, 0)) == 50


def test_what_is_beside_or_above_is_not_come_nearer():
    assert room((0, 0, 0), block((5, -50, -90), (10, 100, 150)), tangent=(0, 1, 0)) == 50
    assert room((0, 0, 0), block((-50, -50, 4.5), (100, 100, 10))) == 50


def test_with_little_to_spare_half_of_it_is_used():
    near = block((-100, -100, -14.6), (200, 200, 10))  # 4.6 below: 0.6 beyond what is asked
    assert room((0, 0, 0), near) == pytest.approx(0.3, abs=0.02)


def test_what_is_too_near_already_may_come_no_nearer():
    near = block((-100, -100, -13), (200, 200, 10))
    assert room((0, 0, 0), near) == pytest.approx(0, abs=0.02)
    assert room((0, 0, 0), near, excused=0) == 50


def test_a_tube_that_runs_down_has_a_flat_end():
    assert room((0, 0, 0), FLOOR, tangent=(0, 0, 1)) == pytest.approx(20 - 2 - 1, abs=0.02)


def test_of_two_the_higher_counts():
    solids = [FLOOR, block((-5, -5, -20), (10, 10, 8))]
    assert room((0, 0, 0), *solids) == pytest.approx(12 - 5, abs=0.02)
    assert room((30, 0, 0), *solids) == pytest.approx(15, abs=0.02)


def test_anywhere_in_the_travel():
    rises = Slide(direction=np.array([0, 0, 1.0]), length=8.0)
    assert room((0, 0, 0), FLOOR, movements=[rises]) == pytest.approx(15 - 8, abs=0.02)
    # A lever about y at x = 0, turned by half a right angle: its top is then at z = x - 20.
    lever = block((0, -5, -30), (100, 10, 10))
    turns = Hinge(point=np.array([0, 0, -20.0]), axis=np.array([0, -1.0, 0]), angle=math.pi / 4)
    assert room((80, 0, 60), lever) == 50
    assert room((60, 0, 60), lever, movements=[turns], tangent=(0, 1, 0)) == pytest.approx(
        20 - 5 * math.sqrt(2), abs=0.02
    )


def test_nearest_bodies():
    bodies = assembled(
        [FLOOR, block((10, -5, -5), (10, 10, 10)), block((-20, -5, -5), (10, 10, 10))], [None] * 3
    )
    every = np.ones(3, dtype=bool)
    points = np.array([(0.0, 0, 0), (4, 0, 0), (0, 0, 70), (0, 0, -25)])
    nearest, distances = nearest_bodies(points, bodies, every, 30.0)
    assert nearest.tolist() == [1, 1, NOBODY, 0]
    assert distances.tolist() == pytest.approx([10, 6, math.inf, 0])
    nearest, _ = nearest_bodies(points, bodies, np.array([True, False, False]), 30.0)
    assert nearest.tolist() == [0, 0, NOBODY, 0]
    nearest, _ = nearest_bodies(points, bodies, np.zeros(3, dtype=bool), 30.0)
    assert (nearest == NOBODY).all()
