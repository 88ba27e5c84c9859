import math

import numpy as np
import pytest

from routeviz.geometry.corners import inscribed_radii
from routeviz.geometry.crossings import plane_crossings, stretches_between
from routeviz.geometry.curves import length, points_along, reversed_curve, rounded_polyline
from routeviz.geometry.pieces import joined

UP = [0, 0, 1]


def some_curves(count, seed=5):
    random = np.random.default_rng(seed)
    curves = []
    for _ in range(count):
        steps = np.array([20.0, 0, 0]) + random.uniform(-20, 20, (7, 3))
        corners = np.vstack([np.zeros(3), np.cumsum(steps, axis=0)])
        turning = np.einsum("ij,ij->i", steps[1:], steps[:-1]) > -0.4 * 20 * 20
        if turning.all():
            try:
                curves.append(rounded_polyline(corners, 0.9 * inscribed_radii(corners)))
            except ValueError:
                continue
    return curves


def heights(curve, point, normal, count=40001):
    along = np.linspace(0, length(curve), count)
    return along, (points_along(curve, along) - point) @ (np.array(normal) / np.linalg.norm(normal))


@pytest.mark.parametrize("seed", range(4))
def test_crossings_are_where_dense_samples_change_sides(seed):
    curves, point, normal = some_curves(12, seed), np.array([35.0, 3, 1]), [1, 1, -2]
    found = plane_crossings(joined(curves), point, normal)
    assert len(found.curves) > 3
    for index, curve in enumerate(curves):
        along, height = heights(curve, point, normal)
        changes = np.nonzero(np.diff(np.sign(height)))[0]
        mine = found.curves == index
        assert found.along[mine] == pytest.approx(along[changes], abs=along[1])
        assert list(found.signs[mine]) == list(np.sign(height[changes + 1]))


@pytest.mark.parametrize("seed", range(4))
def test_stretches_hold_the_samples_between_the_planes_and_no_others(seed):
    curves, point, normal = some_curves(12, seed), np.array([35.0, 3, 1]), [1, 1, -2]
    found = stretches_between(joined(curves), point, normal, -6, 9)
    for index, curve in enumerate(curves):
        along, height = heights(curve, point, normal, 4001)
        mine = found.curves == index
        held = np.zeros(len(along), bool)
        for begin, end in zip(found.begins[mine], found.ends[mine], strict=True):
            held |= (along >= begin - 1e-9) & (along <= end + 1e-9)
        clear = np.minimum(abs(height + 6), abs(height - 9)) > 1e-7
        assert (held == ((height >= -6) & (height <= 9)))[clear].all()
        assert (found.begins[mine][1:] > found.ends[mine][:-1]).all()


def test_the_net_crossing_is_one_when_a_curve_ends_on_the_other_side_and_none_when_it_comes_back():
    over_and_back = rounded_polyline([[0, 0, -50], [0, 0, 50], [60, 0, 50], [60, 0, -20]], [20, 20])
    found = plane_crossings(joined([over_and_back]), [0, 0, 0], UP)
    assert list(found.signs) == [1, -1]
    assert found.along[0] == pytest.approx(50)


def test_an_arc_through_the_plane_is_met_where_trigonometry_says():
    """A quarter turn of radius 20 from level to straight up: 20 (1 - cos a) = 5 at a = acos(3/4)."""
    curve = rounded_polyline([[0, 0, 0], [20, 0, 0], [20, 0, 20]], [20])
    found = plane_crossings(joined([curve]), [0, 0, 5], UP)
    assert found.along == pytest.approx([20 * math.acos(0.75)])


def test_what_touches_begins_or_ends_on_the_plane_does_not_cross_it():
    """The top of the arch: corners at 40, radius 20, so that its level middle runs at 40 exactly."""
    arch = rounded_polyline([[0, 0, 0], [0, 0, 40], [90, 0, 40], [90, 0, 0]], [20, 20])
    for height in (40, 0):
        assert len(plane_crossings(joined([arch]), [0, 0, height], UP).along) == 0


def test_a_curve_that_runs_in_the_plane_crosses_in_the_middle_of_that_run():
    """Up 40, a quarter turn of 20, level from 20 + 10 pi on for 50, another quarter turn, on upwards."""
    step = rounded_polyline([[0, 0, 0], [0, 0, 40], [90, 0, 40], [90, 0, 80]], [20, 20])
    found = plane_crossings(joined([step]), [0, 0, 40], UP)
    assert found.along == pytest.approx([20 + 10 * math.pi + 25])
    assert list(found.signs) == [1]


def test_run_backwards_a_curve_crosses_at_the_same_places_the_other_way():
    curves = some_curves(12)
    point, normal = [35.0, 3, 1], [1, 1, -2]
    there = plane_crossings(joined(curves), point, normal)
    back = plane_crossings(joined([reversed_curve(curve) for curve in curves]), point, normal)
    lengths = np.array([length(curve) for curve in curves])
    order = np.lexsort((-there.along, there.curves))
    assert back.along == pytest.approx((lengths[there.curves] - there.along)[order])
    assert (back.signs == -there.signs[order]).all()


def test_a_curve_wholly_between_the_planes_is_one_stretch():
    curve = some_curves(12)[0]
    found = stretches_between(joined([curve]), [0, 0, 0], UP, -1e4, 1e4)
    assert found.begins == pytest.approx([0])
    assert found.ends == pytest.approx([length(curve)])
    assert len(stretches_between(joined([curve]), [0, 0, 0], UP, 1e4, 2e4).ends) == 0


def test_a_level_tube_lies_between_the_planes_from_end_to_end_or_not_at_all():
    pieces = joined([rounded_polyline([[0, 0, 3], [80, 0, 3]], [])])
    for low, high, reached in [(0, 9, 80), (3, 9, 80), (-9, 3, 80)]:
        found = stretches_between(pieces, [0, 0, 0], UP, low, high)
        assert (found.begins[0], found.ends[0]) == (0, reached)
    assert len(stretches_between(pieces, [0, 0, 0], UP, 4, 9).ends) == 0


def test_a_plane_that_is_none_is_refused():
    pieces = joined(some_curves(4))
    with pytest.raises(ValueError, match="normal: a direction has a length above 0"):
        plane_crossings(pieces, [0, 0, 0], [0, 0, 0])
    with pytest.raises(ValueError, match="low at most as much as high wanted, 2 and 1 given"):
        stretches_between(pieces, [0, 0, 0], UP, 2, 1)
