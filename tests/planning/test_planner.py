"""The whole planner: what it lays is without a fault by the checks, and by the separate checker too.

What is kept clear of is shown beside a tube drawn by hand that goes the straight way: by the separate
checker it breaks the very rule that the planned one keeps.
"""

import itertools
import json
import re
import tomllib
from collections import Counter

import numpy as np
import pytest
from benchmarks.cabinets import a_cabinet, an_impossible_twin
from benchmarks.openings import packing_found
from builders import (
    NOTE,
    a_scene,
    corners_of,
    place,
    with_box,
    with_closed_case,
    with_keep_clear,
    with_nipple,
    with_row,
    with_stage,
    with_tube,
    written,
)
from verifier.lays import case_of
from verifier.plans import lay_of
from verifier.shortfalls import least_room, shortfalls_of

from routeviz.laying import plan_scene
from routeviz.pipeline import placed
from routeviz.planning.planner import plan_tubes
from routeviz.planning.steps import Trouble
from routeviz.scene.reading import read_scene
from routeviz.tubes.centrelines import shape
from routeviz.tubes.plan_file import plan_beside, plan_text
from routeviz.tubes.plans import Plan

NIPPLE = 4.4  # outside, so that the bore of 3.97 grips
ROUNDING = 1e-3  # plans are written to the micrometre
STRAIGHT = 0.2  # degrees: what rounding turns a leg of 5.56 by, ten times over
WORDS = ["choosing passages", "finding ways", "spreading", "mending"]  # in the order in which they come


# ── scenes ───────────────────────────────────────────────────────────────────────────────────────
ROOM = [
    with_box("lid", (-100, -200, 300), (600, 400, 10)),
    with_box("floor", (-100, -200, -110), (600, 400, 10)),
]
ACROSS = [
    with_nipple("a", (0, 0, 100), faces="right", outside=NIPPLE),
    with_nipple("b", (400, 0, 30), faces="up", outside=NIPPLE),
    with_tube("a 1", "b 1", name="one"),
]


def closet(*tubes, near=None, count=4):
    """A shelf from wall to wall with a hole below the nipples, and one 200 mm to the right."""
    more = {} if near is None else {"most": near}
    holes = {
        "near": {"at": place(30, 60, 0), "size": {"wide": 60, "deep": 40}, **more},
        "far": {"at": place(230, 60, 0), "size": {"wide": 60, "deep": 40}},
    }
    last = 50 + 8 * (count - 1)
    return [
        *with_closed_case(holes),
        with_row("t", f"1..{count}", (50, 80, 370), (last, 80, 370), faces="down", outside=NIPPLE),
        with_row("u", f"1..{count}", (50, 80, 30), (last, 80, 30), faces="up", outside=NIPPLE),
        *(tubes or [with_tube(f"t 1..{count}", f"u 1..{count}")]),
    ]


def laid(folder, text):
    """The plan of a scene in which nothing is wrong, by either checker; its tubes by name."""
    path = written(folder, text)
    laying = plan_scene(path, fresh=True)
    assert [one.says for one in laying.lay.findings if one.severity == "fault"] == []
    assert laying.plan.no_ways == ()
    assert shortfalls_of(path) == []
    return {tube.name: tube for tube in laying.plan.tubes}


def steps_of(path):
    """The planner's steps for a scene, by itself."""
    reading = read_scene(path)
    cabinets = placed(reading)
    return plan_tubes(cabinets, shape(reading, cabinets[-1]))


def as_read(plan: Plan):
    """A plan as the separate checker takes it."""
    return json.loads(plan_text(plan))


def room_to_things(path, plan):
    """What is free beyond what is asked for, by the separate checker."""
    whole = case_of(path)
    return least_room(whole, lay_of(whole, path, as_read(plan)))[0]


def legs_of(tube):
    """How far each corner is from the next."""
    return np.linalg.norm(np.diff(tube.corners, axis=0), axis=1)


