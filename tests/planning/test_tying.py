"""Where tubes are tied: enough that `hang` is content, near the fewest that the sag of a level span allows.

Held loosely, a level span sags 5 w L^4 / (384 E I) (S. Timoshenko, Strength of Materials, part I; from
memory), with E = 1.2 MPa, density 0.95, outside 5.56 and bore 3.97 of builders.NOTE. A tie must keep the sag
to what lies below, less the 2 mm that are asked for and 1 mm more, and to 15 mm.
"""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from benchmarks.cabinets import a_cabinet
from builders import read, with_board, with_box, with_keep_clear, with_part, with_stage, with_tubing, written
from lays import RADIUS, a_lay
from verdicts import a_tube, a_tube_right, a_tube_up

from routeviz.cabinet.placing import place
from routeviz.checks.hang import check
from routeviz.planning.tying import ties_for
from routeviz.scene.reading import read_scene
from routeviz.tubes.centrelines import shape
from routeviz.tubes.measures import measure

EI = 1.2 * math.pi / 64 * (5.56**4 - 3.97**4)
WEIGHT = math.pi / 4 * (5.56**2 - 3.97**2) * 0.95e-6 * 9.80665  # N/mm, standard gravity
LONG = 600.0
EVERY = 6.0  # places for ties are sought so far apart
STAGES = (with_stage("bench"), with_stage("moving", pose="leaned back 90 deg"), with_stage("home"))
LYING = 'pose = "leaned back 90 deg"'


def longest(sag):
    """The longest level span that sags so much at most."""
    return (sag * 384 * EI / (5 * WEIGHT)) ** 0.25


def fewest(sag, long=LONG):
    return math.ceil(long / longest(sag)) - 1


def floor(below, **more):
    """A board whose top is so far below the centreline of a tube at z = 0."""
    return with_board("floor", (-50, -200, -below - 20), (700, 400, 20), **more)


def findings(cabinet, tubes, ties):
    tied = tuple(replace(tube, ties=own) for tube, own in zip(tubes, ties, strict=True))
    return check(cabinet, tied, measure(cabinet, tied))


def mended(folder, *pieces, **head):
    """The ties for these pieces, in which tubes hang without ties and do not with them."""
    cabinet, tubes = a_lay(folder, *pieces, **head)
    assert findings(cabinet, tubes, [()] * len(tubes)) != []
    ties = ties_for([cabinet], tubes)
    assert findings(cabinet, tubes, ties) == []
    return ties


def along(ties):
    return [tie.along_mm for tie in ties]


def spans(ties, long=LONG):
    return [end - begin for begin, end in pairwise([0.0, *along(ties), long])]


@pytest.mark.parametrize("below", [8.0, 10.0, 14.0, 25.0, 42.0])
def test_as_few_as_the_sag_of_a_level_span_allows(below, tmp_path):
    (ties,) = mended(tmp_path, a_tube_right(long=LONG), floor(below))
    sag = min(below - RADIUS - 2 - 1, 15)
    assert max(spans(ties)) <= longest(sag) + 1e-6
    assert fewest(sag) <= len(ties) <= math.ceil(LONG / (longest(sag) - EVERY)) - 1
    assert {tie.to for tie in ties} == {"floor"}


def test_what_a_part_asks_for_counts(tmp_path):
    (plain,) = mended(tmp_path, a_tube_right(long=LONG), floor(14))
    (asking,) = mended(tmp_path, a_tube_right(long=LONG), floor(14, clearance=7))
    assert max(spans(plain)) > longest(14 - RADIUS - 7)
    assert max(spans(asking)) <= longest(14 - RADIUS - 7 - 1)


def test_with_little_to_spare_half_of_it_is_kept(tmp_path):
    # 0.4 mm to spare: a span sags unseen up to 0.5, or by half of what is spare
    (ties,) = mended(tmp_path, a_tube_right(long=LONG), floor(RADIUS + 2.4))
    assert fewest(0.5) <= len(ties) <= math.ceil(LONG / (longest(0.45) - EVERY)) - 1


def test_ties_are_spread_evenly(tmp_path):
    (ties,) = mended(tmp_path, a_tube_right(long=LONG), floor(25))
    assert max(spans(ties)) - min(spans(ties)) < 30


