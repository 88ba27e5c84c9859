"""What is not as it was: each kind of change by a scene and a copy in which one thing is another."""

import math

import numpy as np
import pytest
from builders import (
    a_scene,
    a_table,
    corners_of,
    place,
    with_board,
    with_box,
    with_keep_clear,
    with_nipple,
    with_part,
    with_tube,
    with_tubing,
)
from lays_compared import example, found_between
from verdicts import a_tube_up, limits, practice

from routeviz.archive.changes import SAME_MM
from routeviz.archive.differences import differences


def the_one(changes):
    """The only change, but for the numbers of a tube that follow from where it lies."""
    (one,) = changes
    return one


@pytest.mark.parametrize("name", ["as_found", "thistledown", "first_six"])
def test_a_state_and_itself_differ_in_nothing(name):
    found = differences(example(name), example(name))
    assert found.changes == ()
    assert len(found.still) == len(example(name).findings)
    assert len(found.matches) == len(example(name).tubes)


def a_bent_tube(radius, name="a"):
    """From the zero up, and to the right."""
    corners = corners_of((0, 0, 40), (0, 0, 200), (360, 0, 200), radius=radius)
    return "\n".join(
        [
            with_nipple(f"{name} low", (0, 0, 0), faces="up", outside=4.5),
            with_nipple(f"{name} high", (400, 0, 200), faces="left", outside=4.5),
            with_tube(f"{name} low 1", f"{name} high 1", name=name, corners=corners),
        ]
    )


@pytest.mark.parametrize("by", [3.0, 0.2, 41.2])
def test_a_tube_moved_as_a_whole_lies_elsewhere_by_just_that(by, tmp_path):
    found = found_between(tmp_path, a_scene(a_tube_up()), a_scene(a_tube_up(at=(0, by, 0))))
    tube = the_one(found.of("tube"))
    assert (tube.what, tube.name, tube.unit) == ("moved", "a", "mm")
    assert (tube.low, tube.high) == pytest.approx((by, by), abs=1e-6)
    nipples = found.of("nipple", "moved")
    assert {one.name for one in nipples} == {"a low 1", "a high 1"}
    assert [one.high for one in nipples] == pytest.approx([by, by])


def test_lengths_that_are_nearer_than_what_is_measured_are_the_same(tmp_path):
    found = found_between(tmp_path, a_scene(a_tube_up()), a_scene(a_tube_up(at=(0, SAME_MM - 0.01, 0))))
    assert found.changes == ()


def test_a_corner_with_another_radius_moves_the_tube_where_that_corner_is(tmp_path):
    # The corners at 40 are straight; of the one at (0, 0, 200) two arcs touch the same legs, and lie
    # (R - r) (sqrt 2 - 1) apart; each arc shortens the way by R (2 - pi / 2).
    text = [a_scene(a_bent_tube(radius=radius)) for radius in (60, 25)]
    found = found_between(tmp_path, *text)
    moved = the_one(found.of("tube", "moved"))
    assert moved.low <= 35 * (math.sqrt(2) - 1) <= moved.high
    assert np.linalg.norm(moved.point - np.array([0, 0, 200])) < 30
    longer = {one.value: one for one in found.of("tube", "altered")}
    assert longer["centreline"].high == pytest.approx(35 * (2 - math.pi / 2), abs=1e-6)
    assert longer["length to cut"].high == pytest.approx(35 * (2 - math.pi / 2), abs=1e-6)
    assert (longer["bends"].before, longer["bends"].after) == (
        "1, the tightest 60.0 mm",
        "1, the tightest 25.0 mm",
    )
    assert found.of("part", "moved") == ()


def test_the_worst_tube_comes_first(tmp_path):
    def text(*shifts):
        places = [(50.0 * k, by, 0) for k, by in enumerate(shifts)]
        return a_scene(*(a_tube_up(f"t{k}", at=at) for k, at in enumerate(places)))

    found = found_between(tmp_path, text(0, 0, 0, 0), text(2, 9, 0, 5))
    assert [one.name for one in found.of("tube", "moved")] == ["t1", "t3", "t0"]
    assert [one.high for one in found.of("tube", "moved")] == pytest.approx([9, 5, 2])


