"""First strings: straight out of a nipple up to what stands there, and round it, held to figures by hand."""

from itertools import pairwise

import numpy as np
import pytest
from builders import with_board, with_keep_clear, with_nipple, with_tube
from lays import a_lay
from strung import BEND, FAR, RADIUS, straight, things

from routeviz.planning.freespace import free_cell, grid_of, middles
from routeviz.planning.stations import stations_of
from routeviz.planning.threading import LOOK_MM, SEEN_MM, Threads, straight_run, threaded

UP, ACROSS = np.array([0.0, 0, 1]), np.array([1.0, 0, 0])
TIP = np.zeros(3)
HIGH = np.array([80.0, 0, 200])  # a place to go to: 200 along the nipple
WALL = with_keep_clear("wall", (-100, -100, 100), (200, 200, 20), "a ceiling 100 above")


def run(*pieces, axis=ACROSS, goal=HIGH):
    return straight_run(TIP, UP, goal, axis, (RADIUS, BEND), things(*pieces))


def test_a_tube_leaves_straight_as_far_as_its_goal_lies_that_way():
    assert run() == pytest.approx(200.0)


def test_a_straight_run_ends_before_a_wall():
    # Its end keeps 3.5 off the wall at 100; places are looked at every 4, and it stops two of them earlier.
    assert 100 - RADIUS - SEEN_MM - 3 * LOOK_MM <= run(WALL) < 100 - RADIUS - SEEN_MM


def test_where_a_wall_is_near_at_once_the_run_is_the_least():
    near = with_keep_clear("near", (-100, -100, 15), (200, 200, 20), "a ceiling 15 above")
    assert run(near) == BEND


def test_a_nipple_that_points_along_its_passage_needs_no_more_than_its_least():
    assert run(axis=UP) == BEND


def test_a_goal_behind_the_nipple_needs_no_more_than_its_least():
    assert run(goal=np.array([80.0, 0, -50])) == BEND


def threads_about(*pieces):
    return Threads(grid_of(things(*pieces), [], RADIUS), RADIUS)


def samples_of(points):
    return np.concatenate([straight(a, b, 60) for a, b in pairwise(points)])


def test_a_way_goes_round_a_box():
    box = with_keep_clear("box", (-20, -120, -120), (40, 240, 240), "in the way")
    begin, end = np.array([-100.0, 0, 0]), np.array([100.0, 0, 0])
    way = threads_about(box).way(begin, end)
    assert way[[0, -1]].tolist() == [begin.tolist(), end.tolist()]
    outside = np.maximum(np.abs(samples_of(way)) - (20, 120, 120), 0.0)
    # Cells are looked at, not places: on its way between two middles it may be half a cell's diagonal nearer.
    assert np.linalg.norm(outside, axis=1).min() > 0.0
    length = np.linalg.norm(np.diff(way, axis=0), axis=1).sum()
    # The shortest thread bends over one edge pair: up to 120 beside, along 40, and back.
    assert 2 * np.hypot(80, 120) + 40 <= length <= 1.15 * (2 * np.hypot(80, 120) + 40)


def test_where_nothing_stands_the_way_is_straight():
    begin, end = np.array([-100.0, 3, 7]), np.array([100.0, -40, 22])
    assert threads_about(FAR).way(begin, end).tolist() == [begin.tolist(), end.tolist()]


def test_out_of_a_closed_room_there_is_no_way():
    walls = [
        with_keep_clear("floor", (-60, -60, -60), (120, 120, 20), "closed"),
        with_keep_clear("lid", (-60, -60, 40), (120, 120, 20), "closed"),
        with_keep_clear("left", (-60, -60, -60), (20, 120, 120), "closed"),
        with_keep_clear("right", (40, -60, -60), (20, 120, 120), "closed"),
        with_keep_clear("front", (-60, -60, -60), (120, 20, 120), "closed"),
        with_keep_clear("back", (-60, 40, -60), (120, 20, 120), "closed"),
    ]
    assert threads_about(*walls).way(np.zeros(3), np.array([150.0, 0, 0])) is None