def is_in_form(tube, axes, least=NOTE["least_bend"], outside=NOTE["outside"]):
    """Inner corners no nearer than an outside diameter, no bend too tight, off and on along the nipples."""
    long = legs_of(tube)
    assert long[1:-1].min(initial=np.inf) >= outside - ROUNDING
    ways = np.diff(tube.corners, axis=0) / long[:, None]
    turns = np.degrees(np.arccos(np.clip((ways[1:] * ways[:-1]).sum(axis=1), -1, 1)))
    assert tube.radii[turns > STRAIGHT].min(initial=np.inf) >= least
    for way, axis in zip((ways[0], -ways[-1]), axes, strict=True):
        assert np.degrees(np.arccos(min(way @ np.array(axis), 1.0))) <= STRAIGHT


DOWN, UP, RIGHT = (0, 0, -1), (0, 0, 1), (1, 0, 0)


# ── invented cabinets ────────────────────────────────────────────────────────────────────────────
@pytest.fixture(scope="module", params=[0, 3])
def cabinet(request, tmp_path_factory):
    """A cabinet's scene and its tubes."""
    folder = tmp_path_factory.mktemp("cabinet")
    text = a_cabinet(request.param, 30).text
    return folder / "scene.toml", laid(folder, text)


def test_all_tubes_of_a_cabinet_are_laid_legally_and_in_form(cabinet):
    path, tubes = cabinet
    reading = read_scene(path)
    (case,) = placed(reading)
    routes = {tube.name: tube for tube in shape(reading, case)}
    assert tubes.keys() == routes.keys()
    for name, planned in tubes.items():
        asked = routes[name]
        ends = [case.nipples[end.nipple].direction for end in (asked.start, asked.end)]
        is_in_form(planned, ends, asked.kind.least_bend_mm, asked.kind.outside_mm)


def test_the_first_and_last_corner_are_no_nearer_to_the_nipple_than_an_outside_diameter(cabinet):
    path, tubes = cabinet
    (kind,) = tomllib.loads(path.read_text(encoding="utf-8"))["tubing"].values()
    ends = [legs_of(tube)[[0, -1]].min() for tube in tubes.values()]
    assert min(ends) >= kind["outside"] - ROUNDING


def test_a_cabinet_is_planned_to_the_same_bytes(cabinet):
    path, _ = cabinet
    before = plan_beside(path).read_bytes()
    plan_scene(path, fresh=True)
    assert plan_beside(path).read_bytes() == before


def test_the_passage_that_cannot_hold_its_tubes_is_named_with_its_numbers(tmp_path):
    text, told = an_impossible_twin(0, 30)
    board, name = told.passage.split()
    size = tomllib.loads(text)["part"][board]["opening"][name]["size"]
    laying = plan_scene(written(tmp_path, text), fresh=True)
    (one,) = [one for one in laying.plan.no_ways if one.passage == told.passage]
    assert one.wanted == told.must
    assert packing_found(size["wide"], size["deep"]) <= one.there <= told.at_most
    assert told.must - told.at_most <= len(one.tubes) < told.must
    places = re.search(r"places for (\d+) were found", one.cause)
    assert len(one.tubes) == told.must - (int(places[1]) if places else one.there)
    laid_names = {tube.name for tube in laying.plan.tubes}
    assert not laid_names & set(one.tubes)
    assert len(laid_names) + sum(len(no_way.tubes) for no_way in laying.plan.no_ways) == told.tubes
    faults = {one.rule for one in laying.lay.findings if one.severity == "fault"}
    assert faults <= {"no_way", "unconnected"}


