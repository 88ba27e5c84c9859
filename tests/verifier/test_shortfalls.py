"""The separate checker of whole lays, on both sides of every limit; all expected values by hand."""

import json
import math

import numpy as np
import pytest
from benchmarks.cabinets import a_cabinet
from builders import (
    a_scene,
    place,
    with_board,
    with_box,
    with_keep_clear,
    with_nipple,
    with_part,
    with_tube,
    with_zero,
    written,
)
from verifier.distances import SOLVER
from verifier.lays import case_of
from verifier.shortfalls import LAST, shortfalls_of

RADIUS = 2.78  # of builders.NOTE
OVER = [(0, 0, 100), (60, 0, 100), (120, 0, 70), (200, 0, 70), (260, 0, 100), (320, 0, 100)]
TOP = 70 - RADIUS - 2  # of wood that is 2 below OVER: just the limit
TWO = [with_nipple("a", (0, 0, 100), faces="right"), with_nipple("b", (320, 0, 100), faces="left")]


def a_plan(*ways, through=(), radius=30.0, ties=()):
    names = ["a 1", *(f"a{k} 1" for k in range(1, len(ways)))]
    return {
        "tubes": [
            a_planned(name, way, [radius] * (len(way) - 2), through, ties)
            for name, way in zip(names, ways, strict=True)
        ]
    }


def a_planned(name, way, radii, through, ties=()):
    corners = [place(*corner) for corner in way]
    for corner, radius in zip(corners[1:-1], radii, strict=True):
        corner["radius"] = radius
    return {"name": name, "through": list(through), "corners": corners, "ties": list(ties)}


def told(folder, pieces, plan):
    return shortfalls_of(written(folder, a_scene(*pieces)), plan)


def the_one(found, rule, other):
    (one,) = found
    assert (one.rule, one.other) == (rule, other)
    return one


def lowered(by):
    return [(x, y, z - by if z == 70 else z) for x, y, z in OVER]


def wood(top):
    return with_box("wood", (100, -50, top - 30), (120, 100, 30))


TUBE = with_tube("a 1", "b 1")


@pytest.mark.parametrize("seed", [0, 1])
def test_a_witness_has_none(seed, tmp_path):
    assert shortfalls_of(written(tmp_path, a_cabinet(seed, 30).laid())) == []


def test_a_witness_of_120_tubes_has_none(tmp_path):
    assert shortfalls_of(written(tmp_path, a_cabinet(0, 120).laid())) == []


def test_a_witness_given_as_a_plan_has_none_and_the_last_tube_left_out_is_missed(tmp_path):
    cabinet = a_cabinet(1, 12)
    path = written(tmp_path, cabinet.text)
    ends = {}
    for line in cabinet.text.split("[[tubes]]")[1:]:
        said = dict(row.split(" = ") for row in line.strip().splitlines())
        ends[said["name"].strip('"')] = said["from"].strip('"'), said["to"].strip('"')
    nipples = case_of(path).nipples
    tubes = []
    for name, way in cabinet.witness.items():
        start, end = (nipples[nipple].tip.tolist() for nipple in ends[name])
        tubes.append(a_planned(name, [start, *way["corners"], end], way["radii"], way["through"]))
    assert shortfalls_of(path, {"tubes": tubes}) == []
    last = tubes.pop()
    assert the_one(shortfalls_of(path, {"tubes": tubes}), "unlaid", "").tube == last["name"]
    assert shortfalls_of(path, {"tubes": tubes, "no_ways": [{"tubes": [last["name"]]}]}) == []


def test_a_tube_moved_3_mm_into_wood_touches_it_and_nothing_else(tmp_path):
    pieces = [*TWO, wood(TOP), with_box("other wood", (100, 20, 40), (120, 30, 80)), TUBE]
    assert told(tmp_path, pieces, a_plan(OVER)) == []
    one = the_one(told(tmp_path, pieces, a_plan(lowered(3))), "touch", "wood")
    # 2 were free; the wall is 1 deep in the wood
    assert (one.tube, one.distance, one.limit) == ("a 1", pytest.approx(-1, abs=LAST + SOLVER), 2)


