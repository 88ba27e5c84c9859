"""Tees and couplers without a place: what is found for them is legal by both checkers, and near the shortest.

A tee's arms are as long as its tubes end apart from its middle; so its tubes and arms together are no shorter
than the shortest network of straight lines between its three ends (Fermat's point), which is reckoned here.
"""

import itertools

import numpy as np
import pytest
from builders import (
    NOTE,
    a_scene,
    place,
    with_board,
    with_box,
    with_keep_clear,
    with_nipple,
    with_part,
    with_tube,
    written,
)
from scipy.optimize import minimize
from verifier.lays import case_of
from verifier.shortfalls import shortfalls_of

from routeviz.cabinet.joins import with_places
from routeviz.laying import PLACES, plan_scene
from routeviz.pipeline import check_scene, placed
from routeviz.planning.join_places import ELSEWHERE_MM, join_places
from routeviz.planning.steps import Step
from routeviz.scene.reading import read_scene
from routeviz.tubes.centrelines import shape
from routeviz.tubes.plans import NoWay, Plan

NIPPLE = 4.4  # outside, so that the bore of 3.97 grips
LONG = 38.0  # from tip to tip: shorter, three ends of tube have no room about the middle
BEND = NOTE["least_bend"]
ENDS = {"a": (0, 0, 100), "b": (400, 0, 30), "c": (200, 150, 200)}
ROOM = [
    with_box("lid", (-100, -200, 300), (600, 400, 10)),
    with_box("floor", (-100, -200, -110), (600, 400, 10)),
    with_nipple("a", ENDS["a"], faces="right", outside=NIPPLE),
    with_nipple("b", ENDS["b"], faces="up", outside=NIPPLE),
    with_nipple("c", ENDS["c"], faces="front", outside=NIPPLE),
]
THREE = [
    with_tube("a 1", "tee 1", name="one"),
    with_tube("tee 2", "b 1", name="two"),
    with_tube("c 1", "tee 3", name="three"),
]


def a_tee(name="tee", **more):
    return with_part(name, **{"kind": "tee", "outside": NIPPLE, "long": LONG} | more)


def laid(folder, *pieces):
    """The plan of a scene in which nothing is wrong by either checker, and the scene's path."""
    path = written(folder, a_scene(*pieces))
    laying = plan_scene(path, fresh=True)
    assert [one.says for one in laying.lay.findings if one.severity != "note"] == []
    assert laying.plan.no_ways == ()
    assert shortfalls_of(path) == []
    return laying.plan, path


def network_mm(points):
    """The shortest that straight lines from one point to all of some points are together."""
    points = np.array(points, float)

    def total(at):
        return np.linalg.norm(points - at, axis=1).sum()

    return minimize(total, points.mean(axis=0), method="Nelder-Mead", options={"xatol": 1e-4}).fun


def places_alone(folder, *pieces):
    """What is found for a scene, without laying its tubes."""
    reading = read_scene(written(folder, a_scene(*pieces)))
    cabinets = placed(reading)
    return join_places(reading, cabinets, shape(reading, cabinets[-1]))


# ── where it lies ────────────────────────────────────────────────────────────────────────────────
def test_a_tee_is_placed_where_its_tubes_are_short_and_legal(tmp_path):
    plan, path = laid(tmp_path, *ROOM, a_tee(), *THREE)
    assert [one.name for one in plan.places] == ["tee"]
    assert [tube.name for tube in plan.tubes] == ["one", "two", "three"]
    lay = check_scene(path)
    assert (lay.taken.stale, lay.taken.laid) == (False, ("one", "two", "three"))
    least = network_mm(list(ENDS.values()))
    total = float(lay.measured.lengths_mm.sum()) + 3 * LONG / 2
    assert total >= least
    # At each of its ends a tube goes at most a bend ahead and a bend back more than the straight line.
    assert total <= least + 3 * 2 * 2 * BEND


def test_a_coupler_is_placed_on_the_way_between_its_two_ends(tmp_path):
    two = [with_tube("a 1", "joint 1", name="one"), with_tube("joint 2", "b 1", name="two")]
    plan, path = laid(tmp_path, *ROOM[:4], a_tee("joint", kind="coupler"), *two)
    assert (plan.places[0].name, plan.places[0].branches) == ("joint", None)
    total = float(check_scene(path).measured.lengths_mm.sum()) + LONG
    straight = np.linalg.norm(np.subtract(ENDS["a"], ENDS["b"]))
    assert straight <= total <= straight + 2 * 2 * 2 * BEND


