import numpy as np
import pytest
from builders import a_table, place, with_nipple, with_tube
from lays import a_lay

from routeviz.geometry.chains import places_on
from routeviz.geometry.shapes import rims
from routeviz.tubes.sleeves import NOBODY, as_bodies, sleeves_of, stretched_outside_mm


def test_the_wall_keeps_its_section_over_a_nipple():
    # 6 outside over 4 keeps 36 - 16 = 20; over 5: sqrt(20 + 25) = 6.7082.
    assert stretched_outside_mm(6.0, 4.0, 5.0) == pytest.approx(6.7082, abs=5e-5)


def test_a_nipple_smaller_than_the_bore_stretches_nothing():
    assert stretched_outside_mm(6.0, 4.0, 3.0) == 6.0


def a_tube_between_two_nipples(folder):
    return a_lay(
        folder,
        with_nipple("low", (0, 0, 0), faces="up", outside=5),
        with_nipple("high", (0, 0, 300), faces="down", outside=4, on_nipple=8),
        with_tube("low 1", "high 1", corners=[]),
    )


def test_sleeves_lie_back_from_the_tips_and_go_on_from_the_tube_s_length(tmp_path):
    found = sleeves_of(*a_tube_between_two_nipples(tmp_path))
    assert found.tubes.tolist() == [0, 0]
    assert found.carriers.tolist() == [NOBODY, NOBODY]
    # 11 over the lower nipple unless said, 8 over the upper one.
    assert found.tips.tolist() == [[0, 0, 0], [0, 0, 300]]
    assert found.backs.tolist() == [[0, 0, -11], [0, 0, 308]]
    assert places_on(found.pieces, [0, 1], [-4.0, 303.0]).points.tolist() == [[0, 0, -4], [0, 0, 303]]
    # 5.56 over 3.97 keeps 15.1527; over 5: sqrt(40.1527) / 2 = 3.1683; over 4: sqrt(31.1527) / 2 = 2.7907.
    assert found.radii == pytest.approx([3.1683, 2.7907], abs=5e-5)


def test_as_bodies_they_are_bars_of_that_radius_between_those_ends(tmp_path):
    found = sleeves_of(*a_tube_between_two_nipples(tmp_path))
    low, high = rims(as_bodies(found).pieces, 1)
    heights = sorted({round(float(z), 6) for z in np.concatenate([low, high])[:, 2]})
    assert heights == [300, 308]
    assert np.hypot(low[:, 0], low[:, 1]) == pytest.approx(2.7907, abs=5e-5)


def test_an_end_without_a_nipple_and_a_tube_without_a_route_have_no_sleeves(tmp_path):
    cabinet, tubes = a_lay(
        tmp_path,
        with_nipple("low", (0, 0, 0), faces="up"),
        with_nipple("next", (90, 0, 0), faces="up"),
        with_nipple("other", (90, 0, 90), faces="down"),
        with_tube("low 1", "loose", corners=[], ends_at=place(0, 0, 200), spare=10),
        with_tube("next 1", "other 1"),
    )
    assert sleeves_of(cabinet, tubes).tubes.tolist() == [0]
    none = sleeves_of(cabinet, tubes[1:])
    assert len(none.tubes) == 0
    assert len(as_bodies(none).kinds) == 0


def test_a_nipple_says_how_much_goes_over_it_else_the_workshop(tmp_path):
    cabinet, tubes = a_lay(
        tmp_path,
        a_table("practice", on_nipple=14),
        with_nipple("low", (0, 0, 0), faces="up"),
        with_tube("low 1", "loose", corners=[], ends_at=place(0, 0, 200), spare=10),
    )
    assert sleeves_of(cabinet, tubes).backs.tolist() == [[0, 0, -14]]