@pytest.mark.parametrize(("more", "falls_short"), [(0.1, False), (0.02, False), (-0.02, True), (-0.1, True)])
def test_on_both_sides_of_the_clearance_to_wood(more, falls_short, tmp_path):
    found = told(tmp_path, [*TWO, wood(TOP - more), TUBE], a_plan(OVER))
    assert bool(found) == falls_short
    if falls_short:
        assert the_one(found, "touch", "wood").distance == pytest.approx(2 + more, abs=LAST + SOLVER)


@pytest.mark.parametrize(("lower", "falls_short"), [(0.1, False), (-0.1, True)])
def test_a_part_that_slides_is_kept_off_all_the_way(lower, falls_short, tmp_path):
    """It slides up by 40 and is then 3 below the tube, the limit for what moves."""
    moves = {"motion": {"slides": "up", "travel": 40}}
    block = with_box("slider", (100, -50, 70 - RADIUS - 3 - 40 - 30 - lower), (120, 100, 30), **moves)
    found = told(tmp_path, [*TWO, block, TUBE], a_plan(OVER))
    assert bool(found) == falls_short
    if falls_short:
        assert the_one(found, "rub", "slider").distance == pytest.approx(2.9, abs=0.1)


@pytest.mark.parametrize(("more", "falls_short"), [(0.1, False), (-0.1, True)])
def test_what_turns_is_nearest_inside_its_travel(more, falls_short, tmp_path):
    """A bar 80 long and 2 thick turns about a hinge from 30 degrees below level to 30 degrees above.

    Its hinge is its lower edge. The upper edge of its far end, hypot(80, 2) from there, comes nearest to a
    tube that is level with the hinge when it points straight at it: within the travel, at neither end of it.
    """
    away = math.hypot(80, 2) + RADIUS + 3 + more
    bar = with_box(
        "bar", (160, 0, 0), (6, 80, 2), zero="hinge", turned={"about": "right", "by": -30},
        motion={"turns_about": "right", "travel": 60},
    )  # fmt: skip
    zero = with_zero("hinge", (0, -away, 70))
    found = told(tmp_path, [*TWO, zero, bar, TUBE], a_plan(OVER))
    assert bool(found) == falls_short
    if falls_short:
        # python-fcl has the last word; half a step of its 240 samples is 82.8 * pi / 3 / 480
        assert the_one(found, "rub", "bar").distance == pytest.approx(2.9 - 0.18, abs=0.01)


@pytest.mark.parametrize(("more", "falls_short"), [(0.1, False), (-0.1, True)])
def test_on_both_sides_of_a_space_to_be_kept_clear(more, falls_short, tmp_path):
    space = with_keep_clear("door", (100, -50, 70 - RADIUS - 30 - more), (120, 100, 30), "it swings")
    found = told(tmp_path, [*TWO, space, TUBE], a_plan(OVER))
    assert bool(found) == falls_short
    if falls_short:
        assert the_one(found, "intrude", "door").distance == pytest.approx(-0.1, abs=LAST + SOLVER)


@pytest.mark.parametrize(("more", "falls_short"), [(0.1, False), (-0.1, True)])
def test_on_both_sides_of_a_round_bar(more, falls_short, tmp_path):
    """The bar lies across, under the middle of the level piece: 70 - 2.78 - 2 - 8 is its middle line."""
    height = 70 - RADIUS - 2 - 8 - more
    bar = with_part(
        "bar", kind="cylinder", at=place(160, -50, height), to=place(160, 50, height), diameter=16
    )
    found = told(tmp_path, [*TWO, bar, TUBE], a_plan(OVER))
    assert bool(found) == falls_short
    if falls_short:
        assert the_one(found, "touch", "bar").distance == pytest.approx(1.9, abs=LAST + SOLVER)