# ── what is kept clear of ────────────────────────────────────────────────────────────────────────
CROSSING = [
    with_nipple("low", (200, 0, -60), faces="up", outside=NIPPLE),
    with_nipple("high", (200, 10, 250), faces="down", outside=NIPPLE),
    with_tube("low 1", "high 1", name="drawn", corners=corners_of((200, 0, 60), (200, 10, 140), radius=60)),
]
BLOCK = with_box("block", (190, -60, 60), (20, 120, 80))
IN_THE_WAY = {
    "a part": (BLOCK, "touch"),
    "a space to be kept clear": (with_keep_clear("hand", (190, -60, 60), (20, 120, 80), "a hand"), "intrude"),
    "a drawn tube": ("\n".join(CROSSING), "squeeze"),
}


# By hand: legal where nothing is in the way.
BY_HAND = [place(0, 0, 100), place(400, 0, 100, radius=30), place(400, 0, 30)]
STRAIGHT_ON = {"tubes": [{"name": "one", "through": [], "corners": BY_HAND, "ties": []}]}


def rules_of(path, plan):
    """What falls short in a scene by a plan that was made for another."""
    return {one.rule for one in shortfalls_of(path, plan)}


def test_straight_on_is_legal_where_nothing_is_in_the_way(tmp_path):
    assert rules_of(written(tmp_path, a_scene(*ROOM, *ACROSS)), STRAIGHT_ON) == set()


@pytest.mark.parametrize("what", IN_THE_WAY)
def test_what_is_in_the_way_is_kept_clear_of(what, tmp_path):
    piece, rule = IN_THE_WAY[what]
    tubes = laid(tmp_path, a_scene(*ROOM, *ACROSS, piece))
    assert list(tubes) == ["one"]
    is_in_form(tubes["one"], (RIGHT, UP))
    assert rules_of(tmp_path / "scene.toml", STRAIGHT_ON) == {rule}


def test_a_drawn_tube_stays_as_it_is(tmp_path):
    path = written(tmp_path, a_scene(*ROOM, *ACROSS, *CROSSING))
    drawn = shape(read_scene(path), placed(read_scene(path))[-1])[1]
    lay = plan_scene(path, fresh=True).lay
    kept = next(tube for tube in lay.tubes if tube.name == "drawn")
    assert kept.corners.tolist() == drawn.corners.tolist()
    assert kept.radii.tolist() == drawn.radii.tolist()


def test_what_stands_there_in_an_earlier_stage_alone_is_kept_clear_of_too(tmp_path):
    stages = [with_stage("bench"), with_stage("home")]
    early = with_box("block", (190, -60, 60), (20, 120, 80), until="bench")
    path = written(tmp_path, a_scene(*stages, *ROOM, *ACROSS, early))
    laying = plan_scene(path, fresh=True)
    assert [one.says for one in laying.lay.findings if one.severity == "fault"] == []
    # Held to a scene in which it stays, for all that is asked of the tube is asked there.
    staying = written(tmp_path, a_scene(*ROOM, *ACROSS, BLOCK), "staying.toml")
    assert rules_of(staying, as_read(laying.plan)) == set()
    assert rules_of(staying, STRAIGHT_ON) == {"touch"}


# ── passages ─────────────────────────────────────────────────────────────────────────────────────
def test_tubes_take_the_hole_below_them(tmp_path):
    tubes = laid(tmp_path, a_scene(*closet()))
    assert [(name, tube.through) for name, tube in tubes.items()] == [
        (f"t {n}", ("shelf near",)) for n in range(1, 5)
    ]
    for tube in tubes.values():
        is_in_form(tube, (DOWN, UP))


def test_a_tube_goes_through_what_it_names(tmp_path):
    wired = [with_tube("t 1..3", "u 1..3"), with_tube("t 4", "u 4", through=["shelf far"])]
    tubes = laid(tmp_path, a_scene(*closet(*wired)))
    assert tubes["t 4"].through == ("shelf far",)
    assert {tubes[f"t {n}"].through for n in (1, 2, 3)} == {("shelf near",)}


def test_no_more_go_through_a_hole_than_its_mark_allows(tmp_path):
    tubes = laid(tmp_path, a_scene(*closet(near=2)))
    assert Counter(tube.through for tube in tubes.values()) == {("shelf near",): 2, ("shelf far",): 2}


