import numpy as np
import pytest

from routeviz.geometry.frames import (
    directions_from,
    facing,
    inverse,
    points_from,
    rigid,
    rotation_about,
    turned_about,
    unit,
)


def test_a_quarter_turn_about_z_takes_x_to_y():
    assert rotation_about((0, 0, 2), np.pi / 2) @ (1, 0, 0) == pytest.approx((0, 1, 0), abs=1e-15)


def test_a_turn_about_a_point_leaves_the_point_and_turns_the_rest():
    frame = turned_about((1, 1, 0), (0, 0, 1), np.pi)
    assert points_from(frame, (1, 1, 5)) == pytest.approx((1, 1, 5))
    assert points_from(frame, (2, 1, 0)) == pytest.approx((0, 1, 0))


@pytest.mark.parametrize("direction", [(0, 0, 1), (0, 0, -3), (1, 2, 3), (-1, 0, 0)])
def test_a_frame_that_faces_a_direction_is_a_rotation_with_its_z_along_it(direction):
    rotation = facing(direction)
    assert rotation[:, 2] == pytest.approx(unit(direction))
    assert rotation.T @ rotation == pytest.approx(np.eye(3), abs=1e-15)
    assert np.linalg.det(rotation) == pytest.approx(1.0)


def test_the_inverse_takes_points_back_and_directions_do_not_shift():
    frame = rigid(rotation_about((1, 2, 3), 0.7), (4, 5, 6))
    assert points_from(inverse(frame), points_from(frame, (7, 8, 9))) == pytest.approx((7, 8, 9))
    assert directions_from(frame, (0, 0, 0)) == pytest.approx((0, 0, 0))


def test_a_mirror_is_no_frame():
    with pytest.raises(ValueError, match="stretches or mirrors"):
        rigid(np.diag([1.0, 1.0, -1.0]), (0, 0, 0))


def test_a_vector_without_length_has_no_direction():
    with pytest.raises(ValueError, match="no direction"):
        unit((0, 0, 0))