@pytest.mark.parametrize(("apart", "falls_short"), [(5.56, False), (5.66, False), (5.46, True)])
def test_two_tubes_may_touch_and_no_more(apart, falls_short, tmp_path):
    # on nipples of the bore's size nothing is stretched: the ends are as wide as the rest
    others = [
        with_nipple("a1", (0, apart, 100), faces="right"), with_nipple("b1", (320, apart, 100), faces="left"),
    ]  # fmt: skip
    beside = [(x, apart, z) for x, _, z in OVER]
    found = told(tmp_path, [*TWO, *others, TUBE, with_tube("a1 1", "b1 1")], a_plan(OVER, beside))
    assert bool(found) == falls_short
    if falls_short:
        one = the_one(found, "squeeze", "a1 1")
        assert one.distance == pytest.approx(-0.1, abs=LAST + 4 * SOLVER)


@pytest.mark.parametrize(("radius", "falls_short"), [(22.0, False), (21.999, True)])
def test_the_least_bend_is_held_exactly(radius, falls_short, tmp_path):
    found = told(tmp_path, [*TWO, TUBE], a_plan(OVER, radius=radius))
    assert bool(found) == falls_short
    if falls_short:
        assert the_one(found, "kink", "").distance == radius


def test_a_corner_without_a_radius_is_one_that_does_not_turn(tmp_path):
    straight = [*OVER[:3], (160, 0, 70), *OVER[3:]]
    plan = a_plan(straight)
    del plan["tubes"][0]["corners"][3]["radius"]
    assert told(tmp_path, [*TWO, TUBE], plan) == []
    del plan["tubes"][0]["corners"][2]["radius"]
    assert the_one(told(tmp_path, [*TWO, TUBE], plan), "kink", "").distance == 0


def test_bends_must_leave_room_for_each_other(tmp_path):
    # a turn of atan(1/2) takes R tan(atan(1/2) / 2) = 0.23607 R of each of its legs; the first is 60 long
    half = math.tan(math.atan(0.5) / 2)
    assert told(tmp_path, [*TWO, TUBE], a_plan(OVER, radius=60 / (2 * half) - 0.1)) == []
    radius = 80 / (2 * half) + 1  # the level leg is 80 long; those before it 67.08
    found = told(tmp_path, [*TWO, TUBE], a_plan(OVER, radius=radius))
    assert the_one(found, "corners", "").distance == pytest.approx(math.hypot(60, 30) - 2 * half * radius)


def test_ends_are_on_their_nipples_and_leave_them_straight(tmp_path):
    assert told(tmp_path, [*TWO, TUBE], a_plan([(0, 0.001, 100), *OVER[1:]])) == []
    off = the_one(told(tmp_path, [*TWO, TUBE], a_plan([(0, 0.01, 100), *OVER[1:]])), "end", "a 1")
    assert off.distance == pytest.approx(0.01)
    for side, falls_short in (
        (60 * math.tan(math.radians(9.9)), False),
        (60 * math.tan(math.radians(10.1)), True),
    ):
        found = told(tmp_path, [*TWO, TUBE], a_plan([OVER[0], (60, side, 100), *OVER[2:]]))
        assert bool(found) == falls_short
        if falls_short:
            assert the_one(found, "square", "a 1").distance == pytest.approx(10.1)


# ── passages ─────────────────────────────────────────────────────────────────────────────────────
def a_wall(most=None, middle=70.0):
    """A board across the level piece, with an opening round it and one beside."""
    size = {"deep": 20, "high": 20}
    opening = {
        "hole": {"at": place(0, 90, middle - 10), "size": size}
        | ({"most": most} if most is not None else {}),
        "other": {"at": place(0, 120, 60), "size": size},
    }
    return with_board("wall", (155, -100, 0), (10, 300, 140), opening=opening)


def test_a_tube_goes_through_what_it_names_and_nothing_else(tmp_path):
    pieces = [*TWO, a_wall(), TUBE]
    assert told(tmp_path, pieces, a_plan(OVER, through=["wall hole"])) == []
    assert the_one(told(tmp_path, pieces, a_plan(OVER)), "unnamed", "wall hole").limit == 0
    found = told(tmp_path, pieces, a_plan(OVER, through=["wall hole", "wall other"]))
    assert the_one(found, "miss", "wall other").distance == 0


