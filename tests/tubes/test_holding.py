import pytest
from builders import a_table, place, with_nipple, with_tube, with_tubing
from lays import a_lay

from routeviz.tubes.measures import measure


def a_slot(wide, deep):
    """A free-standing passage about the z axis."""
    size = {"wide": wide, "deep": deep}
    return a_table("passage.slot", at=place(-wide / 2, -deep / 2, 0), size=size, along="up", thick=10)


def uses(folder, passage, *tubes):
    pieces = [
        with_tubing("note"),
        with_tubing("hose", outside=12, bore=8),
        a_table("clearance", fixed=0, tubes=0),
    ]
    for n, (x, kind) in zip("abc", tubes, strict=False):
        pieces += [
            with_nipple(f"low {n}", (x, 0, -100), faces="up"),
            with_nipple(f"high {n}", (x, 0, 100), faces="down"),
            with_tube(f"low {n} 1", f"high {n} 1", kind, corners=[]),
        ]
    return measure(*a_lay(folder, passage, *pieces)).passages


def test_a_slot_as_deep_as_a_tube_holds_as_many_as_lie_in_a_row(tmp_path):
    # 4 of 5.56 need 22.24; 27.7 is not enough for 5, which need 27.8.
    (use,) = uses(tmp_path, a_slot(27.7, 5.6), (0, "note"), (8, "note"))
    assert use.tubes == (0, 1)
    assert use.bound == 4
    assert use.found >= 2  # no more are looked for than go through
    assert use.outside_mm == 5.56


def test_a_thin_tube_beside_thick_ones_adds_to_what_the_thick_ones_need(tmp_path):
    # A slot of 25 by 12 holds two of 12 and no third; four of 5.56 in a row, more in zigzag.
    (use,) = uses(tmp_path, a_slot(25, 12.01), (0, "note"), (-6, "hose"), (6, "hose"))
    assert use.outside_mm == 12
    assert use.bound == 3  # the two thick ones that fit, and the one thin one


def test_a_passage_that_nothing_goes_through_is_not_told(tmp_path):
    assert uses(tmp_path, a_slot(20, 20), (60, "note")) == ()


@pytest.mark.parametrize("count", [1, 2, 3])
def test_what_goes_through_in_excess_is_proven_without_a_search(tmp_path, count):
    tubes = [(2 * n, "hose") for n in range(count)]
    (use,) = uses(tmp_path, a_slot(24.1, 12.01), *tubes)
    assert use.bound == 2
    assert use.found >= min(count, 1)
