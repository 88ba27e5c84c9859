"""What is told of each tube: which end first and why, past what, how long, and what to look out for."""

import math
from dataclasses import replace

import pytest
from builders import (
    a_table,
    corners_of,
    place,
    read,
    with_board,
    with_box,
    with_nipple,
    with_row,
    with_tube,
)

from routeviz.pipeline import check_reading
from routeviz.tubes.plans import NoWay
from routeviz.views.work_order import work_order

LOW, HIGH = with_nipple("low", (0, 0, 0)), with_nipple("high", (0, 0, 400), faces="down")


def steps_of(folder, *pieces, worker="front"):
    lay = check_reading(read(folder, *pieces))
    return {lay.tubes[step.tube].name: step for step in work_order(lay, worker)}


def the_step(folder, *pieces, worker="front"):
    (step,) = steps_of(folder, *pieces, worker=worker).values()
    return step


def a_tube(**more):
    return with_tube("low 1", "high 1", name="t", **{"corners": [], **more})


def along_a_level(z=40.0, through=(), **more):
    """A tube that goes level from left to right at a height, past whatever stands between."""
    return (
        with_nipple("left", (0, 0, z), faces="right"),
        with_nipple("right", (400, 0, z), faces="left"),
        with_tube("left 1", "right 1", name="t", corners=[], through=list(through), **more),
    )


# ── which end first ──────────────────────────────────────────────────────────────────────────────────────


def test_the_lower_end_goes_on_first_where_nothing_else_tells(tmp_path):
    step = the_step(tmp_path, LOW, HIGH, a_tube())
    assert step.first_end == "low 1: it lies 400 mm lower"
    assert step.at_start


def test_the_end_farther_off_comes_before_the_lower_one(tmp_path):
    high = with_nipple("high", (0, 60, 400), faces="down")
    step = the_step(tmp_path, LOW, high, a_tube())
    assert step.first_end == "high 1: it lies 60 mm farther off, seen from the front"
    assert not step.at_start
    step = the_step(tmp_path, LOW, high, a_tube(), worker="back")
    assert step.first_end == "low 1: it lies 60 mm farther off, seen from the back"


def test_a_hidden_end_comes_before_all_others(tmp_path):
    screen = with_box("screen", (-60, -60, 340), (120, 10, 120))
    step = the_step(tmp_path, LOW, HIGH, screen, a_tube())
    assert step.first_end == "high 1: it is hidden behind screen, seen from the front"
    step = the_step(tmp_path, LOW, HIGH, screen, a_tube(), worker="back")
    assert step.first_end == "low 1: it lies 400 mm lower"


def test_what_comes_out_hides_nothing(tmp_path):
    panel = with_box("panel", (-60, -60, 340), (120, 10, 120), comes_out="front")
    assert the_step(tmp_path, LOW, HIGH, panel, a_tube()).first_end == "low 1: it lies 400 mm lower"


def test_ends_alike_leave_the_order_of_the_scene(tmp_path):
    step = the_step(tmp_path, *along_a_level())
    assert step.first_end == "left 1: either end is as easy to reach"


def test_of_a_loose_tube_the_end_with_a_nipple_goes_on_first(tmp_path):
    loose = with_tube("high 1", "loose", name="t", ends_at=place(0, 0, 0), spare=300, waits_for="the bells")
    step = the_step(tmp_path, HIGH, loose)
    assert step.first_end == "high 1: the other end is loose"
    assert "its loose end waits for the bells, 300 mm to spare" in step.look_out


# ── past what ────────────────────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize(
    ("at", "size", "says"),
    [
        ((150, -50, 0), (40, 100, 20), ("over rail",)),  # its top 20 below the axis
        ((150, -50, 60), (40, 100, 20), ("under rail",)),
        ((150, 20, -100), (40, 20, 300), ("in front of rail",)),
        ((150, -40, -100), (40, 20, 300), ("behind rail",)),
        ((150, -50, -100), (40, 100, 30), ()),  # 110 below: too far off to help
    ],
)
def test_what_stands_near_by_is_told_by_the_side_on_which_it_is_passed(tmp_path, at, size, says):
    step = the_step(tmp_path, with_box("rail", at, size), *along_a_level())
    assert step.passes == says


def test_seen_from_the_back_behind_is_the_other_side(tmp_path):
    rail = with_box("rail", (150, 20, -100), (40, 20, 300))
    assert the_step(tmp_path, rail, *along_a_level(), worker="back").passes == ("behind rail",)


def test_what_a_tube_stays_by_from_end_to_end_does_not_help(tmp_path):
    floor = with_box("floor", (-50, -50, 0), (500, 100, 20))
    assert the_step(tmp_path, floor, *along_a_level()).passes == ()


def test_the_board_that_a_tube_goes_through_is_told_as_its_passage_alone(tmp_path):
    board = with_board(
        "wall",
        (200, -60, 0),
        (10, 120, 120),
        opening={"hole": {"at": place(0, 40, 20), "size": {"deep": 40, "high": 40}}},
    )
    step = the_step(tmp_path, board, *along_a_level(through=["wall hole"]))
    assert (step.through, step.passes) == (("wall hole",), ())


def test_passages_and_what_is_passed_stand_in_the_order_in_which_the_tube_is_laid(tmp_path):
    gap = {"size": {"deep": 40, "high": 40}, "along": "right", "thick": 10}
    pieces = (
        a_table("passage.near", at=place(100, -20, 20), **gap),
        a_table("passage.far", at=place(300, -20, 20), **gap),
        with_box("first", (150, -50, 0), (20, 100, 20)),
        with_box("second", (240, -50, 0), (20, 100, 20)),
    )
    step = the_step(tmp_path, *pieces, *along_a_level(through=["near", "far"]))
    assert (step.through, step.passes) == (("near", "far"), ("over first", "over second"))
    screen = with_box("screen", (330, -100, 20), (90, 10, 40))  # before the right end
    step = the_step(tmp_path, *pieces, screen, *along_a_level(through=["near", "far"]))
    assert step.first_end.startswith("right 1: it is hidden")
    assert (step.through, step.passes) == (("far", "near"), ("over second", "over first"))