# ── steps ────────────────────────────────────────────────────────────────────────────────────────
def test_steps_tell_how_far_it_has_come_and_the_last_has_the_plan(tmp_path):
    steps = list(steps_of(written(tmp_path, a_scene(*closet()))))
    order = [WORDS.index(step.stage) for step in steps]
    assert order == sorted(order)
    assert set(order) == {0, 1, 2}
    assert {step.of for step in steps} == {4}
    assert all(0 <= step.done <= step.of for step in steps)
    assert [step.plan is not None for step in steps] == [False] * (len(steps) - 1) + [True]
    assert steps[-1].done == 4
    assert steps[-1].worst_mm > 0
    ways = [step.done for step in steps if step.stage == "finding ways"]
    assert ways == [0, 1, 2, 3, 4]
    parts = [step.part for step in steps if step.part]
    assert sorted(set(parts)) == ["1 of 3", "2 of 3", "3 of 3"]
    assert parts == sorted(parts)


def test_a_step_tells_when_asked_how_many_tubes_are_free_of_trouble_and_by_how_much_the_worst_lacks(tmp_path):
    """Where all but touch to begin with, room is found from step to step; asking moves nothing."""
    path = written(tmp_path, a_scene(*closet()))
    seen, plan = [], None
    for step in steps_of(path):
        if step.seen is not None:
            seen.append(step.seen())
            assert step.seen() == seen[-1]
        plan = step.plan or plan
    assert all(0 <= done <= 4 for done, _ in seen)
    # No tube is free of trouble while what is free about the worst is less than nothing.
    assert all(done < 4 for done, worst in seen if worst < 0)
    assert seen[-1][0] == 4
    assert seen[-1][1] > 0
    quiet = [step.plan for step in steps_of(path)][-1]
    assert plan_text(plan) == plan_text(quiet)


def test_any_step_may_be_the_last_that_is_asked_for(tmp_path):
    path = written(tmp_path, a_scene(*ROOM, *ACROSS, BLOCK))
    count = sum(1 for _ in steps_of(path))
    assert count > 3
    for number in range(count + 1):
        steps = steps_of(path)
        assert len(list(itertools.islice(steps, number))) == number
        steps.close()
        assert list(steps) == []


def test_a_mended_plan_leaves_more_room_where_too_little_was_found(tmp_path):
    path = written(tmp_path, a_scene(*ROOM, *ACROSS, BLOCK))
    *_, last = steps_of(path)
    trouble = Trouble(rule="touch", tube="one", other="block", along_mm=200.0, lacks_mm=0.15)
    steps = list(last.mended((trouble,)))
    assert {step.stage for step in steps} == {"mending"}
    assert [step.plan is not None for step in steps] == [False] * (len(steps) - 1) + [True]
    assert [tube.name for tube in steps[-1].plan.tubes] == ["one"]
    assert shortfalls_of(path, as_read(steps[-1].plan)) == []
    before, after = (room_to_things(path, step.plan) for step in (last, steps[-1]))
    assert after >= before + 0.05
    unfinished = last.mended((trouble,))
    next(unfinished)
    unfinished.close()


# ── an earlier plan ──────────────────────────────────────────────────────────────────────────────
def test_the_same_scene_keeps_its_plan_to_the_byte(tmp_path):
    laid(tmp_path, a_scene(*closet()))
    before = plan_beside(tmp_path / "scene.toml").read_bytes()
    plan_scene(tmp_path / "scene.toml")
    assert plan_beside(tmp_path / "scene.toml").read_bytes() == before


def test_a_tube_finds_room_in_a_hole_beside_drawn_ones(tmp_path):
    """60 by 40 holds dozens: three near its middle leave more than 15 to both sides."""
    drawn = [with_tube(f"t {n}", f"u {n}", corners=[]) for n in (1, 2, 3)]
    tubes = laid(tmp_path, a_scene(*closet(*drawn, with_tube("t 4", "u 4"))))
    assert list(tubes) == ["t 4"]