def test_tees_that_are_joined_to_each_other_are_both_placed(tmp_path):
    fourth = with_nipple("d", (300, -150, 200), faces="back", outside=NIPPLE)
    wires = {"a 1": "left 1", "c 1": "left 2", "left 3": "right 1", "right 2": "b 1", "d 1": "right 3"}
    tubes = [with_tube(start, end, name=f"{start[0]}-{end[0]}") for start, end in wires.items()]
    plan, path = laid(tmp_path, *ROOM, fourth, a_tee("left"), a_tee("right"), *tubes)
    assert [one.name for one in plan.places] == ["left", "right"]
    total = float(check_scene(path).measured.lengths_mm.sum()) + 6 * LONG / 2
    # A tree that joins four points is at least as long as the shortest network of any three of them.
    ends = [*ENDS.values(), (300, -150, 200)]
    assert total >= max(network_mm(three) for three in itertools.combinations(ends, 3))
    assert total <= network_mm(ends) + 5 * 2 * 2 * BEND


def test_a_tee_lies_out_of_reach_of_what_moves_and_of_what_is_kept_clear(tmp_path):
    slide = {"slides": "up", "travel": 150}
    hammer = with_box("hammer", (150, -20, 60), (60, 60, 20), motion=slide)
    clear = with_keep_clear("hand", (215, -40, 60), (60, 100, 120), "a hand reaches in")
    plan, _ = laid(tmp_path, *ROOM, hammer, clear, a_tee(), *THREE)  # both checkers look at the whole travel
    right, back, up = plan.places[0].at
    assert not (150 <= right <= 210 and -20 <= back <= 40 and 60 <= up <= 230)
    assert not (215 <= right <= 275 and -40 <= back <= 60 and 60 <= up <= 180)


def test_a_part_can_still_come_out_past_a_tee(tmp_path):
    drawer = with_box("drawer", (100, -60, -100), (200, 200, 20), comes_out="up")
    plan, _ = laid(tmp_path, *ROOM, drawer, a_tee(), *THREE)
    right, back, up = plan.places[0].at
    radius = NIPPLE / 2
    beside = right < 100 - radius or right > 300 + radius or back < -60 - radius or back > 140 + radius
    assert beside or up < -100


def test_a_tee_between_two_rooms_lies_not_in_the_passage(tmp_path):
    hole = {"at": place(180, 180, 0), "size": {"wide": 60, "deep": 40}}
    box = [
        with_board("shelf", (-100, -200, 150), (600, 400, 12), opening={"hole": hole}),
        with_box("left", (-110, -200, -110), (10, 400, 420)),
        with_box("right", (500, -200, -110), (10, 400, 420)),
        with_box("front", (-100, -210, -110), (600, 10, 420)),
        with_box("back", (-100, 200, -110), (600, 10, 420)),
    ]
    above = with_nipple("c", (200, 100, 250), faces="front", outside=NIPPLE)
    (one,) = places_alone(tmp_path, *ROOM[:4], above, *box, a_tee(), *THREE).places
    middle = one.at
    above_hole = 80 <= middle[0] <= 140 and -20 <= middle[1] <= 20
    assert not (above_hole and 150 - 40 <= middle[2] <= 162 + 40)


# ── what stays, and what is tried next ───────────────────────────────────────────────────────────
def test_planned_again_after_a_change_elsewhere_it_stays_where_it_was(tmp_path):
    plan, path = laid(tmp_path, *ROOM, a_tee(), *THREE)
    far = with_box("far", (-90, -190, 200), (20, 20, 20))
    written(tmp_path, a_scene(*ROOM, a_tee(), *THREE, far))
    again = plan_scene(path).plan
    assert again.inputs != plan.inputs
    assert again.places[0].at.tolist() == plan.places[0].at.tolist()
    assert (again.places[0].runs, again.places[0].branches) == (plan.places[0].runs, plan.places[0].branches)


