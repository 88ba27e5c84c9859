"""Strings that come to rest, held to the shortest way of bounded bend between two parallel legs.

Two arcs of radius R that lead from a leg to one parallel to it, y aside, take x = sqrt(y (4 R - y)) along it.
With more than that along it the shortest way is an arc, a straight piece and an arc that turns the other way
(L. E. Dubins, American Journal of Mathematics 79 (1957), 497-516; the arithmetic is below).

A tube runs along its string with an arc at every point, from the middle of one edge to the middle of the
next: it leaves a held leg half a step before its end.
"""

import math
from itertools import pairwise

import numpy as np
import pytest
from builders import with_keep_clear, with_nipple, with_tube
from lays import a_lay
from strung import BEND, FAR, RADIUS, inscribed_radii, straight, strung, things

from routeviz.planning.relaxing import (
    COARSE,
    FINE,
    MIDDLE,
    TOLD,
    State,
    Still,
    evenly,
    relaxed,
    state_of,
    stretches_of,
    strings_of,
)
from routeviz.planning.settling import ENOUGH
from routeviz.planning.spreading import GIVEN_MM
from routeviz.planning.stations import stations_of
from routeviz.planning.strings import along_string, carried
from routeviz.planning.threading import Stretch

ASIDE = 30.0
LEG = 24.0  # straight at both ends, held
STEP = 6.0
NO_TUBES = Still(lines=(), radii=np.zeros(0), groups=np.zeros(0, dtype=np.int64))


def least_along(aside):
    """How far along its legs a tube must go to get so far aside."""
    return math.sqrt(aside * (4 * BEND - aside))


def shortest(along, aside, radius=BEND):
    """The length of an arc, a straight piece and an arc the other way, between parallel legs."""
    apart = math.hypot(along, aside - 2 * radius)  # of the middles of both arcs
    plain = math.sqrt(max(apart**2 - 4 * radius**2, 0.0))
    turn = math.atan2(aside - 2 * radius, along) + math.asin(min(2 * radius / apart, 1.0))
    return 2 * radius * turn + plain


def a_shift(along, aside=ASIDE, up=0.0):
    """A string that leaves a held leg for another, so far on and aside, by the straight line."""
    first, last = (
        straight((-LEG, 0, up), (0, 0, up), 5),
        straight((along, aside, up), (along + LEG, aside, up), 5),
    )
    between = straight(first[-1], last[0], max(round(math.hypot(along, aside) / STEP), 2) + 1)
    line = np.concatenate([first, between[1:-1], last])
    free = np.zeros(len(line))
    free[5:-5] = 1.0
    return line, free


def as_strings(*shifts):
    return strung(*(line for line, _ in shifts), free=[free for _, free in shifts])


def at_rest(strings, obstacles=None, level=FINE, gap=0.0):
    """How it stands when nothing moves any more, and how often rounds were told before."""
    gaps = np.full((2, len(strings.points)), gap)
    told = [*relaxed(strings, things(FAR) if obstacles is None else obstacles, level, gaps)]
    assert told[-1] is not None
    return told[-1], len(told) - 1


def length(points):
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def test_a_string_between_two_legs_bends_no_tighter_than_it_may_and_makes_no_detour():
    along = 1.25 * least_along(ASIDE)
    line, free = a_shift(along)
    strings = strung(line, free=[free])
    state, _ = at_rest(strings)
    assert state.bend >= ENOUGH
    assert inscribed_radii(strings.points).min() >= ENOUGH * BEND - 1e-6
    assert strings.points[free == 0].tolist() == line[free == 0].tolist()
    between = length(strings.points[4:-4]) + STEP
    # The string is no shorter than the tube along it, which leaves its legs half a step before they end.
    assert shortest(along + STEP, ASIDE, ENOUGH * BEND) <= between <= 1.03 * shortest(along + STEP, ASIDE)


def test_where_two_arcs_just_fit_the_string_is_as_long_as_they_are():
    along = least_along(ASIDE)
    # With nothing straight between, each arc turns by the angle whose cosine is (2 R - y) / 2 R.
    arcs = 2 * BEND * math.acos((2 * BEND - ASIDE) / (2 * BEND))
    assert shortest(along, ASIDE) == pytest.approx(arcs, rel=1e-6)
    line, free = a_shift(along - STEP / 2)
    strings = strung(line, free=[free])
    state, _ = at_rest(strings)
    assert state.bend >= ENOUGH
    assert length(strings.points[4:-4]) + STEP == pytest.approx(shortest(along + STEP / 2, ASIDE), rel=0.03)


