import numpy as np
import pytest
import shapely

from routeviz.geometry.blocks import box, cylinder, prism, triangles
from routeviz.geometry.buried import SAGITTA, buried_lengths
from routeviz.geometry.curves import length, points_along, rounded_polyline
from routeviz.geometry.distances import point_distances
from routeviz.geometry.frames import rigid, rotation_about
from routeviz.geometry.shapes import Hinge, Slide, assembled, united

HERE = np.eye(4)


def straight(first, last):
    return rounded_polyline(np.array([first, last], dtype=float), np.zeros(0))


def buried(curve, solid, movement=None, travel=0.0):
    return buried_lengths([curve], assembled([solid], [movement]), [(0, 0)], [travel])[0]


# By hand, through a box of 10 by 10 by 4 on zero.
@pytest.mark.parametrize(
    ("first", "last", "inside"),
    [
        ((5, 5, -3), (5, 5, 9), 4.0),
        ((5, 5, 1), (5, 5, 9), 3.0),
        ((-5, 5, 2), (30, 5, 2), 10.0),
        ((0, 0, 2), (10, 10, 2), 10 * np.sqrt(2)),
        ((1, 1, 1), (2, 3, 3), 3.0),
        ((-5, 5, 4), (30, 5, 4), 10.0),
        ((-5, 5, 4.001), (30, 5, 4.001), 0.0),
        ((-5, 5, 9), (30, 5, 9), 0.0),
    ],
)
def test_a_straight_tube_is_buried_between_the_faces_that_it_passes(first, last, inside):
    assert buried(straight(first, last), box(HERE, (10, 10, 4))) == pytest.approx(inside)


# By hand, across a bar of radius 5: the chord at 3 from the axis is 8; along the axis it is the length.
@pytest.mark.parametrize(
    ("first", "last", "inside"),
    [
        ((-9, 3, 5), (9, 3, 5), 8.0),
        ((1, 1, -5), (1, 1, 30), 20.0),
        ((-9, 5.001, 5), (9, 5.001, 5), 0.0),
        ((6, 0, -5), (6, 0, 30), 0.0),
    ],
)
def test_a_straight_tube_is_buried_in_a_bar_along_its_chord(first, last, inside):
    assert buried(straight(first, last), cylinder((0, 0, 0), (0, 0, 20), 5.0)) == pytest.approx(inside)


def test_what_two_pieces_hold_counts_once():
    solid = united([box(HERE, (10, 10, 4)), box(rigid(np.eye(3), (6, 0, 0)), (10, 10, 4))])
    assert buried(straight((-5, 5, 2), (30, 5, 2)), solid) == pytest.approx(16.0)


def test_a_tube_between_two_pieces_of_a_solid_is_inside_the_solid():
    solid = united([box(HERE, (10, 10, 4)), box(rigid(np.eye(3), (10, 0, 0)), (10, 10, 4))])
    assert buried(straight((10, -5, 2), (10, 30, 2)), solid) == pytest.approx(10.0)


def test_the_hole_in_a_board_does_not_count():
    board = prism(
        HERE, shapely.Polygon(shapely.box(0, 0, 30, 30).exterior, [shapely.box(10, 10, 20, 20).exterior]), 4.0
    )
    assert buried(straight((-5, 15, 2), (40, 15, 2)), board) == pytest.approx(20.0)
    assert buried(straight((15, 15, -9), (15, 15, 9)), board) == 0.0


def test_a_surface_has_no_inside():
    sheet = triangles([(-9, -9, 0), (9, -9, 0), (0, 9, 0)], [(0, 1, 2)])
    assert buried(straight((0, 0, -7), (0, 0, 20)), sheet) == 0.0


def test_a_bend_is_buried_along_its_arc():
    # A quarter turn of radius 20 about (20, 0, 20), all in the box: 10 pi of arc and the legs of 20 each.
    curve = rounded_polyline(np.array([(0, 0, 40), (0, 0, 0), (40, 0, 0)], dtype=float), np.array([20.0]))
    solid = box(rigid(np.eye(3), (-5, -5, -5)), (60, 10, 60))
    assert buried(curve, solid) == pytest.approx(10 * np.pi + 40)


def test_a_body_is_taken_where_it_is_in_its_travel():
    curve = straight((5, 5, -30), (5, 5, 30))
    aside = Slide(direction=np.array([1.0, 0.0, 0.0]), length=20.0)
    assert buried(curve, box(HERE, (10, 10, 4)), aside, 0.0) == pytest.approx(4.0)
    assert buried(curve, box(HERE, (10, 10, 4)), aside, 1.0) == 0.0
    lid = Hinge(point=np.zeros(3), axis=np.array([0.0, -1.0, 0.0]), angle=np.pi / 3)
    assert buried(curve, box(HERE, (20, 10, 4)), lid, 1.0) == pytest.approx(8.0)  # 4 / cos(60 degrees)


@pytest.mark.parametrize("seed", range(8))
def test_the_length_agrees_with_counting_points_inside(seed):
    rng = np.random.default_rng(seed)
    solid = united(
        [
            box(
                rigid(rotation_about(rng.normal(size=3), 1.0), rng.uniform(-20, 0, 3)), rng.uniform(20, 50, 3)
            ),
            cylinder(rng.uniform(-20, 0, 3), rng.uniform(0, 20, 3), 9.0),
        ]
    )
    curve = rounded_polyline(np.array([(-50, 5, 3), (8, 2, 0), (5, 50, 9)], dtype=float), np.array([25.0]))
    along = (np.arange(20000) + 0.5) * (length(curve) / 20000)
    found, _ = point_distances(points_along(curve, along), np.zeros(20000), assembled([solid], [None]))
    counted = length(curve) * float((found[:, 0] == 0).mean())
    # Counting errs by a spacing a crossing; a chord meets a face off by the sagitta over the sine of it.
    assert buried(curve, solid) == pytest.approx(counted, abs=4 * 0.01 + 10 * SAGITTA)


def test_a_pair_that_is_not_there_is_refused():
    with pytest.raises(ValueError, match="not there"):
        buried_lengths([], assembled([], []), [(0, 0)])
