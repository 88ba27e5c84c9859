import numpy as np
import pytest
import shapely

from routeviz.geometry.blocks import box, cylinder, prism
from routeviz.geometry.frames import points_from, rigid, rotation_about
from routeviz.geometry.shapes import Hinge, Slide, assembled, joined, placed, pose, rims, united

HERE = np.eye(4)


def test_joined_solids_become_bodies_in_order_with_their_corners():
    solids = [
        box(HERE, (1, 2, 3)),
        cylinder((0, 0, 0), (0, 0, 4), 1.0),
        prism(HERE, shapely.box(5, 5, 7, 8), 2.0),
    ]
    pieces = joined(solids)
    assert pieces.bodies.tolist() == [0, 1, 2]
    for index, solid in enumerate(solids):
        assert rims(pieces, index) == pytest.approx(rims(solid, 0))


def test_united_solids_are_one_body():
    assert united([box(HERE, (1, 1, 1)), cylinder((0, 0, 0), (0, 0, 4), 1.0)]).bodies.tolist() == [0, 0]


def test_nothing_joined_is_nothing():
    assert len(joined([]).halves) == 0
    assert len(assembled([], []).pieces.halves) == 0


def test_pieces_move_with_their_frame():
    frame = rigid(rotation_about((1, 1, 0), 0.4), (3, 4, 5))
    solid = box(rigid(rotation_about((0, 1, 0), 0.2), (1, 0, 0)), (1, 2, 3))
    assert rims(placed(solid, frame), 0) == pytest.approx(points_from(frame, rims(solid, 0)))


def test_pieces_cannot_be_changed():
    with pytest.raises(ValueError, match="read-only"):
        box(HERE, (1, 1, 1)).origins[0, 0] = 5.0


def test_a_key_that_dips_about_its_rail_goes_down_in_front():
    # A lever 220 long in front of the rail, which runs to the right; x right, y away, z up. By hand: pressed
    # by asin(10 / 220), a point 220 in front of the rail sinks by 220 sin(a) = 10.
    angle = np.arcsin(10 / 220)
    keys = assembled(
        [box(rigid(np.eye(3), (0, -220, 0)), (22, 220, 15))],
        [Hinge(point=np.zeros(3), axis=np.array([1.0, 0.0, 0.0]), angle=angle)],
    )
    assert points_from(pose(keys, 0, 1.0), (0, -220, 0)) == pytest.approx((0, -220 * np.cos(angle), -10))
    assert points_from(pose(keys, 0, 0.0), (0, -220, 0)) == pytest.approx((0, -220, 0))


def test_a_slide_goes_its_length_along_its_direction():
    pedal = assembled([box(HERE, (1, 1, 1))], [Slide(direction=np.array([0.0, 0.0, -2.0]), length=30.0)])
    assert points_from(pose(pedal, 0, 0.5), (1, 1, 1)) == pytest.approx((1, 1, -14))


def test_each_solid_needs_its_movement():
    with pytest.raises(ValueError, match="one a solid wanted"):
        assembled([box(HERE, (1, 1, 1))], [])