def test_tubes_that_would_meet_keep_apart_and_bend_gently():
    along = 6 * BEND
    one, other = a_shift(along, 40.0), a_shift(along, 40.0)
    # The other goes back: it leaves 40 aside for 0, 7 above, and both cross in the middle seen from above.
    crossing = other[0] * (1, -1, 1) + (0, 40.0, 3.0), other[1]
    strings = as_strings(one, crossing)
    state, _ = at_rest(strings, gap=0.5)
    assert state.bend >= ENOUGH
    assert state.between_mm >= 0.5 - GIVEN_MM
    middle = [strings.points[strings.owners == t] for t in (0, 1)]
    samples = [np.concatenate([straight(a, b, 9) for a, b in pairwise(m)]) for m in middle]
    nearest = np.linalg.norm(samples[0][:, None] - samples[1][None], axis=2).min()
    assert nearest >= 2 * RADIUS + 0.5 - GIVEN_MM


def test_a_tube_goes_round_what_stands_in_its_way():
    block = with_keep_clear("block", (40, -8, -30), (40, 10, 60), "it stands in the way")
    line, free = a_shift(140.0, 0.0)
    strings = strung(line, free=[free])
    state, _ = at_rest(strings, things(block), gap=0.5)
    assert state.off_mm >= 0.5 - GIVEN_MM
    assert state.bend >= ENOUGH
    samples = np.concatenate([straight(a, b, 9) for a, b in pairwise(strings.points)])
    outside = np.maximum(np.abs(samples - (60, -3, 0)) - (20, 5, 30), 0.0)
    # Curves are kept off, and their polygon cuts in by up to 6^2 / 8 / 20.
    assert np.linalg.norm(outside, axis=1).min() >= RADIUS - STEP**2 / 8 / BEND


def test_the_same_strings_give_the_same_bytes():
    bytes_of = []
    for _ in range(2):
        strings = as_strings(a_shift(90.0), a_shift(90.0, 32.0, up=2.0))
        state, _ = at_rest(strings)
        bytes_of.append((strings.points.tobytes(), state.rooms.tobytes()))
    assert bytes_of[0] == bytes_of[1]


def test_a_hopeless_string_is_left_before_all_rounds_are_over():
    # It comes along -x and has to go back: whatever way it turns, with bends of 20 it goes on by 20 before it
    # heads back. A wall stands 12 on.
    wall = with_keep_clear("wall", (-62, -150, -150), (50, 300, 300), "no tube can turn before it")
    line = np.concatenate([straight((LEG, 0, 0), (0, 0, 0), 5), straight((0, 0, 0), (0, 9, 0), 5)[1:-1]])
    line = np.concatenate([line, straight((0, 9, 0), (LEG, 9, 0), 5)])
    strings = strung(line, free=[[0] * 5 + [1] * 3 + [0] * 5])
    state, told = at_rest(strings, things(wall), gap=0.5)
    assert told < FINE.rounds // TOLD
    assert np.isfinite(strings.points).all()
    assert state.lacking(strings, ENOUGH, 0.0)[0] > 0


def test_no_level_takes_more_rounds_than_it_may():
    for level in (COARSE, MIDDLE, FINE):
        _, told = at_rest(as_strings(a_shift(20.0), a_shift(20.0)), level=level)
        assert told <= level.rounds // TOLD


def test_a_tube_lacks_what_its_worst_free_point_falls_short_of():
    strings = strung(
        straight((0, 0, 0), (20, 0, 0), 3), straight((0, 9, 0), (20, 9, 0), 3), free=[[0, 1, 0]] * 2
    )
    rooms = np.full((6, 3), 1e3)
    state = State(rooms=rooms)
    assert state.lacking(strings, 0.98, 0.05).tolist() == [0.0, 0.0]
    rooms[1, 0], rooms[1, 1] = -0.5, 0.01
    rooms[4, 2] = 0.9
    # 0.05 and 0.5 more; 0.08 of a bend of 20.
    assert state.lacking(strings, 0.98, 0.05) == pytest.approx([0.55, 1.6])
    assert (state.bend, state.between_mm, state.off_mm) == pytest.approx((0.9, -0.5, 0.01))


def test_points_that_are_held_cannot_do_better_and_are_not_counted():
    strings = strung(straight((0, 0, 0), (20, 0, 0), 3), free=[[0, 1, 0]])
    rooms = np.full((3, 3), 1e3)
    rooms[0, :2] = -2.0
    assert State(rooms=rooms).lacking(strings, 0.98, 0.05).tolist() == [0.0]


