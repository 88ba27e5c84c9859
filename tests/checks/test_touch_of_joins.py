"""A tee or coupler that stands in another part is a caution: one of them was taped wrongly."""

from pathlib import Path

import pytest
from builders import place, with_box, with_keep_clear, with_part
from verdicts import findings, limits, the_one


def a_coupler(name: str = "joint", right: float = 100, **more: object) -> str:
    """Upright, 5 across; 20 to each tip less 11 of tube leave a body from 41 to 59 above zero."""
    said = {"kind": "coupler", "at": place(right, 50, 50), "runs": "up", "long": 40, "outside": 5}
    return with_part(name, **said | more)


def wood(right: float) -> str:
    return with_box("wood", (right, 0, 0), (60, 100, 100))


@pytest.mark.parametrize(
    ("survey", "right", "told"),
    [
        # Its wall is at 100 + 2.5; half a millimetre, and the survey's doubt, may be shared. A body is
        # looked at along edges of a polygon, which is a tenth within the circle at most.
        (0, 102.1, False),
        (0, 101.8, True),
        (1, 101.1, False),
        (1, 100.8, True),
        (0, 70, True),  # wholly inside
        (0, 103, False),
    ],
)
def test_a_coupler_in_wood_is_told_beyond_what_may_be_doubted(
    tmp_path: Path, survey: float, right: float, told: bool
) -> None:
    found = findings(tmp_path, "touch", a_coupler(), wood(right), top=limits(survey=survey))
    assert [(f.severity, f.tube, f.other, f.says) for f in found] == (
        [("caution", None, "joint", "joint stands in wood")] if told else []
    )


def test_of_two_that_stand_in_each_other_it_is_told_once(tmp_path: Path) -> None:
    one = the_one(findings(tmp_path, "touch", a_coupler(), a_coupler("other", 102)))
    assert one.says in ("joint stands in other", "other stands in joint")


def test_the_branch_of_a_tee_counts_and_copies_and_clear_space_do_not(tmp_path: Path) -> None:
    """A shelf that its run is clear of by 1.5, and its branch, 9 long, is not."""
    shelf = with_box("shelf", (0, 0, 54), (200, 100, 10))
    tee = {"kind": "tee", "runs": "right", "branches": "up"}
    assert the_one(findings(tmp_path, "touch", a_coupler(**tee), shelf)).says == "joint stands in shelf"
    assert findings(tmp_path, "touch", a_coupler(**tee | {"branches": "down"}), shelf) == []
    copies = a_coupler(repeat={"count": 2, "step": place(1, 0, 0)})
    assert (
        findings(tmp_path, "touch", copies, with_keep_clear("hand", (0, 0, 0), (200, 100, 100), "it")) == []
    )


def test_what_moves_into_a_coupler_is_told_as_what_moves(tmp_path: Path) -> None:
    hammer = with_box("hammer", (60, 40, 45), (20, 20, 10), motion={"slides": "right", "travel": 40})
    assert findings(tmp_path, "touch", a_coupler(), hammer) == []
    assert the_one(findings(tmp_path, "rub", a_coupler(), hammer)).says.startswith("hammer sweeps into joint")