def test_tubes_are_known_again_by_name_else_by_their_nipples_else_by_a_tag_that_was_given(tmp_path):
    tags = [a_tube_up("one", tag="A7"), a_tube_up("two", at=(0, 60, 0))]
    before = a_scene(*tags, with_nipple("spare", (0, 120, 0), outside=4.5))
    after = a_scene(
        with_nipple("one low", (0, 0, 0), outside=4.5),
        with_nipple("one high", (0, 0, 300), faces="down", outside=4.5),
        with_nipple("two low", (0, 60, 0), outside=4.5),
        with_nipple("two high", (0, 60, 300), faces="down", outside=4.5),
        with_nipple("spare", (0, 120, 0), outside=4.5),
        with_tube("spare 1", "loose", name="other", tag="A7", ends_at={"right": 0, "back": 120, "up": 300}),
        with_tube("two high 1", "two low 1", name="second", corners=[]),
    )
    found = found_between(tmp_path, before, after)
    known = {(m.before, m.after): m.by for m in found.matches}
    assert known == {(1, 1): "nipples", (0, 0): "tag"}
    renamed = {one.name: one.says for one in found.of("tube", "altered") if one.value == "name"}
    assert "on the same nipples" in renamed["second"]
    assert "with the same tag" in renamed["other"]
    assert not [
        one for one in found.of("tube", "moved") if one.name == "second"
    ]  # it only runs the other way


def test_tags_that_are_only_counted_make_no_tube_the_same(tmp_path):
    found = found_between(tmp_path, a_scene(a_tube_up("one")), a_scene(a_tube_up("two", at=(500, 0, 0))))
    assert found.matches == ()
    assert found.strangers
    assert [one.what for one in found.of("tube")] == ["removed", "added"]


def test_what_a_tube_is_and_joins_is_told_where_it_is_another(tmp_path):
    other = with_tubing("other", bore=4.2)
    holes = {"hole": {"at": {"right": 40, "back": 40}, "size": {"wide": 30, "deep": 30}}}
    board = with_board("shelf", (-55, -55, 100), (110, 110, 10), opening=holes)
    ends = [with_nipple("spare", (0, 0, 300), faces="down", outside=4.5)]
    kinds = [with_tubing("note"), other, board, *ends]
    before = a_scene(*kinds, a_tube_up())
    after = a_scene(
        *kinds,
        with_nipple("a low", (0, 0, 0), faces="up", outside=4.5),
        with_nipple("a high", (0, 0, 300), faces="down", outside=4.5),
        with_tube(
            "a low 1", "spare 1", name="a", tubing="other", through=["shelf hole"], corners=[], cut=330,
            carries="switched vacuum", label="C2", ties=[{"along": 150, "to": "bundle"}],
        ),
    )  # fmt: skip
    found = found_between(tmp_path, before, after)
    told = {one.value: (one.before, one.after) for one in found.of("tube", "altered")}
    assert told == {
        "ends": ("from a low 1 to a high 1", "from a low 1 to spare 1"),
        "passages": ("", "shelf hole"),
        "tubing": ("note", "other"),
        "carries": ("signal", "switched vacuum"),
        "label": ("", "C2"),
        "ties": ("", "150 mm to bundle"),
        "length as cut": ("", "330 mm"),
    }


def test_a_route_that_becomes_known_is_told(tmp_path):
    unseen = with_tube("a low 1", "a high 1", name="a", hidden="behind the board")
    ends = a_tube_up().rsplit("\n[[tubes]]", 1)[0]
    found = found_between(tmp_path, a_scene(ends, unseen), a_scene(a_tube_up()))
    told = {one.value: one.says for one in found.of("tube", "altered")}
    assert told["route"] == "its route is known now"


def part_change(tmp_path, before, after):
    found = found_between(tmp_path, a_scene(before), a_scene(after))
    return the_one(found.changes)


