import numpy as np
import pytest

from routeviz.geometry.corners import inscribed_radii
from routeviz.geometry.curves import points_along, rounded_polyline, tangents_along
from routeviz.geometry.pieces import direction_in, joined, piece_boxes, point_in


def some_curves(count, seed=1):
    random = np.random.default_rng(seed)
    curves = []
    for _ in range(count):
        corners = np.cumsum(np.array([30.0, 0, 0]) + random.uniform(-25, 25, (6, 3)), axis=0)
        curves.append(rounded_polyline(corners, 0.8 * inscribed_radii(corners)))
    return curves


def test_joined_pieces_go_where_their_curves_go():
    curves = some_curves(5)
    pieces = joined(curves)
    for piece, owner in enumerate(pieces.owners):
        assert pieces.firsts[owner] <= piece < pieces.firsts[owner + 1]
        into = 0.37 * pieces.lengths[piece]
        along = [pieces.begins[piece] + into]
        assert point_in(pieces, piece, into) == pytest.approx(points_along(curves[owner], along)[0])
        assert direction_in(pieces, piece, into) == pytest.approx(tangents_along(curves[owner], along)[0])


def test_the_box_of_a_piece_holds_it_and_is_touched_on_all_six_sides():
    curves = some_curves(20)
    pieces = joined(curves)
    lows, highs = piece_boxes(pieces)
    for piece, owner in enumerate(pieces.owners):
        into = np.linspace(0, pieces.lengths[piece], 4001)
        points = points_along(
            curves[owner], np.minimum(pieces.begins[piece] + into, curves[owner].begins[-1])
        )
        assert (points >= lows[piece] - 1e-9).all()
        assert (points <= highs[piece] + 1e-9).all()
        assert points.min(axis=0) == pytest.approx(lows[piece], abs=1e-3)
        assert points.max(axis=0) == pytest.approx(highs[piece], abs=1e-3)


def test_no_curves_have_no_pieces():
    pieces = joined([])
    assert pieces.starts.shape == (0, 3)
    assert list(pieces.firsts) == [0]
