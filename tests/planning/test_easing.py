"""Tubes of few corners that make room for each other: what they keep apart is measured here by samples.

Strings bend as cosines do, with as little room between them as relaxing leaves.
"""

import math

import numpy as np
import pytest
from builders import with_keep_clear
from placed import a_cabinet
from strung import BEND, RADIUS, ROOM, ends_held, strung, things

from routeviz.geometry.curves import length, points_along, rounded_polyline
from routeviz.planning.easing import NOTHING_DRAWN, with_few_corners
from routeviz.planning.obstacles import obstacles_of
from routeviz.planning.relaxing import state_of
from routeviz.planning.stations import SAFE, Stations

LONG, HIGH, GAP = 240.0, 60.0, 0.2
EVERY = (
    0.25  # mm between samples: two straight walls look farther apart by at most EVERY^2 / 8 (2 RADIUS), 2e-3
)


def bumped(offset, aside=0.0):
    """A line that rises and falls as a cosine does, and lies so far beside the others."""
    xs = np.linspace(-LONG / 2, LONG / 2, 41)
    rise = HIGH * (1 + np.cos(2 * math.pi * xs / LONG)) / 2
    return np.column_stack([xs, np.full(len(xs), offset), rise + aside])


def a_ribbon(count):
    """So many of them side by side."""
    return [bumped((2 * RADIUS + GAP) * number) for number in range(count)]


def drawn(lines, obstacles=None, apart=0.0, still=()):
    """Their few corners and radii."""
    return [route for _, route in found_of(lines, obstacles, apart, still).values()]


def found_of(lines, obstacles=None, apart=0.0, still=(), before=NOTHING_DRAWN):
    """The same with the strings' points, by tube; some may have been drawn before."""
    every = [*lines, *still]
    free = [ends_held(len(line)) for line in lines] + [np.zeros(len(line)) for line in still]
    strings = strung(*every, free=free)
    count = len(lines)
    stations = Stations(
        indices=np.arange(count),
        names=tuple(map(str, range(count))),
        radii=np.full(count, RADIUS),
        bends=np.full(count, BEND),
        least=np.full(count, BEND),
        tips=np.array([line[[0, -1]] for line in lines]),
        ways=np.zeros((count, 2, 3)),
        carriers=np.full((count, 2), -1),
        excused=np.zeros((count, 2)),
        ends=(("", ""),) * count,
        parts=("",) * count,
        pinned=((),) * count,
    )
    state = state_of(strings, obstacles or things())
    return with_few_corners(strings, state, stations, range(count), apart, before)


def sampled(route):
    curve = rounded_polyline(*route)
    return points_along(curve, np.linspace(0, length(curve), int(length(curve) / EVERY)))


def least_between(lines):
    """What is free between the walls of every two."""
    found = math.inf
    for number, line in enumerate(lines):
        for other in lines[number + 1 :]:
            off = min(np.linalg.norm(other - point, axis=1).min() for point in line)
            found = min(found, off - 2 * RADIUS)
    return found


@pytest.mark.parametrize("count", [2, 5])
def test_tubes_side_by_side_keep_apart(count):
    assert least_between([sampled(route) for route in drawn(a_ribbon(count))]) >= 0


def test_they_keep_the_clearance_that_is_asked_for():
    """Strings are 1 apart at their ends, and less than is asked for between: tubes give way to have it."""
    lines = a_ribbon(3)
    for number, line in enumerate(lines):
        line[:, 1] += (1 - GAP) * number * (2 * line[:, 0] / LONG) ** 2
    assert least_between(lines) < 0.5
    assert least_between([sampled(route) for route in drawn(lines, apart=0.5)]) >= 0.5


def test_tubes_that_lie_close_have_few_corners_all_the_same():
    """A bump is four bends: up, over (two where it is not an arc), and down again; and the ends' two."""
    for corners, _ in drawn(a_ribbon(5)):
        assert len(corners) - 2 <= 8


def test_ends_stay_and_bends_are_no_tighter_than_asked():
    lines = a_ribbon(4)
    for line, (corners, radii) in zip(lines, drawn(lines), strict=True):
        np.testing.assert_allclose(corners[[0, -1]], line[[0, -1]], atol=5e-4)
        assert radii.min() >= BEND
        legs = np.linalg.norm(np.diff(corners, axis=0), axis=1)
        assert legs.min() >= 2 * RADIUS - 2e-3


