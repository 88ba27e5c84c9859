"""square on both sides of its limit: a first leg that leans off the nipple's line. Angles by hand."""

import math

import pytest
from verdicts import a_tube, findings, practice, severity


def leaning(degrees):
    sideways = 100 * math.tan(math.radians(degrees))
    return a_tube("a", [(0, 0, 0), (sideways, 0, 100), (sideways, 0, 300)], ("up", "down"), radius=30)


@pytest.mark.parametrize(("degrees", "expected"), [(9.9, None), (10.1, "fault")])
def test_a_tube_that_leaves_its_nipple_at_an_angle_is_a_fault(tmp_path, degrees, expected):
    found = findings(tmp_path, "square", leaning(degrees))
    assert severity(found) == expected
    if found:
        assert found[0].other == "a low 1"
        assert found[0].low == pytest.approx(degrees, abs=0.001)
        assert "10.1 degrees off its line; 10 at most" in found[0].says


def test_the_workshop_may_set_its_own_limit(tmp_path):
    assert findings(tmp_path, "square", leaning(14.9), top=practice(off_square_deg=15)) == []
    assert severity(findings(tmp_path, "square", leaning(15.1), top=practice(off_square_deg=15))) == "fault"


def test_the_far_end_is_looked_at_too_and_a_tube_that_leaves_backwards_is_far_off(tmp_path):
    backwards = a_tube("a", [(0, 0, 0), (0, 0, 300)], ("up", "up"))
    found = findings(tmp_path, "square", backwards)
    assert severity(found) == "fault"
    assert found[0].other == "a high 1"
    assert found[0].low == pytest.approx(180)
