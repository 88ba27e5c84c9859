import numpy as np
import pytest
from builders import a_table, extent, place, with_box, with_nipple, with_part, with_tube
from lays import a_lay

from routeviz.tubes.windows import Windows, free_lengths, windows_of


def a_chest(**more):
    """A box with a nipple up from the middle of its top."""
    row = {"holes": "1", "first": place(50, 50, 100)}
    size = extent(100, 100, 100)
    return with_part(
        "chest", kind="box", at=place(-50, -50, -100), size=size, faces="up", outside=4.5, rows=[row], **more
    )


def rows(windows):
    columns = (windows.tubes, windows.solids, windows.begins, windows.ends)
    return list(zip(*(column.tolist() for column in columns), strict=True))


def of_a_tube(folder, *pieces, **more):
    head = with_nipple("head", (0, 0, 400), faces="down", outside=4.5)
    cabinet, tubes = a_lay(folder, *pieces, head, with_tube("chest 1", "head 1", corners=[], **more))
    names = [solid.name for solid in cabinet.solids]
    return [(names[s], round(a, 6), round(b, 6)) for _, s, a, b in rows(windows_of(cabinet, tubes))]


def test_next_to_its_nipple_a_tube_is_excused_for_its_outside(tmp_path):
    # 5.56 is more than the clearance of 2 and half the outside, 4.78.
    assert of_a_tube(tmp_path, a_chest()) == [("chest", 0.0, 5.56)]


def test_where_the_carrier_asks_for_more_the_excuse_is_longer(tmp_path):
    # 7 and half the outside: 9.78.
    assert of_a_tube(tmp_path, a_chest(clearance=7)) == [("chest", 0.0, 9.78)]


def test_the_end_is_excused_as_the_start_is(tmp_path):
    head = with_nipple("head", (0, 0, 400), faces="down", outside=4.5)
    cabinet, tubes = a_lay(tmp_path, a_chest(), head, with_tube("head 1", "chest 1", corners=[]))
    assert rows(windows_of(cabinet, tubes)) == [(0, 0, pytest.approx(394.44), 400.0)]


def test_a_tie_excuses_half_its_width_and_the_outside_to_each_side(tmp_path):
    # 200 -+ (5 + 5.56).
    rail = with_box("rail", (4, -50, 190), (20, 100, 20))
    found = of_a_tube(tmp_path, a_chest(), rail, ties=[{"along": 200, "to": "rail"}])
    assert ("rail", 189.44, 210.56) in found
    assert len(found) == 2


def test_a_tie_near_an_end_stops_there(tmp_path):
    rail = with_box("rail", (4, -50, 390), (20, 100, 20))
    assert ("rail", 387.44, 400.0) in of_a_tube(
        tmp_path, a_chest(), rail, ties=[{"along": 398, "to": "rail"}]
    )


def test_a_tie_excuses_nothing_that_moves(tmp_path):
    slide = {"slides": "right", "travel": 10}
    rail = with_box("rail", (4, -50, 190), (20, 100, 20), motion=slide)
    assert of_a_tube(tmp_path, a_chest(), rail, ties=[{"along": 200, "to": "rail"}]) == [("chest", 0.0, 5.56)]


def test_a_limit_for_all_that_stands_still_counts_as_the_carrier_s_own(tmp_path):
    assert of_a_tube(tmp_path, a_table("clearance", fixed=6), a_chest()) == [("chest", 0.0, 8.78)]


def windows(*found):
    tubes, solids, begins, ends = (np.array(column) for column in zip(*found, strict=True))
    return Windows(tubes=tubes, solids=solids, begins=begins.astype(float), ends=ends.astype(float))


def test_free_is_what_lies_between_the_windows_of_a_tube_and_a_solid():
    found = rows(free_lengths(windows((0, 3, 0, 5), (0, 3, 40, 60), (0, 4, 10, 20), (1, 3, 0, 7))))
    end = float("inf")
    assert found == [(0, 3, 5, 40), (0, 3, 60, end), (0, 4, 0, 10), (0, 4, 20, end), (1, 3, 7, end)]


def test_windows_that_overlap_leave_nothing_free_between_them():
    found = rows(free_lengths(windows((0, 3, 10, 30), (0, 3, 20, 25), (0, 3, 28, 50))))
    assert found == [(0, 3, 0, 10), (0, 3, 50, float("inf"))]


def test_no_windows_leave_no_lengths():
    none = np.zeros(0, np.int64)
    assert rows(free_lengths(Windows(tubes=none, solids=none, begins=np.zeros(0), ends=np.zeros(0)))) == []
