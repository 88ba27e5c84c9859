"""intrude on both sides of its limit: a space beside a tube straight up. Arithmetic by hand."""

import pytest
from builders import with_keep_clear
from verdicts import RADIUS, a_tube_up, findings, limits, severity, the_one


def space(gap):
    return with_keep_clear("way out", (RADIUS + gap, -50, 50), (50, 100, 200), "the action is lifted out")


@pytest.mark.parametrize(("gap", "expected"), [(-0.1, "fault"), (-0.04, None), (0.1, None), (-2.0, "fault")])
def test_the_wall_must_stay_out_of_the_space(tmp_path, gap, expected):
    found = findings(tmp_path, "intrude", a_tube_up(), space(gap))
    assert severity(found) == expected
    if found:
        assert found[0].other == "way out"
        assert found[0].low == pytest.approx(gap, abs=0.05)
        assert "the action is lifted out" in found[0].says


@pytest.mark.parametrize(("gap", "expected"), [(-0.9, "caution"), (-1.1, "fault")])
def test_what_the_tape_may_have_got_wrong_is_a_caution(tmp_path, gap, expected):
    one = the_one(findings(tmp_path, "intrude", a_tube_up(), space(gap), top=limits(survey=1)))
    assert one.severity == expected
    assert ("survey" in one.says) == (expected == "caution")


def test_a_tube_right_through_the_space_is_told_so_and_touches_nothing(tmp_path):
    one = the_one(findings(tmp_path, "intrude", a_tube_up(), space(-20)))
    assert one.says.startswith("runs through way out")
    assert findings(tmp_path, "touch", a_tube_up(), space(-20)) == []