class Helpless:
    """A planner that lays nothing, and says so; it remembers where the tee lay each time."""

    def __init__(self):
        self.middles = []
        self.far = None  # from where the tee lies to where it fails

    def __call__(self, cabinets, tubes, before):
        tips = [cabinets[-1].nipples[f"tee {number}"].tip for number in (1, 2)]
        self.middles.append((tips[0] + tips[1]) / 2)
        point = None if self.far is None else self.middles[-1] + self.far
        lost = NoWay(tubes=("one",), passage=None, point=point, cause="no way", frees="make room")
        yield Step(stage="spreading", done=0, of=3, plan=Plan(tubes=(), no_ways=(lost,), runs=()))


def test_where_its_tubes_cannot_be_laid_a_few_other_places_are_tried(tmp_path):
    helpless = Helpless()
    laying = plan_scene(written(tmp_path, a_scene(*ROOM, a_tee(), *THREE)), planner=helpless)
    assert len(helpless.middles) == PLACES
    for one, other in itertools.combinations(helpless.middles, 2):
        assert np.abs(one - other).max() >= ELSEWHERE_MM
    assert [w.tubes for w in laying.plan.no_ways] == [("one",)]


# ── no place ─────────────────────────────────────────────────────────────────────────────────────
# A closed duct, 30 wide and 24 high: the middle lies 5 off a wall, a tee's branch and the straight end of its
# tube reach 19 and 6 farther, and there the wall on the other side is nearer than 5, or no bend has room.
DUCT = [
    with_box("under", (-10, -25, 78), (420, 50, 10)),
    with_box("over", (-10, -25, 112), (420, 50, 10)),
    with_box("near", (-10, -25, 88), (420, 10, 24)),
    with_box("behind", (-10, 15, 88), (420, 10, 24)),
    with_box("first end", (-10, -15, 88), (10, 30, 24)),
    with_box("last end", (400, -15, 88), (10, 30, 24)),
    with_nipple("a", (0, -8, 100), faces="right", outside=NIPPLE, carried_by="first end"),
    with_nipple("b", (400, -8, 100), faces="left", outside=NIPPLE, carried_by="last end"),
    with_nipple("c", (400, 8, 100), faces="left", outside=NIPPLE, carried_by="last end"),
]


def test_where_there_is_no_room_for_a_tee_the_reason_is_told_with_its_tubes(tmp_path):
    path = written(tmp_path, a_scene(*DUCT, a_tee(), *THREE))
    laying = plan_scene(path)
    (reason,) = laying.plan.no_ways
    assert (reason.part, reason.tubes) == ("tee", ("one", "two", "three"))
    assert reason.cause.startswith("tee has no place: none was found with room for it; mostly ")
    assert reason.frees == "make room where its tubes meet, or write at for tee where it lies"
    faults = [one for one in check_scene(path).findings if one.severity == "fault"]
    assert [(one.rule, one.other, one.says) for one in faults] == [("no_way", "tee", reason.cause)]
    assert case_of(path).nipples.keys() == {"a 1", "b 1", "c 1"}
    assert shortfalls_of(path) == []  # its tubes are given up


def test_a_tee_of_whose_tubes_no_end_is_known_is_told(tmp_path):
    found = places_alone(tmp_path, *ROOM[:2], a_tee(), with_tube("tee 1", "loose", name="one"))
    (reason,) = found.no_ways
    assert reason.cause == "tee has no place: of none of its tubes is it known where the other end lies"


def test_a_tee_without_tubes_is_not_sent_to_the_planner_again(tmp_path):
    path = written(tmp_path, a_scene(*ROOM[:2], a_tee()))
    plan_scene(path)
    assert [(one.rule, one.other) for one in check_scene(path).findings] == [("no_way", "tee")]


def test_two_rooms_that_nothing_joins_are_told(tmp_path):
    wall = with_box("wall", (-100, -200, 150), (600, 400, 12))
    sides = [
        with_box("left", (-110, -200, -110), (10, 400, 420)),
        with_box("right", (500, -200, -110), (10, 400, 420)),
        with_box("front", (-100, -210, -110), (600, 10, 420)),
        with_box("back", (-100, 200, -110), (600, 10, 420)),
    ]
    (reason,) = places_alone(tmp_path, *ROOM, wall, *sides, a_tee(), *THREE).no_ways
    assert reason.cause == "tee has no place: no free place was found that all its tubes can reach"