@pytest.mark.parametrize("below", [0.16, 0.2])
def test_a_bend_that_checks_would_only_just_forgive_is_opened_to_what_is_aimed_at(below):
    """Two neighbours with three points each on a circle, and hardly any room to leave it by.

    Points on a circle of radius r, turning by t from one to the next, make arcs of r cos(t / 2): as wide as
    is aimed at in the end, 0.05 beyond the least, they would be with 0.15 for ``below``.
    """
    least = BEND / SAFE  # of what strings are given to aim at
    turns = np.linspace(0, 0.5, 3)
    radius = (least + 0.2 - below) / math.cos(turns[1] / 2)
    bend = radius * np.column_stack([np.sin(turns), np.zeros(3), 1 - np.cos(turns)])
    on = np.arange(5.0, 31.0, 5.0)[:, None]
    way = np.array([math.cos(turns[-1]), 0, math.sin(turns[-1])])
    line = np.concatenate([-on[::-1] * (1, 0, 0), bend, bend[-1] + on * way])
    lines = [line, line + np.array((0, 2 * RADIUS + 0.01, 0))]
    corner = radius * (1 / math.cos(turns[1] / 2) - 1)  # by which one is off its arc
    for own, (corners, radii) in zip(lines, drawn(lines), strict=True):
        assert radii.min() >= least + 0.05 - 1e-9
        off = np.linalg.norm(sampled((corners, radii))[:, None] - own[None], axis=2).min(axis=0)
        assert off.max() <= corner + 0.1


def test_corners_and_radii_are_on_the_grain():
    for numbers in drawn(a_ribbon(3))[1]:
        assert np.abs(numbers * 1000 - np.rint(numbers * 1000)).max() < 1e-4


def test_a_tube_that_stands_still_is_given_way_to():
    still = bumped(2 * RADIUS + GAP)
    route = drawn([bumped(0.0)], still=[still])[0]
    along = np.linspace(0, 40, 4000)
    kept = np.stack([np.interp(along, np.arange(41), axis) for axis in still.T], axis=1)
    assert least_between([sampled(route), kept]) >= 0


def test_what_stands_there_is_kept_off_too():
    """A space under the crest: at its edges the strings are HIGH (1 + cos(2 pi 4 / LONG)) / 2 high, 59.84."""
    top = HIGH - RADIUS - 0.4
    board = with_keep_clear("board", (-4, -50, top - 20), (8, 100, 20), "nothing is to be there")
    obstacles = obstacles_of([a_cabinet(board)], ROOM, 20.0)
    for route in drawn(a_ribbon(3), obstacles):
        points = sampled(route)
        assert points[np.abs(points[:, 0]) <= 4, 2].min() - RADIUS >= top


def test_the_same_strings_give_the_same_corners():
    first, second = (drawn(a_ribbon(4)) for _ in range(2))
    for one, other in zip(first, second, strict=True):
        assert one[0].tolist() == other[0].tolist()
        assert one[1].tolist() == other[1].tolist()


def test_tubes_whose_strings_lie_as_before_stay_as_they_were_drawn():
    before = found_of(a_ribbon(4))
    after = found_of(a_ribbon(4), before=before)
    for (_, one), (_, other) in zip(before.values(), after.values(), strict=True):
        assert one[0].tolist() == other[0].tolist()
        assert one[1].tolist() == other[1].tolist()


def test_a_string_that_has_moved_is_drawn_anew_and_the_others_keep_apart_from_it():
    """The last of four is lifted by 2, ends and all."""
    before = found_of(a_ribbon(4))
    lines = a_ribbon(4)
    lines[-1] = bumped((2 * RADIUS + GAP) * 3, 2.0)
    routes = [route for _, route in found_of(lines, before=before).values()]
    assert routes[0][0].tolist() == before[0][1][0].tolist()
    np.testing.assert_allclose(routes[-1][0][[0, -1]], lines[-1][[0, -1]], atol=5e-4)
    assert least_between([sampled(route) for route in routes]) >= 0