def test_never_more_than_three_things_are_told(tmp_path):
    posts = [with_box(f"post {'abcdef'[k]}", (60 + 50 * k, -50, 0), (20, 100, 20)) for k in range(6)]
    assert len(the_step(tmp_path, *posts, *along_a_level()).passes) == 3


def test_another_run_is_told_by_the_side_on_which_all_of_it_is_passed(tmp_path):
    # Three tubes from front to back, 30 above the one from left to right.
    run = (
        with_row("bar", "1..3", (150, -100, 70), (190, -100, 70), faces="back"),
        with_row("stack", "1..3", (150, 100, 70), (190, 100, 70), faces="front"),
        *(with_tube(f"bar {k}", f"stack {k}", name=f"r{k}", corners=[]) for k in (1, 2, 3)),
    )
    steps = steps_of(tmp_path, *run, *along_a_level())
    assert steps["t"].passes == ("under run 1 (bar 1..3)",)
    assert {steps[f"r{k}"].passes for k in (1, 2, 3)} == {("over run 2 (left 1)",)}


# ── how long ─────────────────────────────────────────────────────────────────────────────────────────────


def test_the_length_is_the_way_and_what_goes_over_both_nipples(tmp_path):
    low = with_nipple("low", (0, 0, 0), on_nipple=12)
    high = with_nipple("high", (0, 0, 400), faces="down", on_nipple=10)
    assert the_step(tmp_path, low, high, a_tube()).length_mm == pytest.approx(400 + 12 + 10)


def test_what_is_left_over_at_a_loose_end_belongs_to_the_length(tmp_path):
    high = with_nipple("high", (0, 0, 400), faces="down", on_nipple=10)
    loose = with_tube("high 1", "loose", name="t", ends_at=place(0, 0, 0), spare=300, corners=[])
    assert the_step(tmp_path, high, loose).length_mm == pytest.approx(400 + 10 + 300)


# ── what to look out for ─────────────────────────────────────────────────────────────────────────────────


def test_a_bend_near_the_least_is_told_with_its_place_from_the_first_end(tmp_path):
    # Up 100, round a corner of 23, 100 to the right; the tubing wants 22. The lower end goes on first.
    right = with_nipple("right", (100, 0, 100), faces="left")
    bent = with_tube("right 1", "low 1", name="t", corners=corners_of((0, 0, 100), radius=23.0))
    step = the_step(tmp_path, LOW, right, bent)
    assert step.first_end.startswith("low 1")
    middle = 100 - 23 + 23 * math.pi / 4
    assert f"bend 23 mm at {middle:.0f} mm from low 1, least 22 mm" in step.look_out
    wide = with_tube("right 1", "low 1", name="t", corners=corners_of((0, 0, 100), radius=26.0))
    assert not any(note.startswith("bend") for note in the_step(tmp_path, LOW, right, wide).look_out)


def test_ties_are_told_from_the_first_end_and_those_to_one_thing_together(tmp_path):
    post = with_box("post", (2.78, -10, 50), (20, 20, 300))
    ties = [{"along": along, "to": to} for along, to in ((60, "post"), (200, "bundle"), (330, "post"))]
    # The scene counts from the upper end, the fitter from the lower one.
    tube = with_tube("high 1", "low 1", name="t", corners=[], ties=ties)
    notes = the_step(tmp_path, LOW, HIGH, post, tube).look_out
    assert "ties at 70 and 340 mm from low 1 to post" in notes
    assert "tie at 200 mm from low 1 into the bundle" in notes


def test_many_ties_to_one_thing_are_counted(tmp_path):
    ties = [{"along": 50 * k, "to": "bundle"} for k in range(1, 7)]
    assert (
        "6 ties into the bundle, the first at 50 mm from low 1"
        in the_step(tmp_path, LOW, HIGH, a_tube(ties=ties)).look_out
    )


def test_findings_are_told_by_their_numbers(tmp_path):
    near = with_box("near", (3.5, -10, 100), (20, 20, 20))  # 0.72 off the wall, 2 are asked
    lay = check_reading(read(tmp_path, LOW, HIGH, near, a_tube()))
    number = next(n for n, f in enumerate(lay.findings, 1) if (f.rule, f.tube) == ("touch", "t"))
    (step,) = work_order(lay)
    assert any(note.startswith("see finding") and f"{number} (touch)" in note for note in step.look_out)


def test_a_way_that_is_hidden_and_a_remark_are_told_as_the_scene_has_them(tmp_path):
    step = the_step(tmp_path, LOW, HIGH, with_tube("low 1", "high 1", name="t", hidden="behind the post"))
    assert "to be traced first: its way is hidden (behind the post)" in step.look_out
    noted = the_step(tmp_path, LOW, HIGH, a_tube(note="brittle"))
    assert noted.look_out[-1] == "brittle"


def test_why_there_is_no_way_is_told(tmp_path):
    lay = check_reading(read(tmp_path, LOW, HIGH, with_tube("low 1", "high 1", name="t")))
    why = NoWay(tubes=("t",), passage=None, point=None, cause="the bed is full", frees="a larger slot")
    (step,) = work_order(replace(lay, measured=replace(lay.measured, no_ways=(why,))))
    assert "no way: the bed is full" in step.look_out