@pytest.mark.parametrize("seed", range(12))
def test_blocks_of_any_width_and_height_under_a_tube(seed, tmp_path):
    # Each between 6 and 30 below the centreline; the floor is near enough to tie to everywhere.
    draw = np.random.default_rng(seed)
    blocks = [
        with_box(f"block {'abcdef'[i]}", (right, -20, -40), (wide, 40, 40 - below))
        for i, (right, wide, below) in enumerate(
            zip(*draw.uniform([[0], [1], [6]], [[580], [40], [30]], (3, 6)).round(2).tolist(), strict=True)
        )
    ]
    mended(tmp_path, a_tube_right(long=LONG), floor(40), *blocks)


@pytest.mark.parametrize("seed", range(12))
def test_the_edge_of_a_step_under_a_slanting_tube_is_seen_wherever_it_lies(seed, tmp_path):
    # The wall of a tube that rises by 40 degrees passes an edge 2.2 to 2.5 mm off, of which 2 are asked for.
    draw = np.random.default_rng(seed)
    rise, along, off = math.radians(40), draw.uniform(60, 240), RADIUS + draw.uniform(2.2, 2.5)
    ahead, up = (math.cos(rise), math.sin(rise)), (-math.sin(rise), math.cos(rise))
    right, high = (along * ahead[i] - off * up[i] for i in range(2))
    step = with_box("step", (round(right, 3), -20, round(high, 3) - 300), (200, 28, 300))
    wall = with_box("wall", (-50, 10, -200), (500, 20, 600))
    ways = [{"right": sign * ahead[0], "back": 0, "up": sign * ahead[1]} for sign in (1, -1)]
    ends = [(0, 0, 0), (300 * ahead[0], 0, 300 * ahead[1])]
    mended(tmp_path, a_tube("a", ends, tuple(ways)), step, wall)


def test_what_hangs_clear_and_short_is_not_tied(tmp_path):
    short = longest(15) - 1
    cabinet, tubes = a_lay(tmp_path, a_tube_right(long=short), floor(60))
    assert ties_for([cabinet], tubes) == ((),)


def test_a_slanting_tube_hangs_no_lower_than_its_length_lets_it(tmp_path):
    # At 45 degrees, and 5 % longer than drawn if slack: a point at s from the lower end and t from the upper
    # can come down by (q + r) s and (q - r) t. Where both are equal is the lowest that the length allows.
    q, r = math.sqrt(1.05**2 - 0.5), math.sqrt(0.5)
    lowest = 200 * (q * q - r * r) / (2 * q)
    assert 13 < lowest < 15 < 200**4 * r * 15 / longest(15) ** 4
    wall = with_box("wall", (-50, 10, -50), (500, 20, 500))
    side = 200 / math.sqrt(2)

    def toward(right, up):
        return {"right": right, "back": 0, "up": up}

    slanting = a_tube("a", [(0, 0, 0), (side, 0, side)], (toward(1, 1), toward(-1, -1)))
    cabinet, tubes = a_lay(tmp_path, slanting, wall)
    assert ties_for([cabinet], tubes) == ((),)
    cabinet, tubes = a_lay(tmp_path, a_tube_right(long=200), wall)
    (ties,) = ties_for([cabinet], tubes)
    assert len(ties) == fewest(15, 200) == 1


def test_a_curtain_is_tied_up_though_it_touches_nothing(tmp_path):
    cabinet, tubes = a_lay(tmp_path, a_tube_right(long=LONG), with_box("over", (-50, -50, 9), (700, 100, 20)))
    assert findings(cabinet, tubes, [()]) == []
    (ties,) = ties_for([cabinet], tubes)
    assert len(ties) == fewest(15)


def bundle(count, pitch=6.0, **more):
    return [a_tube_right(f"t{i}", (0, pitch * i, 0), long=LONG, **more) for i in range(count)]


def test_a_bundle_is_tied_at_the_same_places(tmp_path):
    ties = mended(tmp_path, *bundle(5), floor(80))
    assert {tie.to for own in ties for tie in own} == {"bundle"}
    assert len(ties[0]) == fewest(15)
    assert all(along(own) == along(ties[0]) for own in ties)


