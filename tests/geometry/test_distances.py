import numpy as np
import pytest
import shapely

from routeviz.geometry.blocks import box, cylinder, prism, triangles
from routeviz.geometry.distances import point_distances
from routeviz.geometry.frames import points_from, rigid, rotation_about
from routeviz.geometry.shapes import Hinge, Slide, assembled

HERE = np.eye(4)


def distance(point, solid, movement=None, travel=0.0):
    found, nearest = point_distances([point], [travel], assembled([solid], [movement]))
    return found[0, 0], nearest[0, 0]


# By hand, from a box of 10 by 10 by 4 on zero.
@pytest.mark.parametrize(
    ("point", "away", "nearest"),
    [
        ((5, 5, 7), 3.0, (5, 5, 4)),
        ((13, 5, 8), 5.0, (10, 5, 4)),
        ((12, 11, 6), 3.0, (10, 10, 4)),
        ((-1, 5, 2), 1.0, (0, 5, 2)),
        ((5, 5, 1), 0.0, (5, 5, 1)),
    ],
)
def test_a_point_off_a_face_an_edge_a_corner_and_inside_a_box(point, away, nearest):
    found, place = distance(point, box(HERE, (10, 10, 4)))
    assert found == pytest.approx(away)
    assert place == pytest.approx(nearest)


# By hand, from a bar of radius 3 from z = 0 to z = 10.
@pytest.mark.parametrize(
    ("point", "away"),
    [((5, 0, 5), 2.0), ((1, 1, 14), 4.0), ((6, 0, 14), 5.0), ((2, 0, 5), 0.0), ((0, 0, -1), 1.0)],
)
def test_a_point_off_the_side_the_end_and_the_rim_of_a_bar(point, away):
    assert distance(point, cylinder((0, 0, 0), (0, 0, 10), 3.0))[0] == pytest.approx(away)


def test_on_the_surface_is_not_inside_but_in_a_flat_surface_is():
    assert 0.0 < distance((5, 5, 4), box(HERE, (10, 10, 4)))[0] <= 1e-9
    assert distance((1, 1, 0), triangles([(0, 0, 0), (9, 0, 0), (0, 9, 0)], [(0, 1, 2)]))[0] == 0.0


def test_the_distance_to_a_board_with_a_hole_agrees_with_plane_geometry():
    outline = shapely.Polygon(
        [(0, 0), (60, 5), (55, 60), (-5, 45)], [shapely.Point(30, 25).buffer(10).exterior.coords]
    )
    rng = np.random.default_rng(5)
    flat, heights = rng.uniform(-30, 90, (300, 2)), rng.uniform(-20, 25, 300)
    points = np.column_stack([flat, heights])
    found, _ = point_distances(points, np.zeros(300), assembled([prism(HERE, outline, 5.0)], [None]))
    aside = shapely.distance(outline, shapely.points(flat))
    assert found[:, 0] == pytest.approx(
        np.hypot(aside, np.maximum(np.maximum(heights - 5, -heights), 0)), abs=1e-9
    )


def test_a_solid_and_a_point_turned_together_stay_as_far_apart():
    frame = rigid(rotation_about((3, -1, 2), 1.1), (40, -20, 9))
    first, near = distance((14, 3, 9), box(HERE, (10, 10, 4)))
    second, turned = distance(points_from(frame, (14, 3, 9)), box(frame, (10, 10, 4)))
    assert second == pytest.approx(first)
    assert turned == pytest.approx(points_from(frame, near))


def test_a_moved_body_is_measured_where_it_is():
    # A lid of 10 by 10 by 1, hinged along y: at a right angle it stands upright in x from -1 to 0.
    lid = Hinge(point=np.zeros(3), axis=np.array([0.0, -1.0, 0.0]), angle=np.pi / 2)
    found, nearest = distance((3, 5, 5), box(HERE, (10, 10, 1)), lid, 1.0)
    assert found == pytest.approx(3.0)
    assert nearest == pytest.approx((0, 5, 5), abs=1e-12)
    shelf = Slide(direction=np.array([0.0, 0.0, 1.0]), length=8.0)
    found, nearest = distance((5, 5, 15), box(HERE, (10, 10, 1)), shelf, 0.5)
    assert found == pytest.approx(10.0)
    assert nearest == pytest.approx((5, 5, 5))