# ── a place that a plan says ─────────────────────────────────────────────────────────────────────
def test_a_tee_stands_where_its_place_says_as_one_that_was_taped(tmp_path):
    (found,) = places_alone(tmp_path, *ROOM, a_tee(), *THREE).places
    right, back, up = found.at.tolist()
    path = written(tmp_path, a_scene(*ROOM, a_tee(), *THREE))
    said = {"at": place(right, back, up), "runs": found.runs, "branches": found.branches}
    taped = placed(read_scene(written(tmp_path, a_scene(*ROOM, a_tee(**said), *THREE), "taped.toml")))[-1]
    planned = placed(with_places(read_scene(path), [found]))[-1]
    assert planned.without_place == ()
    assert [s.pieces.origins.tolist() for s in planned.solids] == [
        s.pieces.origins.tolist() for s in taped.solids
    ]
    assert {n: (one.tip.tolist(), one.direction.tolist()) for n, one in planned.nipples.items()} == {
        n: (one.tip.tolist(), one.direction.tolist()) for n, one in taped.nipples.items()
    }


@pytest.mark.parametrize("kind", ["tee", "coupler"])
def test_the_same_scene_gives_the_same_places(tmp_path, kind):
    tubes = THREE if kind == "tee" else THREE[:2]
    one, other = (places_alone(tmp_path, *ROOM, a_tee(kind=kind), *tubes) for _ in range(2))
    assert repr(one) == repr(other)


@pytest.mark.parametrize(("far", "count"), [((0.0, 0.0, 0.0), PLACES), ((0.0, 0.0, 200.0), 1)])
def test_what_is_wrong_far_from_it_no_other_place_is_tried_for(tmp_path, far, count):
    helpless = Helpless()
    helpless.far = np.array(far)
    plan_scene(written(tmp_path, a_scene(*ROOM, a_tee(), *THREE)), planner=helpless)
    assert len(helpless.middles) == count


# ── which of many places ─────────────────────────────────────────────────────────────────────────
def test_of_places_that_are_alike_one_near_wood_is_taken(tmp_path):
    # On the straight way from a to b every place gives the same length; a post stands beside it.
    post = with_box("post", (280, 20, 30), (40, 40, 140))
    ends = [
        with_nipple("a", (0, 0, 100), faces="right", outside=NIPPLE),
        with_nipple("b", (600, 0, 100), faces="left", outside=NIPPLE),
    ]
    joined = [with_tube("a 1", "joint 1", name="one"), with_tube("joint 2", "b 1", name="two")]
    (one,) = places_alone(tmp_path, *ends, post, a_tee("joint", kind="coupler"), *joined).places
    right, back, up = one.at
    assert np.hypot(max(280 - right, right - 320, 0), 20 - back) <= 30  # from its middle to the post
    assert abs(up - 100) <= 30


def test_it_lies_where_fingers_reach_and_not_behind_a_slit(tmp_path):
    # A case with an open front; all three ends are behind a board that leaves a slit of 40 at the top.
    case = [
        with_box("bottom", (-10, -10, -10), (620, 420, 10)),
        with_box("top", (-10, -10, 400), (620, 420, 10)),
        with_box("left", (-10, -10, 0), (10, 420, 400)),
        with_box("right", (600, -10, 0), (10, 420, 400)),
        with_box("rear", (0, 400, 0), (600, 10, 400)),
        with_box("screen", (0, 140, 0), (600, 10, 360)),
    ]
    ends = [
        with_nipple("a", (100, 300, 260), faces="up", outside=NIPPLE),
        with_nipple("b", (500, 300, 260), faces="up", outside=NIPPLE),
        with_nipple("c", (300, 200, 260), faces="up", outside=NIPPLE),
    ]
    (one,) = places_alone(tmp_path, *case, *ends, a_tee(), *THREE).places
    # A hand, 90 wide, comes to 45 before the board and 45 under the top; 80 farther its fingers end.
    _, back, up = one.at
    assert np.hypot(max(back - (140 - 45), 0), max(up - (400 - 45), 0)) <= 80 + 10  # and a cell