def test_a_part_that_stands_elsewhere_is_moved_and_which_way(tmp_path):
    change = part_change(
        tmp_path,
        with_box("box", (0, 0, 0), (10, 20, 30)),
        with_box("box", (3, -4, 0), (10, 20, 30)),
    )
    assert (change.kind, change.name, change.what) == ("part", "box", "moved")
    assert change.high == pytest.approx(5.0)
    assert "3.0 mm to the right, 4.0 mm to the front" in change.says


def test_a_part_of_another_size_is_told_with_both_sizes(tmp_path):
    change = part_change(
        tmp_path, with_box("box", (0, 0, 0), (10, 20, 30)), with_box("box", (0, 0, 0), (10, 26, 30))
    )
    assert (change.what, change.high) == ("resized", pytest.approx(6.0))
    assert "26.0 mm deep" in change.after
    assert "20.0 mm deep" in change.before


def test_a_part_that_is_turned_is_told_as_turned(tmp_path):
    # Turned by a quarter about its front left corner, its back right one goes the chord of its diagonal.
    turned = with_box("box", (0, 0, 0), (100, 20, 30), turned=[{"about": "up", "by": 90}])
    change = part_change(tmp_path, with_box("box", (0, 0, 0), (100, 20, 30)), turned)
    assert change.what == "turned"
    assert change.high == pytest.approx(math.sqrt(2) * math.hypot(100, 20))


def test_a_part_of_another_form_is_told_as_such(tmp_path):
    holes = {"hole": {"at": {"right": 40, "back": 40}, "size": {"wide": 30, "deep": 30}}}
    found = found_between(
        tmp_path,
        a_scene(with_board("shelf", (0, 0, 0), (200, 100, 10))),
        a_scene(with_board("shelf", (0, 0, 0), (200, 100, 10), opening=holes)),
    )
    assert [(one.kind, one.name, one.what) for one in found.changes] == [
        ("part", "shelf", "reshaped"),
        ("passage", "shelf hole", "added"),
    ]


def test_parts_that_are_new_or_gone_are_told(tmp_path):
    found = found_between(
        tmp_path,
        a_scene(with_box("old", (0, 0, 0), (10, 20, 30))),
        a_scene(with_keep_clear("room", (0, 0, 0), (10, 20, 30), "a hand")),
    )
    assert {(one.name, one.what) for one in found.changes} == {("old", "removed"), ("room", "added")}


def test_how_a_part_moves_and_what_it_asks_for_is_told(tmp_path):
    def flap(travel, clearance):
        motion = {"turns_about": "back", "travel": travel}
        return with_box("flap", (0, 50, 0), (40, 10, 2), motion=motion, clearance=clearance)

    found = found_between(tmp_path, a_scene(flap(20, 2)), a_scene(flap(25, 4)))
    told = {one.value: one for one in found.of("part", "altered")}
    assert told["moves"].after.startswith("turns by 25 deg")
    assert told["clearance"].high == pytest.approx(2.0)


def test_a_nipple_that_points_another_way_is_told_in_degrees(tmp_path):
    found = found_between(
        tmp_path,
        a_scene(with_nipple("n", (0, 0, 0), faces="up")),
        a_scene(with_nipple("n", (0, 0, 0), faces="right", outside=4.2)),
    )
    assert [(one.what, one.value) for one in found.of("nipple")] == [("turned", ""), ("altered", "outside")]
    assert found.of("nipple", "turned")[0].high == pytest.approx(90.0)
    assert found.of("nipple", "altered")[0].high == pytest.approx(4.2 - 3.97)


def test_a_passage_that_moves_or_grows_or_may_hold_more_is_told(tmp_path):
    def passage(right, wide, most):
        size = {"wide": wide, "deep": 40}
        return a_table("passage.gap", along="up", at=place(right, 0, 0), size=size, thick=10, most=most)

    moved = found_between(tmp_path, a_scene(passage(0, 60, 5)), a_scene(passage(7, 60, 5)))
    assert [(one.what, one.high) for one in moved.changes] == [("moved", pytest.approx(7.0))]
    grown = found_between(tmp_path, a_scene(passage(0, 60, 5)), a_scene(passage(0, 64, 6)))
    assert [(one.what, one.value) for one in grown.changes] == [("resized", ""), ("altered", "most")]
    assert grown.changes[0].high == pytest.approx(4.0)