def test_a_place_within_something_has_no_way():
    box = with_keep_clear("box", (-80, -120, -120), (160, 240, 240), "in the way")
    assert threads_about(box).way(np.zeros(3), np.array([150.0, 0, 0])) is None


def all_middles(grid):
    return middles(grid.low, grid.side, grid.counts, np.arange(len(grid.dear)))


def test_the_cells_near_a_cell_are_those_whose_middles_are_within_reach():
    threads = threads_about(FAR)
    every = all_middles(threads.grid)
    place = every[free_cell(threads.grid, np.array([12.0, -31, 5]), 10.0)]
    for reach in (4.0, 25.0, 33.3):
        expected = np.nonzero(np.linalg.norm(every - place, axis=1) <= reach + 1e-9)[0]
        assert threads.cells_near(place[None], reach).tolist() == expected.tolist()


def test_the_cells_near_places_are_near_to_within_half_a_cell_and_stay_in_the_grid():
    threads = threads_about(FAR)
    every, side = all_middles(threads.grid), threads.grid.side
    places = np.random.default_rng(2).uniform(-299, 299, (9, 3))
    near = np.linalg.norm(every[:, None] - places[None], axis=2).min(axis=1)
    found = set(threads.cells_near(places, 30.0).tolist())
    half = side * np.sqrt(3) / 2
    assert set(np.nonzero(near <= 30.0 - half)[0].tolist()) <= found
    assert found <= set(np.nonzero(near <= 30.0 + half)[0].tolist())


def test_no_tube_comes_into_a_mouth_from_within_the_bend_that_leads_there():
    threads = threads_about(FAR)
    every = all_middles(threads.grid)
    beside = threads.beside(np.zeros(3), UP, 50.0)
    # A circle of radius 50 touches the axis at the mouth, and so for every side: its middle is 50 aside.
    aside, along = np.hypot(every[:, 0], every[:, 1]), every[:, 2]
    within = np.hypot(aside - 50.0, along)
    assert set(np.nonzero(within < 50.0 - threads.grid.side)[0].tolist()) <= set(beside.tolist())
    assert within[beside].max() < 50.0


def test_where_cells_are_worn_a_tube_goes_round_the_other_side():
    # From the front to the back it is 40 round the right of the block, and 60 round its left.
    threads = threads_about(with_keep_clear("block", (-60, -10, -290), (100, 20, 580), "in the way"))
    begin, end = np.array([0.0, -100, 0]), np.array([0.0, 100, 0])
    assert threads.way(begin, end)[:, 0].max() > 40
    for _ in range(5):
        threads.wear(straight((60, 0, -280), (60, 0, 280), 60), 40.0)
    assert threads.way(begin, end)[:, 0].min() < -60


def test_a_string_goes_from_nipple_to_nipple_straight_out_of_both(tmp_path):
    pieces = [
        with_nipple("low", (0, 0, 0), "up"),
        with_nipple("high", (60, 0, 250), "down"),
        with_board("side", (-100, -100, -50), (10, 200, 400)),
        with_tube("low 1", "high 1"),
    ]
    cabinet, tubes = a_lay(tmp_path, *pieces)
    stations = stations_of(cabinet, tubes, [solid.name for solid in cabinet.solids])
    obstacles = things(FAR)
    parts = threaded(stations, 0, [], threads_about(FAR), obstacles)
    assert [part.held for part in parts] == [True, False, True]
    assert all((a.points[-1] == b.points[0]).all() for a, b in pairwise(parts))
    first, last = parts[0].points, parts[-1].points
    assert first[0].tolist() == [0, 0, 0]
    assert last[-1] == pytest.approx((60, 0, 250))
    # Both held legs are a little longer than the tube is thick, and go the nipples' way.
    assert first[1] - first[0] == pytest.approx((0, 0, 5.56 * 1.02))
    assert last[1] - last[0] == pytest.approx((0, 0, 5.56 * 1.02))
    along = np.diff(parts[1].points[:2], axis=0)[0]
    assert along[:2] == pytest.approx(0.0, abs=1e-9)
    assert along[2] > 0
