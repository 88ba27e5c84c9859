"""What a plan says of strings: corners and radii near them, passages, ties where they are due, runs in order.

Strings are drawn by hand; where one sags follows from builders.NOTE as in test_tying.py.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from builders import NOTE, read, with_box, with_row, with_tube

from routeviz.cabinet.placing import place
from routeviz.geometry.curves import length, points_along, rounded_polyline
from routeviz.planning.easing import NOTHING_DRAWN
from routeviz.planning.finishing import finished
from routeviz.planning.relaxing import State, Still, strings_of
from routeviz.planning.stations import stations_of
from routeviz.planning.threading import Stretch
from routeviz.scene.description import MOST_POINTS
from routeviz.tubes.centrelines import shape
from routeviz.tubes.plan_file import plan_text
from routeviz.tubes.plans import NoWay

COUNT, APART, LONG, UP = 12, 12.0, 600.0, 100.0
NO_STILL = Still(lines=(), radii=np.zeros(0), groups=np.zeros(0, dtype=np.int64))
LEG = 5.75  # held at both ends, a little more than an outside diameter of 5.56
BELOW = 40.0  # under the centrelines: more than a span of LONG sags
NEAR = 9.0  # under the centrelines, and less
ORDER = (7, 10, 2, 12, 1, 9, 3, 11, 4, 6, 5, 8)  # in which the file has the tubes


def bumped(height):
    """A level string between two nipples that rises and falls by so much, as a cosine does."""
    xs = np.linspace(LEG, LONG - LEG, 99)
    rise = height * (1 - np.cos(2 * math.pi * (xs - LEG) / (LONG - 2 * LEG))) / 2
    return np.column_stack([xs, np.zeros(len(xs)), rise])


def the_case(folder, below=BELOW, *more):
    """Tubes from a row of nipples to one opposite, in no order; the cabinet, the tubes, their stations."""
    floor = with_box("floor", (-100, -100, UP - below - 10), (LONG + 200, 400, 10))
    rows = [
        with_row("s", f"1..{COUNT}", (0, 0, UP), (0, APART * (COUNT - 1), UP), faces="right"),
        with_row("e", f"1..{COUNT}", (LONG, 0, UP), (LONG, APART * (COUNT - 1), UP), faces="left"),
    ]
    wired = [with_tube(f"s {n}", f"e {n}") for n in ORDER]
    reading = read(folder, floor, *rows, *wired, *more)
    cabinet = place(reading, None)
    tubes = shape(reading, cabinet)
    return cabinet, tubes, stations_of(cabinet, tubes, ("floor",))


def laid(stations, own, heights, room):
    """Strings of the stations' tubes, and as much room about each point, to others and to things, as said."""
    strands = []
    for tube, height in zip(own, heights, strict=True):
        tips = stations.tips[tube]
        free = tips[0] + bumped(height)
        strands.append(
            [
                Stretch(points=np.stack([tips[0], free[0]]), held=True),
                Stretch(points=free, held=False),
                Stretch(points=np.stack([free[-1], tips[1]]), held=True),
            ]
        )
    strings = strings_of(strands, stations, own, 6.0, NO_STILL)
    rooms = np.tile([*room, 1.0], (len(strings.points), 1))
    return strings, State(rooms=rooms), own, NOTHING_DRAWN


def the_plan(folder, *, below=BELOW, own=tuple(range(COUNT)), heights=None, room=(10.0, 5.0), no_ways=()):
    """What is written of tubes that go level but for a bump; half of them through a passage."""
    cabinet, tubes, stations = the_case(folder, below)
    strung = laid(stations, own, heights or [30.0] * len(own), room)
    through = {tube: ("slot",) if int(stations.names[tube][2:]) > COUNT / 2 else () for tube in own}
    return finished([cabinet], tubes, stations, strung, through, no_ways)[0], strung[0], stations


def test_every_string_is_written_by_its_name_with_its_passages(tmp_path):
    plan, _, _ = the_plan(tmp_path)
    assert [tube.name for tube in plan.tubes] == [f"s {n}" for n in ORDER]
    assert [tube.through for tube in plan.tubes] == [("slot",) if n > 6 else () for n in ORDER]


