"""stretch on both sides of its limits: a straight tube of 300, and 11 over each nipple: 322 are needed."""

import pytest
from builders import place, with_nipple, with_tube, with_tubing
from verdicts import a_tube, a_tube_up, findings, limits, severity


@pytest.mark.parametrize(
    ("cut", "expected"), [(321.9, "fault"), (322.1, None), (338.0, None), (338.2, "caution")]
)
def test_a_tube_cut_too_short_is_a_fault_and_much_too_long_a_caution(tmp_path, cut, expected):
    # 5 % of slack: 322 x 1.05 = 338.1; what is within 0.05 of a limit keeps it
    found = findings(tmp_path, "stretch", a_tube_up(cut=cut))
    assert severity(found) == expected
    if found:
        assert found[0].low == cut
        assert found[0].limit == pytest.approx(322 if expected == "fault" else 338.1, abs=0.01)


@pytest.mark.parametrize(("cut", "expected"), [(320.9, "fault"), (321.1, "caution")])
def test_the_tape_s_doubt_is_in_the_tube_s_favour(tmp_path, cut, expected):
    assert severity(findings(tmp_path, "stretch", a_tube_up(cut=cut), top=limits(survey=1))) == expected


def test_a_bend_is_shorter_than_its_corner(tmp_path):
    # two legs of 100, each shorter by 50, and a quarter turn of 50: 100 + 78.54; with both nipples 200.54
    for cut, expected in ((200.4, "fault"), (200.6, None)):
        bent = a_tube("a", [(0, 0, 0), (0, 0, 100), (100, 0, 100)], ("up", "left"), radius=50, cut=cut)
        assert severity(findings(tmp_path, "stretch", bent)) == expected


@pytest.mark.parametrize(("cut", "expected"), [(350.9, "fault"), (351.1, None)])
def test_what_is_to_be_left_over_at_a_loose_end_is_needed_too(tmp_path, cut, expected):
    # 300, 11 over the one nipple, 40 spare
    foot = with_nipple("foot", (0, 0, 0), outside=4.5)
    loose = with_tube("foot 1", "loose", name="a", corners=[], ends_at=place(0, 0, 300), spare=40, cut=cut)
    assert severity(findings(tmp_path, "stretch", foot, loose)) == expected


@pytest.mark.parametrize(("longest", "expected"), [(299.9, "fault"), (300.1, None)])
def test_a_tubing_may_set_the_longest(tmp_path, longest, expected):
    kind = with_tubing("note", longest=longest)
    assert severity(findings(tmp_path, "stretch", a_tube_up(), kind)) == expected
