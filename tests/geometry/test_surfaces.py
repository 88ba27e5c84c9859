import numpy as np
import pytest
import trimesh
from mesh_files import CUBE, SIDES

from routeviz.geometry.surfaces import heights, is_closed, merged, spans


def test_corners_equal_to_the_last_bit_become_one():
    points, triangles = merged(CUBE[SIDES])
    assert points.tolist() == CUBE.tolist()  # already in order of x, y, z
    assert triangles.tolist() == SIDES.tolist()


def test_corners_that_differ_in_the_last_bit_stay_two():
    corners = np.array(
        [[[0.0, 0, 0], [1, 0, 0], [0, 1, 0]], [[np.nextafter(0, 1), 0, 0], [1, 0, 0], [0, 1, 0]]]
    )
    assert len(merged(corners)[0]) == 4


def test_zero_and_minus_zero_are_the_same_corner():
    corners = np.array([[[0.0, 0, 0], [-0.0, -0.0, 0], [0, 1, 0]]])
    assert len(merged(corners)[0]) == 2


def test_merging_agrees_with_numpys_own_rows_on_random_corners():
    corners = np.random.default_rng(3).integers(-2, 3, (200, 3, 3)).astype(float)
    points, triangles = merged(corners)
    assert points.tolist() == np.unique(corners.reshape(-1, 3), axis=0).tolist()
    assert (points[triangles] == corners).all()


def test_no_corners_give_no_points():
    points, triangles = merged(np.empty((0, 3, 3)))
    assert points.shape == (0, 3)
    assert triangles.shape == (0, 3)


def test_a_triangles_height_is_over_its_longest_edge():
    # 3-4-5: twice the area is 12, the longest edge 5.
    points = np.array([[0.0, 0, 0], [3, 0, 0], [0, 4, 0]])
    assert heights(points, np.array([[0, 1, 2], [0, 0, 1], [0, 0, 0]])) == pytest.approx([2.4, 0, 0])


def test_a_cube_is_closed_and_stays_so_turned_inside_out():
    assert is_closed(SIDES)
    assert is_closed(SIDES[:, ::-1])


def test_a_cube_is_open_without_one_triangle_or_with_one_turned_or_doubled():
    turned = SIDES.copy()
    turned[5] = turned[5, ::-1]
    assert not is_closed(SIDES[1:])
    assert not is_closed(turned)
    assert not is_closed(np.vstack([SIDES, SIDES[:1]]))


def test_two_boxes_that_share_an_edge_are_not_closed():
    # The second cube stands on the edge from corner 6 to corner 7 of the first: four triangles meet there.
    other = np.array([6, 7, 8, 9, 10, 11, 12, 13])[SIDES]
    assert is_closed(np.vstack([SIDES, SIDES + 8]))
    assert not is_closed(np.vstack([SIDES, other]))


def test_nothing_is_not_closed():
    assert not is_closed(np.empty((0, 3), dtype=np.int64))
    assert not is_closed(np.array([[0, 0, 1]]))


def test_a_triangle_that_names_a_corner_twice_does_not_open_a_cube():
    assert is_closed(np.vstack([SIDES, [[0, 0, 1]]]))
    assert spans(np.array([[0, 0, 1], [0, 1, 2]])).tolist() == [False, True]


@pytest.mark.parametrize("seed", range(5))
def test_closedness_agrees_with_trimesh_where_triangles_are_left_out(seed):
    sphere = trimesh.creation.icosphere(subdivisions=2)
    kept = np.random.default_rng(seed).random(len(sphere.faces)) < (1.0 if seed == 0 else 0.99)
    faces = np.asarray(sphere.faces)[kept]
    other = trimesh.Trimesh(sphere.vertices, faces, process=False)
    assert is_closed(faces) == (other.is_watertight and other.is_winding_consistent)