@pytest.mark.parametrize("room", [(0.6, 5.0), (5.0, 0.3), (1.4, 0.8), (10.0, 5.0)])
def test_a_tube_keeps_within_the_room_about_its_string(room, tmp_path):
    """All that is free to things; others make room.

    What the string itself is between its points is an arc: it lies off its chords by 6^2 / 8 R, and R of the
    bump is (LONG / 2 pi)^2 / (height / 2), 304 at the crest of the higher.
    """
    plan, strings, stations = the_plan(tmp_path, own=(0, 5), heights=[30.0, 60.0], room=room)
    most = room[1] + 6.1**2 / 8 / 300
    for number, tube in enumerate(plan.tubes):
        points = strings.points[strings.firsts[number] : strings.firsts[number + 1]]
        assert tube.corners[[0, -1]] == pytest.approx(stations.tips[(0, 5)[number]], abs=5e-4)
        curve = rounded_polyline(tube.corners, tube.radii)
        along = points_along(curve, np.linspace(0, length(curve), 4000))
        off = np.linalg.norm(points[:, None] - along[None], axis=2).min(axis=1)
        assert off.max() <= math.hypot(most, 0.1)  # looked at every 0.15 mm
        assert tube.radii.min() >= NOTE["least_bend"]


def test_what_is_free_to_others_does_not_hold_a_tube_back_as_things_do(tmp_path):
    """They make room where it is needed; here none is."""
    to_others, _, _ = the_plan(tmp_path, own=(0,), room=(0.2, 5.0))
    to_things, _, _ = the_plan(tmp_path, own=(0,), room=(10.0, 0.1))
    assert len(to_others.tubes[0].corners) < len(to_things.tubes[0].corners)


def test_more_room_gives_fewer_corners(tmp_path):
    tight, _, _ = the_plan(tmp_path, own=(0,), room=(10.0, 0.1))
    wide, strings, _ = the_plan(tmp_path, own=(0,), room=(10.0, 5.0))
    assert len(wide.tubes[0].corners) < len(tight.tubes[0].corners) <= len(strings.points)


def test_a_tube_that_winds_too_tightly_for_a_plan_is_told_with_its_bend_and_where(tmp_path):
    """A zigzag of more corners than a plan takes, 4 mm up and down every 6: at each of them it bends to less
    than half of such a step over the sine of half the turn.
    """
    cabinet, tubes, stations = the_case(tmp_path)
    strings, _, own, drawn = laid(stations, (0, 5), [30.0, 30.0], (10.0, 5.0))
    steps = np.arange(2 * MOST_POINTS)
    zigzag = stations.tips[0, 0] + np.column_stack([LEG + steps * 3.0, 0 * steps, 4.0 * (steps % 2)])
    points = np.concatenate([stations.tips[0, :1], zigzag, strings.points[strings.firsts[1] :]])
    count = len(zigzag) + 1
    moved = strings._replace(
        points=points,
        firsts=np.array([0, count, len(points)]),
        owners=np.repeat([0, 1], [count, len(points) - count]),
        free=np.append(np.ones(count), strings.free[strings.firsts[1] :]),
        exempt=np.full(len(points), -1),
    )
    rooms = np.tile([0.02, 0.02, 0.2], (len(points), 1))
    rooms[100, 2] = 0.125
    through = {0: ("slot",), 5: ()}
    plan = finished([cabinet], tubes, stations, (moved, State(rooms=rooms), own, drawn), through, ())[0]
    assert [tube.name for tube in plan.tubes] == [stations.names[5]]
    (one,) = plan.no_ways
    assert one.tubes == (stations.names[0],)
    assert one.wanted == pytest.approx(NOTE["least_bend"])
    assert one.there == math.floor(0.125 * stations.bends[0])
    assert one.point == pytest.approx(points[100])
    assert one.cause == (
        f"a bend of {NOTE['least_bend']:.0f} mm is needed; beside other tubes and what stands on the way "
        f"through slot, {math.floor(0.125 * stations.bends[0])} mm were found where it is tightest"
    )


