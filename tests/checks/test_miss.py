"""miss: through the passages that are named, in their order, the whole tube inside the rim."""

import pytest
from builders import a_table, place, with_board
from verdicts import RADIUS, a_tube, a_tube_up, findings, limits, severity, the_one


def a_gap(name="gap", up=150.0, left=-30.0, wide=60.0, thick=20.0):
    """A free-standing passage upwards, its left rim at x = left."""
    return a_table(
        f"passage.{name}",
        at=place(left, -30, up),
        size={"wide": wide, "deep": 60},
        along="up",
        thick=thick,
    )


@pytest.mark.parametrize(("gap", "expected"), [(1.9, "fault"), (2.1, None), (-1.0, "fault")])
def test_the_wall_must_stay_inside_the_rim_by_the_clearance(tmp_path, gap, expected):
    found = findings(tmp_path, "miss", a_tube_up(through=["gap"]), a_gap(left=-RADIUS - gap))
    assert severity(found) == expected
    if found:
        assert found[0].low == pytest.approx(gap, abs=0.05)
        assert found[0].says.startswith("runs 1.0 mm into the rim" if gap < 0 else "is 1.9 mm inside the rim")


@pytest.mark.parametrize(("gap", "expected"), [(0.85, "fault"), (1.05, "caution"), (2.1, None)])
def test_what_the_tape_may_have_got_wrong_is_a_caution(tmp_path, gap, expected):
    tube = a_tube_up(through=["gap"])
    found = findings(tmp_path, "miss", tube, a_gap(left=-RADIUS - gap), top=limits(survey=1))
    assert severity(found) == expected
    if found:
        assert ("survey" in found[0].says) == (expected == "caution")


def test_the_rim_counts_at_every_depth(tmp_path):
    # A tube that leans 45 degrees to the left through a passage 20 thick: at its lower face, z = 150, the
    # centreline is at x = 10; at its upper face at x = -10. Nearest to the left rim at the upper face, where
    # the wall leans out by RADIUS / cos 45 from the centreline, level: 10 + 3.932 from the middle.
    leaning = a_tube(
        "a",
        [(160, 0, 0), (-140, 0, 300)],
        ({"right": -1, "up": 1}, {"right": 1, "up": -1}),
        through=["gap"],
    )
    reach = 10 + RADIUS * 2**0.5
    assert severity(findings(tmp_path, "miss", leaning, a_gap(left=-reach - 3.0, wide=100))) is None
    assert severity(findings(tmp_path, "miss", leaning, a_gap(left=-reach, wide=100))) == "fault"


def test_a_passage_that_is_named_but_not_taken_is_a_fault(tmp_path):
    one = the_one(findings(tmp_path, "miss", a_tube_up(through=["gap"]), a_gap(left=40)))
    assert (one.severity, one.other, one.low) == ("fault", "gap", 0)


def test_a_passage_that_is_taken_but_not_named_is_a_caution(tmp_path):
    one = the_one(findings(tmp_path, "miss", a_tube_up(), a_gap()))
    assert (one.severity, one.other) == ("caution", "gap")


def test_there_and_back_again_is_not_through(tmp_path):
    back = a_tube(
        "a", [(0, 0, 0), (0, 0, 250), (40, 0, 250), (40, 0, 0)], ("up", "up"), radius=20, through=["gap"]
    )
    one = the_one(findings(tmp_path, "miss", back, a_gap(wide=120)))
    assert (one.severity, one.low) == ("fault", 0)


@pytest.mark.parametrize(("named", "expected"), [(["low", "high"], None), (["high", "low"], "fault")])
def test_passages_are_taken_in_the_order_named(tmp_path, named, expected):
    passages = a_gap("low", up=80), a_gap("high", up=200)
    assert severity(findings(tmp_path, "miss", a_tube_up(through=named), *passages)) == expected


def test_the_rim_of_a_hole_in_a_board_is_told_by_touch(tmp_path):
    hole = {"at": place(300 - RADIUS - 1.0, 270, 0), "size": {"wide": 60, "deep": 60}}
    shelf = with_board("shelf", (-300, -300, 150), (600, 600, 20), opening={"bass": hole})
    tube = a_tube_up(through=["shelf bass"])
    assert findings(tmp_path, "miss", tube, shelf) == []
    assert the_one(findings(tmp_path, "touch", tube, shelf)).low == pytest.approx(1.0, abs=0.05)
