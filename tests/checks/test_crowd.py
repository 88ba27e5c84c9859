"""crowd: how many go through an opening, against what is wanted there and what it can hold."""

import pytest
from builders import place, with_board
from verdicts import a_tube_up, findings, limits, severity


def a_shelf(side, **more):
    """A board at z = 150 with a square opening about the case's zero."""
    opening = {"at": place(300 - side / 2, 300 - side / 2, 0), "size": {"wide": side, "deep": side}, **more}
    return with_board("shelf", (-300, -300, 150), (600, 600, 20), opening={"bass": opening})


def tubes(count, apart=6.0):
    """So many tubes straight up in a row; where they touch the rim is touch's business."""
    first = -apart * (count - 1) / 2
    return [a_tube_up("abcdefgh"[i], (first + apart * i, 0, 0), through=["shelf bass"]) for i in range(count)]


@pytest.mark.parametrize(("most", "expected"), [(2, "fault"), (3, None)])
def test_more_than_are_wanted_is_a_fault(tmp_path, most, expected):
    found = findings(tmp_path, "crowd", a_shelf(60, most=most), *tubes(3))
    assert severity(found) == expected
    if found:
        assert (found[0].other, found[0].low, found[0].limit) == ("shelf bass", 3, most)
        assert found[0].tubes == ("a", "b", "c")


@pytest.mark.parametrize(("side", "said"), [(13.4, True), (13.6, False)])
def test_two_tubes_in_a_square_need_the_side_of_the_published_packing(tmp_path, side, said):
    # Two circles of radius 1 need a square of side 2 + sqrt 2 (published, see tests/published): at 2.78 that
    # is 9.491; with 2 clearance all round 13.491.
    found = findings(tmp_path, "crowd", a_shelf(side), *tubes(2))
    assert bool(found) == said


def test_more_than_can_be_got_in_is_a_fault(tmp_path):
    # 9.7 wide leaves 5.7 for tubes of 5.56: one, and never two
    assert severity(findings(tmp_path, "crowd", a_shelf(9.7), *tubes(2))) == "fault"


def test_less_clearance_holds_more(tmp_path):
    found = findings(tmp_path, "crowd", a_shelf(13.4), *tubes(2), top=limits(fixed=1.9))
    assert found == []  # 13.4 - 3.8 = 9.6, above 9.491


def test_a_round_opening_holds_what_a_circle_holds(tmp_path):
    # two circles need a circle of twice their diameter: 11.12, with clearance 15.12
    for diameter, said in ((15.0, True), (15.3, False)):
        hole = {"bass": {"at": place(300, 300, 0), "diameter": diameter}}
        shelf = with_board("shelf", (-300, -300, 150), (600, 600, 20), opening=hole)
        assert bool(findings(tmp_path, "crowd", shelf, *tubes(2))) == said


def test_turns_of_the_board_change_nothing(tmp_path):
    turned = with_board(
        "shelf",
        (300, -300, 150),
        (600, 600, 20),
        opening={"bass": {"at": place(270, 270, 0), "size": {"wide": 60, "deep": 60}, "most": 2}},
        turned={"about": "up", "by": 90},
    )
    assert severity(findings(tmp_path, "crowd", turned, *tubes(3))) == "fault"