@pytest.mark.parametrize("alone", [False, True])
def test_a_string_that_doubles_back_is_told_of_and_the_others_are_laid_as_without_it(alone, tmp_path):
    """Of one string two neighbouring points have changed places: it goes on, back and on again."""
    cabinet, tubes, stations = the_case(tmp_path)
    every = (0,) if alone else (5, 0, 7)
    strings, state, own, drawn = laid(stations, every, [30.0] * len(every), (10.0, 5.0))
    back = int(strings.firsts[every.index(0)]) + 50
    strings.points[[back, back + 1]] = strings.points[[back + 1, back]]
    state.rooms[back, 2] = 0.1
    through = dict.fromkeys(every, ("slot",))
    plan = finished([cabinet], tubes, stations, (strings, state, own, drawn), through, ())[0]
    (one,) = plan.no_ways
    assert one.tubes == (stations.names[0],)
    assert one.there == math.floor(0.1 * stations.bends[0])
    assert one.point == pytest.approx(strings.points[back])
    rest = [tube for tube in every if tube != 0]
    assert [tube.name for tube in plan.tubes] == [stations.names[tube] for tube in rest]
    if rest:
        strung = laid(stations, rest, [30.0] * len(rest), (10.0, 5.0))
        assert plan_text(finished([cabinet], tubes, stations, strung, through, [one])[0]) == plan_text(plan)


def test_numbers_are_on_the_grain(tmp_path):
    plan, _, _ = the_plan(tmp_path)
    for tube in plan.tubes:
        for numbers in (tube.corners, tube.radii[np.isfinite(tube.radii)]):
            assert np.abs(numbers * 1000 - np.rint(numbers * 1000)).max() < 1e-4


def test_a_level_string_is_a_straight_tube(tmp_path):
    plan, _, _ = the_plan(tmp_path, own=(4,), heights=[0.0])
    (tube,) = plan.tubes
    assert np.abs(tube.corners[:, 2] - UP).max() <= 1e-3
    assert length(rounded_polyline(tube.corners, tube.radii)) == pytest.approx(LONG, abs=1e-3)


def test_ties_are_where_a_tube_would_hang_into_what_is_below_and_lie_on_it(tmp_path):
    """A level span of 600 between nipples sags by 5 w L^4 / (384 E I) = 44 mm (first principles)."""
    second = math.pi / 64 * (NOTE["outside"] ** 4 - NOTE["bore"] ** 4)
    weight = math.pi / 4 * (NOTE["outside"] ** 2 - NOTE["bore"] ** 2) * NOTE["density"] * 1e-6 * 9.80665
    assert 5 * weight * LONG**4 / (384 * NOTE["modulus"] * second) > NEAR
    plan, _, _ = the_plan(tmp_path, below=NEAR, heights=[0.0] * COUNT)
    for tube in plan.tubes:
        along = [tie.along_mm for tie in tube.ties]
        assert along
        assert along == sorted(along)
        assert along[0] > 0
        assert along[-1] < LONG


def test_runs_are_told_in_the_order_of_the_nipples_whatever_the_file_has(tmp_path):
    plan, _, _ = the_plan(tmp_path)
    assert [(run.through, run.tubes) for run in plan.runs] == [
        ((), tuple(f"s {n}" for n in range(1, 7))),
        (("slot",), tuple(f"s {n}" for n in range(7, 13))),  # 10 after 9, not after 1
    ]
    assert [run.says for run in plan.runs] == ["s 1..6 through no passage", "s 7..12 through slot"]


def test_what_could_not_be_laid_is_handed_on_and_has_no_run(tmp_path):
    lost = NoWay(tubes=("s 7",), passage=None, point=None, cause="shut in", frees="open it")
    plan, _, _ = the_plan(tmp_path, own=(1, 2), no_ways=[lost])
    assert plan.no_ways == (lost,)
    assert sorted(name for run in plan.runs for name in run.tubes) == ["s 10", "s 2"]


def test_the_same_strings_give_the_same_bytes(tmp_path):
    first, second = (plan_text(the_plan(tmp_path)[0]) for _ in range(2))
    assert first == second


def test_a_string_is_written_alike_whatever_others_there_are(tmp_path):
    """Corners depend on the string alone; ties may be shared."""
    alone, _, _ = the_plan(tmp_path, own=(3,))
    among, _, _ = the_plan(tmp_path)
    bare = [replace(tube, ties=()) for tube in (alone.tubes[0], among.tubes[3])]
    assert bare[0].name == bare[1].name
    assert bare[0].corners.tolist() == bare[1].corners.tolist()
    assert bare[0].radii.tolist() == bare[1].radii.tolist()
