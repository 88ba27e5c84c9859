"""squeeze on both sides of its limit: two tubes straight up beside each other. Arithmetic by hand."""

import pytest
from builders import place
from verdicts import RADIUS, a_tube, a_tube_up, findings, limits, severity, the_one


def two(gap, **more):
    return a_tube_up("a", outside=3.97), a_tube_up("b", (2 * RADIUS + gap, 0, 0), outside=3.97, **more)


@pytest.mark.parametrize(
    ("gap", "expected"), [(-0.1, "fault"), (-0.06, "fault"), (-0.04, None), (0.0, None), (0.1, None)]
)
def test_neighbours_may_touch_but_not_run_into_each_other(tmp_path, gap, expected):
    found = findings(tmp_path, "squeeze", *two(gap))
    assert severity(found) == expected
    if found:
        assert (found[0].tube, found[0].other) == ("a", "b")
        assert found[0].low == pytest.approx(gap, abs=0.05)


@pytest.mark.parametrize(("gap", "expected"), [(1.9, "fault"), (2.1, None)])
def test_a_scene_may_ask_for_room_between_tubes(tmp_path, gap, expected):
    assert severity(findings(tmp_path, "squeeze", *two(gap), top=limits(tubes=2))) == expected


def test_two_rows_at_nine_to_the_inch_are_a_legal_lay(tmp_path):
    # every second hole: 2 x 25.4 / 9 = 5.644 apart, 0.084 between tubes of 5.56
    assert findings(tmp_path, "squeeze", *two(2 * 25.4 / 9 - 5.56)) == []


@pytest.mark.parametrize(("gap", "expected"), [(-0.9, "caution"), (-1.1, "fault")])
def test_a_tube_that_was_taped_has_the_tape_s_doubt_in_its_favour(tmp_path, gap, expected):
    taped = {"measured": [place(2 * RADIUS + gap, 0, 150)]}
    assert severity(findings(tmp_path, "squeeze", *two(gap, **taped), top=limits(survey=1))) == expected


def test_drawn_tubes_have_no_such_excuse(tmp_path):
    assert severity(findings(tmp_path, "squeeze", *two(-0.9), top=limits(survey=1))) == "fault"


def test_sleeves_over_thick_nipples_meet_before_the_tubes_do(tmp_path):
    # over a nipple of 5: sqrt(5.56^2 - 3.97^2 + 5^2) = sqrt(40.1527) = 6.337 outside; tubes 6.2 apart
    tubes = a_tube_up("a", outside=5), a_tube_up("b", (6.2, 0, 0), outside=5)
    one = the_one(findings(tmp_path, "squeeze", *tubes))
    assert one.low == pytest.approx(6.2 - 40.1527**0.5, abs=0.05)


@pytest.mark.parametrize(("gap", "expected"), [(-0.1, "fault"), (0.1, None)])
def test_tubes_that_cross_square_meet_at_one_place(tmp_path, gap, expected):
    across = a_tube("b", [(2 * RADIUS + gap, -150, 150), (2 * RADIUS + gap, 150, 150)], ("back", "front"))
    found = findings(tmp_path, "squeeze", a_tube_up("a"), across)
    assert severity(found) == expected
    if found:
        assert found[0].along_mm == pytest.approx(150, abs=3)