def test_a_tube_that_is_added_leaves_the_others_as_they_lie(tmp_path):
    old = laid(tmp_path, a_scene(*closet(with_tube("t 1..3", "u 1..3"))))
    path = written(tmp_path, a_scene(*closet(with_tube("t 4", "u 4"), with_tube("t 1..3", "u 1..3"))))
    plan = plan_scene(path).plan
    assert [tube.name for tube in plan.tubes] == ["t 4", "t 1", "t 2", "t 3"]  # in the order of the file
    for tube in plan.tubes[1:]:
        assert tube.corners.tolist() == old[tube.name].corners.tolist()
        assert tube.radii.tolist() == old[tube.name].radii.tolist()
    assert [run.tubes for run in plan.runs] == [("t 1", "t 2", "t 3", "t 4")]
    assert shortfalls_of(path) == []


def moved_by(path, text):
    """The names of the tubes that do not lie to the digit as they did before a scene was changed."""
    lay = {name: json.dumps(one) for name, one in tubes_in(plan_beside(path)).items()}
    path.write_text(text)
    laying = plan_scene(path)
    assert [one.says for one in laying.lay.findings if one.severity == "fault"] == []
    assert shortfalls_of(path) == []
    return [name for name, one in tubes_in(plan_beside(path)).items() if json.dumps(one) != lay.get(name)]


def tubes_in(path):
    return {one["name"]: one for one in json.loads(path.read_text())["tubes"]}


def facing(count, *changed):
    """Nipples 40 apart that face those of another row: a straight tube each, 34 free between two."""
    return [
        *ROOM,
        with_row("a", f"1..{count}", (0, 0, 100), (0, 40 * (count - 1), 100), faces="right", outside=NIPPLE),
        with_row(
            "b", f"1..{count}", (400, 0, 100), (400, 40 * (count - 1), 100), faces="left", outside=NIPPLE
        ),
        with_tube(f"a 1..{count}", f"b 1..{count}"),
        *changed,
    ]


def test_a_block_in_the_way_moves_the_tube_that_it_stands_on_alone(tmp_path):
    """To go round its 6 mm the tube needs 3 and what is asked for and its radius: no other comes near."""
    laid(tmp_path, a_scene(*facing(4)))
    block = with_box("block", (197, -3, 97), (6, 6, 6))
    assert moved_by(tmp_path / "scene.toml", a_scene(*facing(4, block))) == ["a 1"]


def test_a_nipple_that_was_moved_drags_its_tube_alone(tmp_path):
    laid(tmp_path, a_scene(*closet()))
    rows = [
        with_row("u", "1..3", (50, 80, 30), (66, 80, 30), faces="up", outside=NIPPLE),
        with_nipple("v", (74, 83, 30), faces="up", outside=NIPPLE),
    ]
    tubes = [with_tube("t 1..3", "u 1..3"), with_tube("t 4", "v 1")]
    without = [piece for piece in closet(*tubes) if not piece.startswith("[part.u]")]
    assert moved_by(tmp_path / "scene.toml", a_scene(*without, *rows)) == ["t 4"]


def test_a_tube_that_is_taken_away_leaves_the_others_as_they_lie(tmp_path):
    laid(tmp_path, a_scene(*closet()))
    fewer = a_scene(*closet(with_tube("t 1..2", "u 1..2"), with_tube("t 4", "u 4")))
    assert moved_by(tmp_path / "scene.toml", fewer) == []


def test_a_tube_that_is_pinned_to_another_passage_goes_there_and_the_others_stay(tmp_path):
    laid(tmp_path, a_scene(*closet()))
    pinned = a_scene(*closet(with_tube("t 1..3", "u 1..3"), with_tube("t 4", "u 4", through=["shelf far"])))
    assert moved_by(tmp_path / "scene.toml", pinned) == ["t 4"]


