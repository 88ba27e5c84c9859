"""trap: which tubes lie in a part's way out, and which are joined to it."""

import pytest
from builders import extent, place, with_box, with_nipple, with_part, with_tube
from verdicts import RADIUS, a_tube_right, findings, the_one


def action(**more):
    """Comes out forwards: a box 100 wide, its front at y = 100, from z = 50 to 100."""
    return with_box("action", (0, 100, 50), (100, 100, 50), comes_out="front", **more)


@pytest.mark.parametrize(("above", "told"), [(-0.2, True), (0.1, False)])
def test_a_tube_across_the_way_out_is_named(tmp_path, above, told):
    # across in front of the action, its wall as far above the action's top as said
    tube = a_tube_right(at=(-100, 0, 100 + RADIUS + above))
    found = findings(tmp_path, "trap", action(), tube)
    if not told:
        assert found == []
        return
    one = the_one(found)
    assert (one.severity, one.other, one.tube, one.low, one.tubes) == ("note", "action", None, 1, ("a",))
    assert "across its way" in one.says


def test_what_lies_behind_it_does_not_hold_it(tmp_path):
    assert findings(tmp_path, "trap", action(), a_tube_right(at=(-100, 250, 75))) == []


def test_a_tube_that_joins_it_to_what_stays_is_named(tmp_path):
    row = {"holes": "1", "first": place(50, 50, 60)}
    chest = with_part(
        "chest",
        kind="box",
        at=place(0, 100, 50),
        size=extent(100, 100, 50),
        comes_out="front",
        faces="up",
        outside=4.5,
        rows=[row],
    )
    top = with_nipple("top", (50, 150, 400), faces="down", outside=4.5)
    one = the_one(findings(tmp_path, "trap", chest, top, with_tube("chest 1", "top 1", name="a", corners=[])))
    assert one.tubes == ("a",)
    assert "joined to it" in one.says


def test_a_part_that_stays_traps_nothing(tmp_path):
    box = with_box("action", (0, 100, 50), (100, 100, 50))
    assert findings(tmp_path, "trap", box, a_tube_right(at=(-100, 0, 75))) == []