def test_tubes_of_a_bundle_that_start_apart_are_tied_side_by_side(tmp_path):
    shifts = [0.0, 17.0, 40.0, 23.0, 9.0]
    tubes = [a_tube_right(f"t{i}", (shift, 6.0 * i, 0), long=LONG - shift) for i, shift in enumerate(shifts)]
    ties = mended(tmp_path, *tubes, floor(80))
    places = sorted(shift + at for shift, own in zip(shifts, ties, strict=True) for at in along(own))
    groups = sum(b - a > EVERY for a, b in pairwise(places)) + 1
    assert groups == fewest(15)
    assert all(fewest(15, LONG - s) <= len(own) <= groups for s, own in zip(shifts, ties, strict=True))


def test_wood_goes_before_the_bundle(tmp_path):
    rail = with_box("rail", (130, -10, 6), (30, 60, 20))  # its underside is 3.2 above the tubes
    ties = mended(tmp_path, *bundle(3), rail, floor(80))
    for own in ties:
        assert len(own) == fewest(15)
        assert all((tie.to == "rail") == (118 <= tie.along_mm <= 172) for tie in own)
        assert "rail" in [tie.to for tie in own]


def test_a_lone_tube_far_from_everything_is_left_to_the_check(tmp_path):
    cabinet, tubes = a_lay(tmp_path, a_tube_right(long=LONG), floor(80))
    assert ties_for([cabinet], tubes) == ((),)
    assert findings(cabinet, tubes, [()]) != []


def test_unknown_stiffness_is_not_tied(tmp_path):
    cabinet, tubes = a_lay(tmp_path, a_tube_right(long=LONG), floor(8), with_tubing("note", modulus=None))
    assert ties_for([cabinet], tubes) == ((),)


def test_another_tube_that_stays_as_it_is_holds(tmp_path):
    cabinet, tubes = a_lay(tmp_path, *bundle(2), floor(80))
    (ties,) = ties_for([cabinet], tubes[:1], tubes[1:])
    assert len(ties) == fewest(15)
    assert ties_for([cabinet], tubes[:1]) == ((),)


def test_a_tube_without_a_centreline_gets_none(tmp_path):
    cabinet, tubes = a_lay(tmp_path, *bundle(2), floor(10))
    undrawn = replace(tubes[0], curve=None, corners=None, radii=None)
    ties = ties_for([cabinet], [undrawn, tubes[1]])
    assert ties[0] == ()
    assert len(ties[1]) >= fewest(10 - RADIUS - 3)
    assert ties_for([cabinet], [undrawn]) == ((),)


def test_which_way_is_down_counts(tmp_path):
    # A tube up a back wall: it hangs only where the case lies on its back, down being +y.
    wall = with_box("wall", (-50, 12, -50), (100, 20, 700))
    upright = a_lay(tmp_path, a_tube_up(long=LONG), wall)
    assert ties_for([upright[0]], upright[1]) == ((),)
    (ties,) = mended(tmp_path, a_tube_up(long=LONG), wall, top=LYING)
    assert fewest(12 - RADIUS - 3) <= len(ties) <= fewest(12 - RADIUS - 3) + 1


def in_stages(folder, *pieces):
    """The cabinet and the tubes in each stage."""
    reading = read(folder, *STAGES, *pieces)
    cabinets = [place(reading, name) for name in ("bench", "moving", "home")]
    return cabinets, [shape(reading, cabinet) for cabinet in cabinets]


def test_every_stage_is_hung_in_its_own_pose(tmp_path):
    wall = with_box("wall", (-50, 12, -50), (100, 20, 700))
    cabinets, lays = in_stages(tmp_path, wall, a_tube_up(long=LONG))
    ties = ties_for(cabinets, lays[-1])
    assert fewest(12 - RADIUS - 3) <= len(ties[0]) <= fewest(12 - RADIUS - 3) + 1
    for cabinet, tubes in zip(cabinets, lays, strict=True):
        assert findings(cabinet, tubes, ties) == []
    assert findings(cabinets[1], lays[1], [()]) != []


def test_a_stage_in_which_a_tube_is_not_there_does_not_count(tmp_path):
    wall = with_box("wall", (-50, 12, -50), (100, 20, 700))
    cabinets, lays = in_stages(tmp_path, wall, a_tube_up(long=LONG, stage="home"))
    assert ties_for(cabinets, lays[-1]) == ((),)