def test_a_tube_makes_room_for_one_that_must_go_through_a_full_passage(tmp_path):
    """One fits: another is pinned to it, so that the one that lay there leaves it; not all are laid anew."""
    laid(tmp_path, a_scene(*closet(near=1, count=6)))
    before = tubes_in(plan_beside(tmp_path / "scene.toml"))
    (there,) = [name for name, one in before.items() if one["through"] == ["shelf near"]]
    other = next(name for name in before if name != there)
    tubes = [
        with_tube(name, name.replace("t", "u"), **({"through": ["shelf near"]} if name == other else {}))
        for name in before
    ]
    moved = moved_by(tmp_path / "scene.toml", a_scene(*closet(*tubes, near=1, count=6)))
    after = tubes_in(plan_beside(tmp_path / "scene.toml"))
    assert {name: after[name]["through"] for name in (there, other)} == {
        there: ["shelf far"],
        other: ["shelf near"],
    }
    assert {there, other} <= set(moved) < set(before)


# ── few tubes and none ───────────────────────────────────────────────────────────────────────────
SHUT_IN = [
    with_box("cell low", (-20, -20, 60), (40, 40, 10)),
    with_box("cell high", (-20, -20, 130), (40, 40, 10)),
    with_box("cell left", (-30, -20, 60), (10, 40, 80)),
    with_box("cell right", (20, -20, 60), (10, 40, 80)),
    with_box("cell front", (-30, -30, 60), (60, 10, 80)),
    with_box("cell back", (-30, 20, 60), (60, 10, 80)),
]


def test_where_nothing_can_be_laid_the_reasons_are_told(tmp_path):
    laying = plan_scene(written(tmp_path, a_scene(*ROOM, *ACROSS, *SHUT_IN)), fresh=True)
    assert laying.plan.tubes == ()
    (one,) = laying.plan.no_ways
    assert one.tubes == ("one",)
    assert one.cause
    assert one.frees


def test_what_can_be_laid_is_laid_beside_what_cannot(tmp_path):
    other = [
        with_nipple("c", (0, 100, 100), faces="right", outside=NIPPLE),
        with_nipple("d", (400, 100, 30), faces="up", outside=NIPPLE),
        with_tube("c 1", "d 1", name="two"),
    ]
    path = written(tmp_path, a_scene(*ROOM, *ACROSS, *SHUT_IN, *other))
    plan = plan_scene(path, fresh=True).plan
    assert [tube.name for tube in plan.tubes] == ["two"]
    assert [one.tubes for one in plan.no_ways] == [("one",)]
    assert shortfalls_of(path) == []


def test_no_tubes_make_an_empty_plan(tmp_path):
    cabinets = placed(read_scene(written(tmp_path, a_scene(*ROOM))))
    *_, last = plan_tubes(cabinets, ())
    assert last.plan == Plan(tubes=(), no_ways=(), runs=())
    assert (last.done, last.of) == (0, 0)


def test_drawn_tubes_alone_make_an_empty_plan(tmp_path):
    *_, last = steps_of(written(tmp_path, a_scene(*ROOM, *CROSSING)))
    assert last.plan == Plan(tubes=(), no_ways=(), runs=())
    assert last.of == 0


def test_a_tube_between_nipples_that_face_each_other_goes_straight_on(tmp_path):
    facing = [
        with_nipple("a", (0, 0, 100), faces="right", outside=NIPPLE),
        with_nipple("b", (400, 0, 100), faces="left", outside=NIPPLE),
        with_tube("a 1", "b 1", name="one"),
    ]
    tubes = laid(tmp_path, a_scene(*ROOM, *facing))
    assert np.abs(tubes["one"].corners[:, 1:] - (0, 100)).max() <= 0.1


def test_one_tube_alone_is_laid(tmp_path):
    tubes = laid(tmp_path, a_scene(*ROOM, *ACROSS))
    assert list(tubes) == ["one"]
    is_in_form(tubes["one"], (RIGHT, UP))
