import math

import numpy as np
import pytest
import shapely
from shapely import Polygon

from routeviz.geometry.convex import circle_corners, convex_parts, corner_turns


def covers_exactly(parts, outline):
    pieces = [Polygon(part) for part in parts]
    assert all((corner_turns(part) >= -1e-12).all() for part in parts)
    assert sum(piece.area for piece in pieces) == pytest.approx(outline.area)
    assert shapely.union_all(pieces).symmetric_difference(outline).area < 1e-9 * outline.area


def test_a_board_with_one_square_opening_falls_into_four_rectangles():
    board = Polygon(shapely.box(0, 0, 100, 60).exterior, [shapely.box(20, 20, 40, 40).exterior])
    parts = convex_parts(board)
    assert len(parts) == 4
    covers_exactly(parts, board)


def test_equal_spans_join_across_strips_that_an_opening_elsewhere_cuts():
    board = Polygon([(0, 0), (10, 0), (10, 5), (6, 5), (6, 3), (4, 3), (4, 5), (0, 5)])
    parts = convex_parts(board)
    assert len(parts) == 3
    covers_exactly(parts, board)


def test_a_slanted_board_with_a_round_hole_falls_into_convex_parts_fewer_than_its_corners():
    hole = circle_corners((30, 25), 10.0, 0.01)
    board = Polygon([(0, 0), (60, 5), (55, 60), (-5, 45)], [hole])
    parts = convex_parts(board)
    assert len(parts) <= len(hole)
    covers_exactly(parts, board)


def test_a_convex_outline_stays_whole():
    assert len(convex_parts(Polygon([(0, 0), (5, 1), (6, 4), (2, 6), (-1, 3)]))) == 1


@pytest.mark.parametrize("radius", [0.005, 1.0, 10.0, 500.0])
def test_a_round_hole_is_never_wider_than_true_and_narrower_by_at_most_the_sagitta(radius):
    corners = circle_corners((1, 2), radius, 0.01) - (1, 2)
    middles = 0.5 * (corners + np.roll(corners, -1, axis=0))
    assert np.hypot(*corners.T) == pytest.approx(np.full(len(corners), radius))
    assert radius - np.hypot(*middles.T).min() <= 0.01 * (1 + 1e-9)
    assert Polygon(corners).exterior.is_ccw


def test_the_sides_of_a_round_hole_follow_from_the_sagitta():
    # r (1 - cos(pi / n)) <= s with r = 10, s = 0.01: pi / acos(0.999) = 70.2, so 71 sides.
    assert len(circle_corners((0, 0), 10.0, 0.01)) == math.ceil(70.2)


@pytest.mark.parametrize("outline", [Polygon(), Polygon([(0, 0), (2, 2), (2, 0), (0, 2)])])
def test_an_outline_without_area_or_that_crosses_itself_is_refused(outline):
    with pytest.raises(ValueError, match="one valid polygon"):
        convex_parts(outline)
