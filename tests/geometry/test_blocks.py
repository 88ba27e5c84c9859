import numpy as np
import pytest
import shapely

from routeviz.geometry.blocks import box, cylinder, prism, triangles
from routeviz.geometry.frames import rigid, rotation_about
from routeviz.geometry.shapes import rims

HERE = np.eye(4)


def test_a_box_stands_on_its_corner_along_the_axes_of_its_frame():
    turned = rigid(rotation_about((0, 0, 1), np.pi / 2), (10, 0, 0))
    corners = rims(box(turned, (4, 2, 6)), 0).reshape(-1, 3)
    assert corners.min(axis=0) == pytest.approx((8, 0, 0), abs=1e-12)
    assert corners.max(axis=0) == pytest.approx((10, 4, 6))


def test_a_prism_rises_from_the_plane_of_its_outline():
    corners = rims(prism(HERE, shapely.Polygon([(0, 0), (4, 0), (1, 3)]), 5.0), 0)
    assert corners[0, :, 2] == pytest.approx(0.0)
    assert corners[1, :, 2] == pytest.approx(5.0)
    assert {tuple(c) for c in np.round(corners[0, :, :2], 9).tolist()} == {(0, 0), (4, 0), (1, 3)}


def test_a_bar_has_its_rims_square_to_its_length_at_its_radius():
    first, last = rims(cylinder((1, 2, 3), (1, 7, 3), 2.0), 0)
    assert first[:, 1] == pytest.approx(2.0)
    assert last[:, 1] == pytest.approx(7.0)
    assert np.linalg.norm(first - (1, 2, 3), axis=1) == pytest.approx(2.0)


def test_a_triangle_of_a_mesh_keeps_its_three_corners():
    points = np.array([(0.0, 0.0, 0.0), (4.0, 1.0, 0.0), (1.0, 3.0, 2.0)])
    pieces = triangles(points, [(0, 1, 2), (2, 1, 0)])
    for index in (0, 1):
        corners = rims(pieces, index)[0]
        gaps = np.linalg.norm(corners[:, None] - points[None], axis=2).min(axis=0)
        assert gaps == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize(
    "points",
    [[(0, 0, 0), (4, 0, 0), (1, 0, 0)], [(1, 2, 3), (1, 2, 3), (1, 2, 3)], [(0, 0, 0), (0, 0, 0), (0, 5, 0)]],
)
def test_a_triangle_without_height_stays_as_a_strip_of_next_to_no_width(points):
    corners = rims(triangles(points, [(0, 1, 2)]), 0)[0]
    assert corners.min(axis=0) == pytest.approx(np.min(points, axis=0), abs=1e-8)
    assert corners.max(axis=0) == pytest.approx(np.max(points, axis=0), abs=1e-8)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: box(HERE, (1, 0, 1)), "size: must be above zero"),
        (lambda: prism(HERE, shapely.box(0, 0, 1, 1), 0.0), "height: must be above zero"),
        (lambda: cylinder((0, 0, 0), (1, 0, 0), 0.0), "radius: must be above zero"),
        (lambda: cylinder((0, 0, 0), (0, 0, 0), 1.0), "no direction"),
        (lambda: triangles([(0, 0, 0)], [(0, 0, 1)]), "vertex that is not there"),
        (lambda: triangles([(0, 0, float("nan"))], [(0, 0, 0)]), "not finite"),
    ],
)
def test_what_cannot_be_a_solid_is_refused_by_name(make, words):
    with pytest.raises(ValueError, match=words):
        make()