def test_more_tubes_than_a_passage_may_hold(tmp_path):
    assert told(tmp_path, [*TWO, a_wall(most=1), TUBE], a_plan(OVER, through=["wall hole"])) == []
    one = the_one(
        told(tmp_path, [*TWO, a_wall(most=0), TUBE], a_plan(OVER, through=["wall hole"])),
        "crowd",
        "wall hole",
    )
    assert (one.distance, one.limit) == (1, 0)


def test_an_opening_too_low_is_told_by_its_wood(tmp_path):
    # its upper edge is 10 - 5.3 over the tube's middle: 4.7 - 2.78 = 1.92 free
    found = told(tmp_path, [*TWO, a_wall(middle=64.7), TUBE], a_plan(OVER, through=["wall hole"]))
    assert the_one(found, "touch", "wall").distance == pytest.approx(1.92, abs=LAST + SOLVER)


@pytest.mark.parametrize(("edge", "falls_short"), [(4.88, False), (4.68, True)])
def test_a_free_standing_passage_is_kept_by_the_margin(edge, falls_short, tmp_path):
    passage = (
        f"[passage.gap]\nat = {{ right = 155, back = -20, up = {70 - edge} }}\n"
        'size = { deep = 40, high = 60 }\nalong = "right"\nthick = 10\n'
    )
    found = told(tmp_path, [*TWO, passage, TUBE], a_plan(OVER, through=["gap"]))
    assert bool(found) == falls_short
    if falls_short:
        assert the_one(found, "miss", "gap").distance == pytest.approx(edge - RADIUS, abs=0.02)


def test_there_and_back_is_not_through(tmp_path):
    gap = (
        "[passage.gap]\nat = { right = 155, back = -20, up = 50 }\n"
        'size = { deep = 40, high = 160 }\nalong = "right"\n'
    )
    above = with_nipple("b", (0, 0, 160), faces="right")
    back = [(0, 0, 100), (260, 0, 100), (260, 0, 160), (0, 0, 160)]
    assert told(tmp_path, [TWO[0], above, gap, TUBE], a_plan(back)) == []
    found = told(tmp_path, [TWO[0], above, gap, TUBE], a_plan(back, through=["gap"]))
    assert the_one(found, "miss", "gap").distance == 0


def test_passages_are_named_in_the_order_in_which_they_come(tmp_path):
    passages = [
        f"[passage.p{k}]\nat = {{ right = {x}, back = -20, up = 50 }}\n"
        'size = { deep = 40, high = 60 }\nalong = "right"\n'
        for k, x in enumerate((130, 180))
    ]
    assert told(tmp_path, [*TWO, *passages, TUBE], a_plan(OVER, through=["p0", "p1"])) == []
    assert the_one(told(tmp_path, [*TWO, *passages, TUBE], a_plan(OVER, through=["p1", "p0"])), "order", "p0")


# ── what excuses ─────────────────────────────────────────────────────────────────────────────────
def test_a_tie_excuses_a_tube_from_its_wood_but_not_from_entering_it(tmp_path):
    post = with_box("post", (160, -50, 30), (4, 100, 70 - RADIUS - 0.5 - 30))
    # its start, and half way of the whole: the post is in the middle
    length = 2 * (60 + math.hypot(60, 30)) + 80 - 4 * 30 * (2 * math.tan(math.atan(0.5) / 2) - math.atan(0.5))
    tie = {"along": length / 2, "to": "post"}
    assert the_one(told(tmp_path, [*TWO, post, TUBE], a_plan(OVER)), "touch", "post")
    assert told(tmp_path, [*TWO, post, TUBE], a_plan(OVER, ties=[tie])) == []
    found = told(tmp_path, [*TWO, post, TUBE], a_plan(lowered(1), ties=[tie]))
    assert the_one(found, "touch", "post").distance == pytest.approx(-0.5, abs=LAST + SOLVER)