def test_how_it_stands_is_told_of_all_tubes():
    strings = strung(straight((0, 0, 0), (60, 0, 0), 11), straight((0, 8, 0), (60, 8, 0), 11))
    assert state_of(strings, things(FAR)).between_mm == pytest.approx(8 - 2 * RADIUS)
    assert state_of(strings, things(FAR)).bend == pytest.approx(1e3)


def test_points_lie_about_a_step_apart_on_a_straight_line():
    points = evenly(np.array([[0.0, 0, 0], [0, 0, 31]]), 6.0, False, BEND)
    assert points == pytest.approx(straight((0, 0, 0), (0, 0, 31), 6))


def test_a_corner_is_cut_within_reach_and_both_ends_are_kept():
    corner = np.array([[0.0, 0, 0], [100, 0, 0], [100, 100, 0]])
    points = evenly(corner, 2.0, False, 20.0)
    assert points[[0, -1]].tolist() == corner[[0, -1]].tolist()
    # A parabola from 20 before to 20 behind the corner passes it by half of what its chord does.
    passed = np.linalg.norm(points - corner[1], axis=1).min()
    assert passed == pytest.approx(20 / math.sqrt(2) / 2, abs=0.5)
    assert evenly(corner, 2.0, True, 20.0)[50].tolist() == [100, 0, 0]


def two_stations(tmp_path):
    pieces = [
        with_nipple("low", (0, 0, 0), "up"),
        with_nipple("high", (60, 0, 200), "down"),
        with_tube("low 1", "high 1"),
    ]
    cabinet, tubes = a_lay(tmp_path, *pieces)
    return stations_of(cabinet, tubes, [solid.name for solid in cabinet.solids])


def test_strings_become_stretches_and_stretches_strings_again(tmp_path):
    stations = two_stations(tmp_path)
    leg, rest = (
        np.array([[0.0, 0, 0], [0, 0, 12]]),
        np.array([[0.0, 0, 12], [0, 0, 90], [60, 0, 120], [60, 0, 188]]),
    )
    parts = [
        Stretch(points=leg, held=True),
        Stretch(points=rest, held=False),
        Stretch(points=np.array([[60.0, 0, 188], [60, 0, 200]]), held=True),
    ]
    strings = strings_of([parts], stations, [0], 10.0, NO_TUBES)
    assert strings.points[[0, -1]] == pytest.approx(stations.tips[0])
    legs = np.linalg.norm(np.diff(strings.points, axis=0), axis=1)
    # No two corners are nearer than an outside diameter.
    assert legs.min() >= 5.56
    (again,) = stretches_of(strings, 1)
    assert [stretch.held for stretch in again] == [True, False, True]
    assert again[0].points[[0, -1]] == pytest.approx(leg)
    assert all((a.points[-1] == b.points[0]).all() for a, b in pairwise(again))
    assert np.concatenate([again[0].points, *(one.points[1:] for one in again[1:])]).tolist() == (
        strings.points.tolist()
    )


def test_tubes_that_are_not_moved_follow_the_others_and_are_held(tmp_path):
    line = straight((0, 50, 0), (90, 50, 0), 4)
    still = Still(lines=(line,), radii=np.array([4.0]), groups=np.array([-1]))
    parts = [Stretch(points=np.array([[0.0, 0, 0], [60, 0, 200]]), held=False)]
    strings = strings_of([parts], two_stations(tmp_path), [0], 10.0, still)
    assert strings.points[strings.firsts[1] :].tolist() == line.tolist()
    assert not strings.free[strings.firsts[1] :].any()
    assert (strings.radii[1], strings.groups.tolist()) == (4.0, [0, -1])


def test_what_is_said_of_points_is_carried_to_the_same_share_of_a_string_drawn_anew():
    before = strung(straight((0, 0, 0), (100, 0, 0), 5), straight((0, 9, 0), (40, 9, 0), 3))
    after = strung(straight((0, 0, 0), (100, 0, 0), 11), straight((0, 9, 0), (0, 9, 60), 5))
    assert along_string(before, 1).tolist() == [0, 20, 40]
    said = carried(np.array([0, 1, 2, 3, 4, 7, 8, 9], dtype=np.float64), before, after)
    assert said == pytest.approx([*np.arange(11) * 0.4, 7, 7.5, 8, 8.5, 9])