def test_only_what_is_there_in_all_of_a_tube_s_stages_holds(tmp_path):
    late = with_box("late", (-50, 0, 6), (700, 100, 20), stage="home")
    rail = with_box("rail", (-50, -30, 6), (700, 25, 20))  # a little farther off
    for stage, to in ((None, "rail"), ("home", "late")):
        cabinets, lays = in_stages(tmp_path, late, rail, floor(80), a_tube_right(long=LONG, stage=stage))
        (ties,) = ties_for(cabinets, lays[-1])
        assert {tie.to for tie in ties} == {to}


def test_an_earlier_tube_is_not_tied_to_a_later_one(tmp_path):
    early, late = (
        a_tube_right("a", long=LONG, stage="bench"),
        a_tube_right("b", (0, 6, 0), long=LONG, stage="home"),
    )
    cabinets, lays = in_stages(tmp_path, early, late, floor(80))
    ties = ties_for(cabinets, lays[-1])
    assert ties[0] == ()
    assert len(ties[1]) == fewest(15)


@pytest.mark.parametrize(
    "shunned",
    [
        with_box("over", (-50, -50, 6), (700, 100, 20), comes_out="up"),
        with_box("over", (-50, -50, 6), (700, 100, 20), look="felt"),
        with_box("over", (-50, -50, 7), (700, 100, 20), motion={"slides": "up", "travel": 20}),
    ],
)
def test_what_moves_comes_out_or_is_soft_holds_nothing(shunned, tmp_path):
    cabinet, tubes = a_lay(tmp_path, a_tube_right(long=LONG), floor(80), shunned)
    assert ties_for([cabinet], tubes) == ((),)


def test_no_tie_in_a_space_that_is_kept_clear(tmp_path):
    clear = with_keep_clear("hand", (30, -50, -50), (200, 100, 100), "a hand reaches in here")
    cabinet, tubes = a_lay(tmp_path, a_tube_right(long=LONG), floor(10), clear)
    (ties,) = ties_for([cabinet], tubes)
    assert ties
    assert all(not 30 - 5 < at < 230 + 5 for at in along(ties))


def test_no_tie_where_a_moving_part_comes_near(tmp_path):
    # Drops from 60 above to 6 above; a tie stands out by 5 and the part asks for 2.
    (free,) = mended(tmp_path, a_tube_right(long=LONG), floor(10))
    low = along(free)[2] - 20
    part = with_box("damper", (low, -20, 60), (40, 40, 20), motion={"slides": "down", "travel": 54})
    (ties,) = mended(tmp_path, a_tube_right(long=LONG), floor(10), part)
    assert all(not low < at < low + 40 for at in along(ties))


def test_no_tie_inside_a_passage_or_near_a_nipple(tmp_path):
    hole = {"hole": {"at": {"right": 0, "back": 170, "up": 90}, "size": {"deep": 60, "high": 60}}}
    wall = with_part(
        "wall",
        kind="board",
        at={"right": 95, "back": -200, "up": -120},
        size={"wide": 20, "deep": 400, "high": 400},
        opening=hole,
    )
    (ties,) = mended(tmp_path, a_tube_right(long=LONG, through=["wall hole"]), floor(8), wall)
    assert all(not 95 - 10 < at < 115 + 10 for at in along(ties))
    assert all(15 <= at <= LONG - 15 for at in along(ties))


def test_the_same_again(tmp_path):
    cabinet, tubes = a_lay(tmp_path, *bundle(5), floor(12))
    assert ties_for([cabinet], tubes) == ties_for([cabinet], tubes)


def test_no_tubes():
    assert ties_for([], []) == ()


@pytest.mark.parametrize("seed", [0, 1])
def test_invented_cabinets_hang_into_nothing_and_have_few_ties(seed, tmp_path):
    # The known lay is tied every 65 mm at most; level spans alone would ask for one every 172 mm.
    cabinet, tubes = _laid(written(tmp_path, a_cabinet(seed, 30).laid()))
    ties = ties_for([cabinet], [replace(tube, ties=()) for tube in tubes])
    assert findings(cabinet, tubes, [()] * len(tubes)) != []
    assert findings(cabinet, tubes, ties) == []
    assert sum(map(len, ties)) < sum(len(tube.ties) for tube in tubes) / 2


def _laid(path):
    reading = read_scene(path)
    cabinet = place(reading)
    return cabinet, shape(reading, cabinet)