def test_tubing_and_settings_are_told_value_by_value(tmp_path):
    before = a_scene(with_tubing("note"), top=limits(fixed=2, moving=3))
    after = a_scene(
        with_tubing("note", outside=6.0, density=1.1),
        top=limits(fixed=2, moving=4) + "\n" + practice(on_nipple=9),
    )
    told = {(one.kind, one.name, one.value): one for one in found_between(tmp_path, before, after).changes}
    assert told["tubing", "note", "outside"].high == pytest.approx(0.44)
    assert told["tubing", "note", "density"].unit == "g/cm3"
    assert told["setting", "clearance.moving", "moving"].high == pytest.approx(1.0)
    assert told["setting", "practice.on_nipple", "on nipple"].before == "11 mm"
    assert len(told) == 4


def walled(off):
    """A tube up from the zero, and a board so far from its wall, where 2 mm are asked for."""
    return a_scene(a_tube_up(), with_box("board", (2.78 + off, -20, 100), (20, 40, 20)))


def test_a_fault_that_is_mended_one_that_is_new_and_one_that_is_there_still(tmp_path):
    mended = found_between(tmp_path, walled(1.0), walled(5.0))
    change = the_one(mended.of("finding"))
    assert (change.what, change.value, change.severity, change.name) == ("mended", "touch", "fault", "a")
    assert change.after == ""
    new = found_between(tmp_path, walled(5.0), walled(1.0))
    assert [one.what for one in new.of("finding")] == ["broken"]
    assert new.changes[0].kind == "finding"  # before all else
    still = found_between(tmp_path, walled(1.0), walled(0.5))
    assert still.of("finding") == ()
    assert [one.rule for one in still.still] == ["touch"]


def test_a_fault_of_a_tube_that_is_gone_is_said_to_be_gone_with_it(tmp_path):
    sound = a_scene(a_tube_up("b", at=(90, 0, 0)), with_box("board", (3.78, -20, 100), (20, 40, 20)))
    found = found_between(tmp_path, walled(1.0), sound)
    change = the_one(found.of("finding"))
    assert (change.what, change.says.partition(":")[0]) == ("mended", "touch, gone with its tube")


def test_a_fault_that_becomes_a_caution_is_milder_and_the_other_way_worse(tmp_path):
    def text(off, survey):
        return walled(off).replace(
            "title =", f"{limits(fixed=2, moving=3, tubes=0, survey=survey)}\ntitle =", 1
        )

    milder = found_between(tmp_path, text(1.0, 0.0), text(1.0, 2.0)).of("finding")
    assert [(one.what, one.severity) for one in milder] == [("milder", "caution")]
    worse = found_between(tmp_path, text(1.0, 2.0), text(1.0, 0.0)).of("finding")
    assert [(one.what, one.severity) for one in worse] == [("worse", "fault")]


def test_a_finding_of_a_tube_that_is_called_otherwise_is_the_same(tmp_path):
    renamed = walled(1.0).replace('name = "a"', 'name = "b"')
    found = found_between(tmp_path, walled(1.0), renamed)
    assert found.of("finding") == ()
    assert len(found.still) == 1


def test_keys_that_move_are_told_one_by_one_with_the_keyboard_that_they_are_of(tmp_path):
    def keys(right):
        return a_scene(with_part("keys", model="keyboard_61", at={"right": right, "back": 0, "up": 0}))

    found = found_between(tmp_path, keys(0), keys(1.5))
    moved = found.of("part", "moved")
    assert len(moved) == 61
    assert {one.part for one in moved} == {"keys"}
    assert [one.high for one in moved] == pytest.approx([1.5] * 61)


def test_each_state_says_what_it_shows(tmp_path):
    def text(shows):
        return a_scene(a_tube_up()) + f'[record]\nshows = "{shows}"\non = 2026-05-14\n'

    found = found_between(tmp_path, text("as found"), text("as restored"))
    assert (found.before.shows, found.after.shows) == ("as found", "as restored")
    assert found.after.on == "2026-05-14"
    assert found.changes == ()