def test_a_tie_of_one_tube_does_not_excuse_another(tmp_path):
    post = with_box("post", (160, -50, 30), (4, 100, 70 - RADIUS - 0.5 - 30))
    others = [with_nipple("a1", (0, 9, 100), faces="right"), with_nipple("b1", (320, 9, 100), faces="left")]
    plan = a_plan(OVER, [(x, 9, z) for x, _, z in OVER])
    for tube in plan["tubes"]:
        tube["ties"] = [{"along": along, "to": "post"} for along in (150, 165, 180)]
    pieces = [*TWO, *others, post, TUBE, with_tube("a1 1", "b1 1")]
    assert told(tmp_path, pieces, plan) == []
    plan["tubes"][1]["ties"] = []
    assert the_one(told(tmp_path, pieces, plan), "touch", "post").tube == "a1 1"


def test_a_sleeve_keeps_off_what_does_not_carry_its_nipple(tmp_path):
    # over a nipple of 6 a tube of 5.56, bore 3.97, is sqrt(5.56^2 - 3.97^2 + 36) = 7.152 wide; 11 of it
    wide = math.sqrt(5.56**2 - 3.97**2 + 6**2)
    nipple = with_nipple("a", (0, 0, 100), faces="right", outside=6)
    for more, falls_short in ((0.1, False), (-0.1, True)):
        beside = with_box("block", (-9, wide / 2 + 2 + more, 90), (4, 20, 20))
        found = told(tmp_path, [nipple, TWO[1], beside, TUBE], a_plan(OVER))
        assert bool(found) == falls_short
        if falls_short:
            assert the_one(found, "touch", "block").distance == pytest.approx(1.9, abs=LAST + SOLVER)


def test_a_plan_is_read_from_beside_its_scene(tmp_path):
    path = written(tmp_path, a_scene(*TWO, wood(TOP), TUBE), "small.toml")
    assert the_one(shortfalls_of(path), "unlaid", "").tube == "a 1"
    (tmp_path / "small.plan.json").write_text(json.dumps(a_plan(lowered(3))), encoding="utf-8")
    assert the_one(shortfalls_of(path), "touch", "wood").tube == "a 1"


def test_a_loose_end_is_where_the_scene_says_and_is_not_asked_for_where_it_says_nothing(tmp_path):
    waiting = with_tube("a 1", "loose", ends_at=place(320, 0, 100))
    assert told(tmp_path, [TWO[0], waiting], a_plan(OVER)) == []
    assert the_one(told(tmp_path, [TWO[0], waiting], {}), "unlaid", "")
    off = the_one(told(tmp_path, [TWO[0], waiting], a_plan([*OVER[:-1], (330, 0, 100)])), "end", "")
    assert off.distance == pytest.approx(10)
    assert told(tmp_path, [TWO[0], with_tube("a 1", "loose")], {}) == []


def test_a_plan_with_a_tube_that_nobody_asked_for_is_refused(tmp_path):
    plan = a_plan(OVER)
    plan["tubes"][0]["name"] = "nobody's"
    with pytest.raises(AssertionError, match="nobody's"):
        told(tmp_path, [*TWO, TUBE], plan)


def test_a_turned_lay_falls_short_of_nothing_either(tmp_path):
    """All as OVER, a quarter turn about the vertical: nothing depends on the axes."""
    turned = [(-y, x, z) for x, y, z in OVER]
    pieces = [
        with_nipple("a", (0, 0, 100), faces="back"),
        with_nipple("b", (0, 320, 100), faces="front"),
        with_box("wood", (-50, 100, TOP - 30), (100, 120, 30)),
        TUBE,
    ]
    assert told(tmp_path, pieces, a_plan(turned)) == []
    low = [(x, y, z - 0.1 if z == 70 else z) for x, y, z in turned]
    assert the_one(told(tmp_path, pieces, a_plan(low)), "touch", "wood")
    assert np.isfinite(told(tmp_path, pieces, a_plan(low))[0].distance)
