import numpy as np
import pytest

from routeviz.geometry.blocks import box, cylinder
from routeviz.geometry.envelopes import swept_boxes
from routeviz.geometry.frames import points_from, rigid, rotation_about
from routeviz.geometry.shapes import Hinge, Slide, assembled, pose, rims


@pytest.mark.parametrize("angle", [0.05, -0.9, 3.0, -6.5])
def test_the_box_of_a_turning_piece_holds_it_throughout_and_is_hardly_larger(angle):
    tilted = rigid(rotation_about((1, 2, 3), 0.5), (30, 0, 0))
    bodies = assembled(
        [box(tilted, (5, 40, 3)), cylinder((10, 0, 0), (20, 9, 5), 4.0)],
        [Hinge(point=np.array([1.0, 2.0, 3.0]), axis=np.array([0.2, 0.3, 1.0]), angle=angle)] * 2,
    )
    lows, highs = swept_boxes(bodies)
    for piece in (0, 1):
        moved = np.array(
            [points_from(pose(bodies, piece, t), rims(bodies.pieces, piece)) for t in np.linspace(0, 1, 801)]
        ).reshape(-1, 3)
        assert (moved >= lows[piece] - 1e-9).all()
        assert (moved <= highs[piece] + 1e-9).all()
        # The bulge of 0.05 rad either way on an arm under 70, and what 64 corners leave out of a disc.
        assert np.abs(moved.min(axis=0) - lows[piece]).max() < 70 * 0.05**2
        assert np.abs(moved.max(axis=0) - highs[piece]).max() < 70 * 0.05**2


def test_the_box_of_a_sliding_piece_runs_from_rest_to_full_travel():
    bodies = assembled([box(np.eye(4), (1, 2, 3))], [Slide(direction=np.array([0.0, 0.0, 1.0]), length=-7.0)])
    lows, highs = swept_boxes(bodies)
    assert lows[0] == pytest.approx((0, 0, -7))
    assert highs[0] == pytest.approx((1, 2, 3))
