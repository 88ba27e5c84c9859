"""Where points stand on a picture, as the drawing library draws them, and what views hold."""

import numpy as np
import pytest

from routeviz.views.cameras import Side, View, framed, looking, projected, scale_bar_mm

CORNERS = np.array([(x, y, z) for x in (0.0, 1500.0) for y in (0.0, 600.0) for z in (0.0, 1200.0)])


def a_side(out: tuple[float, float, float], *, parallel: bool) -> Side:
    up = (0.0, 1.0, 0.0) if out[0] == out[1] == 0.0 else (0.0, 0.0, 1.0)
    return Side(name="side", title="", out=out, up=up, parallel=parallel)


@pytest.mark.parametrize("parallel", [True, False])
@pytest.mark.parametrize("out", [(0, -1, 0), (0, 0, 1), (1, 0, 0), (0.5, -1, 0.4)])
@pytest.mark.parametrize("size", [(1600, 1000), (400, 900)])
def test_a_view_of_the_whole_holds_everything_and_little_more(
    out: tuple[float, float, float], parallel: bool, size: tuple[int, int]
) -> None:
    view = framed(a_side(out, parallel=parallel), CORNERS, size[0] / size[1])
    places, depths = projected(view, CORNERS, size)
    shares = places / size
    assert (depths > 0).all()
    assert shares.min() > 0.0
    assert shares.max() < 1.0
    assert np.ptp(shares, axis=0).max() > 0.9


def test_a_view_to_scale_shows_a_length_at_its_scale_wherever_it_lies() -> None:
    view = framed(a_side((0, -1, 0), parallel=True), CORNERS, 1.6)
    places, _ = projected(
        view, np.array([(100.0, 0, 50), (300, 0, 50), (100, 500, 50), (300, 500, 50)]), (1600, 1000)
    )
    assert places[1, 0] - places[0, 0] == pytest.approx(200.0 * 1000 / view.height_mm)
    assert places[3, 0] - places[2, 0] == pytest.approx(200.0 * 1000 / view.height_mm)


def test_in_perspective_what_is_nearer_is_larger() -> None:
    view = framed(a_side((0, -1, 0), parallel=False), CORNERS, 1.6)
    places, _ = projected(
        view, np.array([(700.0, 0, 50), (800, 0, 50), (700, 500, 50), (800, 500, 50)]), (1600, 1000)
    )
    assert places[1, 0] - places[0, 0] > places[3, 0] - places[2, 0]


@pytest.mark.parametrize("parallel", [True, False])
def test_a_point_stands_where_the_drawing_library_draws_it(parallel: bool) -> None:
    from routeviz.views.picture import aim, drawing_library

    view = looking(a_side((0.4, -1, 0.3), parallel=parallel), np.array([700.0, 300, 600]), 900.0)
    point = np.array([760.0, 250.0, 640.0])
    plotter = drawing_library().Plotter(off_screen=True, window_size=[300, 200])
    plotter.set_background("white")
    plotter.add_mesh(drawing_library().Sphere(radius=3.0, center=point), color="black", lighting=False)
    aim(plotter, view)
    seen = np.argwhere(np.asarray(plotter.screenshot(return_img=True)).sum(axis=2) < 300)
    plotter.close()
    ((x, y),), _ = projected(view, point[None], (300, 200))
    # Pixel k reaches from k to k + 1; the ball is some five pixels wide.
    assert seen.mean(axis=0)[::-1] + 0.5 == pytest.approx((x, y), abs=0.6)


@pytest.mark.parametrize(
    ("most", "long"), [(9.0, 5.0), (10.0, 10.0), (19.9, 10.0), (499.0, 200.0), (0.7, 0.5)]
)
def test_a_scale_bar_is_the_longest_round_length_that_fits(most: float, long: float) -> None:
    assert scale_bar_mm(most) == pytest.approx(long)


def test_a_view_cannot_be_changed() -> None:
    view: View = framed(a_side((0, -1, 0), parallel=True), CORNERS, 1.6)
    with pytest.raises(ValueError, match="read-only"):
        view.eye[0] = 0.0
