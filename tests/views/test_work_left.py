"""What is not laid: lead, what has no route, and what ends nobody knows where."""

import pytest
from builders import a_table, place, read, with_nipple, with_tube, with_tubing

from routeviz.pipeline import check_reading
from routeviz.views.work_left import left_of
from routeviz.views.work_order import work_order

NOTE, LEAD = with_tubing("note"), with_tubing("old", material="lead", least_bend=None)
LOW, HIGH = with_nipple("low", (0, 0, 0)), with_nipple("high", (0, 0, 300), faces="down")
ENDS_AT = place(0, 0, 200)


def the_lay(folder, *pieces):
    return check_reading(read(folder, *pieces))


def the_left(folder, *pieces):
    (left,) = left_of(the_lay(folder, *pieces))
    return left


@pytest.mark.parametrize("end", ["unknown", "missing", "cut"])
def test_a_tube_that_ends_nobody_knows_where_is_traced_though_its_route_is_known(tmp_path, end):
    left = the_left(tmp_path, LOW, with_tube("low 1", end, corners=[], ends_at=ENDS_AT))
    assert left.what == "trace"
    assert left.says.startswith(f"to be traced first: its end is {end}")
    other = the_left(tmp_path, LOW, with_tube(end, "low 1", corners=[], starts_at=ENDS_AT))
    assert other.says.startswith(f"to be traced first: its start is {end}")


@pytest.mark.parametrize("end", ["loose", "blocked"])
def test_a_tube_whose_end_waits_or_is_plugged_is_laid(tmp_path, end):
    assert the_left(tmp_path, LOW, with_tube("low 1", end, corners=[], ends_at=ENDS_AT)) is None


def test_a_hidden_tube_is_traced_and_a_stump_stays(tmp_path):
    hidden = the_left(tmp_path, LOW, HIGH, with_tube("low 1", "high 1", hidden="behind the post"))
    assert (hidden.what, hidden.says) == ("trace", "to be traced first: its way is hidden (behind the post)")
    stump = the_left(tmp_path, LOW, with_tube("low 1", "cut", hidden="flush"))
    assert (stump.what, stump.says) == ("leave", "stays as it lies: its way is hidden (flush)")


@pytest.mark.parametrize(
    "tube",
    [
        with_tube("low 1", "high 1", "old", corners=[]),
        with_tube("low 1", "high 1", "old", hidden="behind the post"),
        with_tube("low 1", "cut", "old", corners=[], ends_at=ENDS_AT),
        with_tube("low 1", "high 1", "old"),
    ],
)
def test_lead_stays_whatever_else_is_known_of_it(tmp_path, tube):
    left = the_left(tmp_path, LEAD, LOW, HIGH, tube)
    assert left.what == "leave"
    assert "neither cut nor bent" in left.says


def test_what_is_not_laid_comes_first_and_what_goes_in_behind_it_is_threaded(tmp_path):
    # As seen from the front the lead crosses before the other, which stands; if both were laid, lead would be
    # the later one, or be held aside.
    crossing = with_nipple("l", (-150, -50, 0)), with_nipple("r", (150, -50, 300), faces="down")
    corners = [
        place(-150, -50, 100, radius=20),
        place(150, -50, 200, radius=20),
    ]
    lead = with_tube("l 1", "r 1", "old", name="lead", corners=corners, ties=[{"along": 100, "to": "bundle"}])
    lay = the_lay(
        tmp_path, NOTE, LEAD, LOW, HIGH, *crossing, with_tube("low 1", "high 1", name="up", corners=[]), lead
    )
    first, second = work_order(lay)
    assert lay.tubes[first.tube].name == "lead"
    assert (first.length_mm, first.passes, first.hold, first.open_until) == (None, (), (), None)
    assert not any("tie" in note or "hold" in note for note in first.look_out)
    assert "neither cut nor bent" in first.look_out[0]
    assert (second.hold, second.open_until) == ((), None)
    tag = lay.tubes[first.tube].tag
    assert f"thread it behind tube {tag}, which lies there already" in second.look_out


def test_runs_of_which_nothing_is_laid_are_counted_last(tmp_path):
    off = with_nipple("a", (300, 0, 0)), with_nipple("b", (300, 0, 300), faces="down")
    gap = a_table("passage.gap", along="up", at=place(-20, -20, 150), size={"wide": 40, "deep": 40}, thick=10)
    lead = with_tube("low 1", "high 1", "old", corners=[], through=["gap"])
    steps = work_order(
        the_lay(tmp_path, NOTE, LEAD, LOW, HIGH, *off, gap, lead, with_tube("a 1", "b 1", corners=[]))
    )
    assert [(step.tube, step.run_number) for step in steps] == [(0, 2), (1, 1)]


def test_a_passage_that_a_route_keeps_out_of_is_not_told_on_the_way(tmp_path):
    # 40 by 40, and 100 to the right of the tube.
    gap = a_table("passage.gap", along="up", at=place(100, -20, 150), size={"wide": 40, "deep": 40}, thick=10)
    lay = the_lay(tmp_path, LOW, HIGH, gap, with_tube("low 1", "high 1", corners=[], through=["gap"]))
    (crossing,) = lay.measured.crossings
    assert crossing.net == 0
    (step,) = work_order(lay)
    assert step.through == ()
    assert any("miss" in note for note in step.look_out)
