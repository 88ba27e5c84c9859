"""Strings that are pushed apart and off things, held to where figures by hand say that they come to rest."""

import math

import numpy as np
import pytest
from builders import with_box, with_keep_clear
from strung import RADIUS, no_forces, no_needs, nothing_seen, straight, strung, things, watching

from routeviz.planning.adjacency import near_pairs
from routeviz.planning.settling import begin, settle
from routeviz.planning.spreading import GIVEN_MM, fill_rooms, keep_off, touch

ROUNDS = 60
REST = (
    1e-3  # what is left of a push after so many rounds, in mm: staying put weighs a thousandth of a contact
)
ALIKE = 1e-7  # sums in another order, over a weight of staying of a thousandth
INNER = slice(1, -1)  # of a string's points: a last one that nothing holds swings further, as in no plan
FLOOR = with_keep_clear("floor", (-200, -200, -50), (400, 400, 50), "its top is at zero")


def moved(strings, forces, needs, most=100.0):
    pace = (np.zeros(strings.points.shape), 0.0, most)
    settle(strings, forces, pace, watching(strings), needs)


def asking(strings, gap):
    return np.full(len(strings.points), gap)


def all_watched(strings, gap, reach=4.0):
    """The pairs that are near each other, and how many."""
    watched = watching(strings)
    return watched, near_pairs(strings, asking(strings, gap), reach, watched, 0, 0.0)


def parted(strings, gap, rounds=ROUNDS):
    """The strings after so many rounds, and the most that any lacked in the first."""
    told = []
    for _ in range(rounds):
        forces, needs = no_forces(len(strings.points)), no_needs(len(strings.radii))
        begin(forces, needs)
        touch(strings, *all_watched(strings, gap), (asking(strings, gap), 1.0), forces, needs)
        told.append(needs.lacks.max())
        moved(strings, forces, needs)
    return told[0]


def pushed_off(strings, obstacles, gap, rounds=ROUNDS):
    told = []
    sights, seen = nothing_seen(len(strings.points)), (obstacles.table, obstacles.reach)
    for _ in range(rounds):
        forces, needs = no_forces(len(strings.points)), no_needs(len(strings.radii))
        begin(forces, needs)
        keep_off(strings, seen, (asking(strings, gap), 1.0), sights, forces, needs)
        told.append(needs.lacks.max())
        moved(strings, forces, needs)
    return told[0]


def side_by_side(free=None):
    """Two tubes of radius 3 whose centrelines are 2 apart."""
    lines = straight((0, -1, 0), (60, -1, 0), 11), straight((0, 1, 0), (60, 1, 0), 11)
    return strung(*lines, free=free)


def test_two_tubes_that_overlap_part_each_by_half_to_the_distance_asked():
    strings = side_by_side()
    # 3 + 3 + 1 less what need not be given are enough.
    assert parted(strings, gap=1.0) == pytest.approx(2 * RADIUS + 1.0 - GIVEN_MM - 2)
    y = strings.points[:, 1].reshape(2, 11)
    assert y[1, INNER] == pytest.approx(RADIUS + 0.5, abs=REST)
    assert y[0] == pytest.approx(-y[1], abs=ALIKE)
    assert strings.points[:, 2] == pytest.approx(0.0, abs=ALIKE)


def test_beside_a_tube_that_is_held_the_other_goes_all_the_way():
    strings = side_by_side(free=[np.zeros(11), np.ones(11)])
    before = strings.points.tobytes()
    parted(strings, gap=1.0)
    assert strings.points[:11].tobytes() == before[: 11 * 3 * 8]
    assert strings.points[11:][INNER, 1] == pytest.approx(-1 + 2 * RADIUS + 1.0, abs=REST)


def test_tubes_that_cross_in_one_point_part_square_to_both():
    strings = strung(straight((-12, 0, 0), (12, 0, 0), 4), straight((0, -12, 0), (0, 12, 0), 4))
    parted(strings, gap=0.0)
    (off,) = {round(abs(float(z)), 2) for z in strings.points[[1, 2, 5, 6], 2]}
    assert off == pytest.approx(RADIUS, abs=0.01)
    assert strings.points[1, 2] * strings.points[5, 2] < 0


def test_tubes_that_are_far_enough_apart_are_asked_nothing():
    strings = strung(straight((0, 0, 0), (60, 0, 0), 11), straight((0, 7.5, 0), (60, 7.5, 0), 11))
    before = strings.points.tobytes()
    assert parted(strings, gap=1.0, rounds=3) == 0.0
    assert strings.points.tobytes() == before


def test_tubes_that_begin_thin_are_parted_by_that_share_of_what_they_want():
    strings = side_by_side()
    forces = no_forces(22)
    # At a fifth of 2 * 3 + 1, 1.4 apart are wanted, and they are 2 apart.
    touch(strings, *all_watched(strings, 1.0), (asking(strings, 1.0), 0.2), forces, no_needs(2))
    assert not forces.moves.any()
    touch(strings, *all_watched(strings, 1.0), (asking(strings, 1.0), 0.3), forces, no_needs(2))
    assert forces.moves[:11, 1].max() < 0 < forces.moves[11:, 1].min()


def test_a_pair_that_cannot_have_come_near_is_not_looked_at():
    strings = side_by_side()
    forces, (watched, count) = no_forces(22), all_watched(strings, 0.0)
    watched.spare[:], watched.strayed[:] = 1.0, 0.4
    touch(strings, watched, count, (asking(strings, 0.0), 1.0), forces, no_needs(2))
    assert not forces.moves.any()
    # 0.6 and 0.6 are more than the 1 that there was to spare.
    watched.strayed[:] = 0.6
    touch(strings, watched, count, (asking(strings, 0.0), 1.0), forces, no_needs(2))
    assert forces.moves.any()


def test_more_room_is_made_only_where_it_is_asked_for():
    strings = strung(straight((0, 0, 0), (120, 0, 0), 21), straight((0, 6.5, 0), (120, 6.5, 0), 21))
    gaps, forces = asking(strings, 0.2), no_forces(42)
    gaps[8:12] = 1.5
    watched = watching(strings)
    count = near_pairs(strings, gaps, 4.0, watched, 0, 0.0)
    touch(strings, watched, count, (gaps, 1.0), forces, no_needs(2))
    asked = np.nonzero(forces.moves[:21, 1])[0]
    assert asked.min() >= 7
    assert asked.max() <= 13
    assert {9, 10, 11} <= set(asked.tolist())


def test_strings_that_rest_are_asked_nothing_until_one_comes_too_near():
    strings = side_by_side()
    needs, forces, gaps = no_needs(2), no_forces(22), (asking(strings, 1.0), 1.0)
    needs.idle[:] = 1000
    touch(strings, *all_watched(strings, 1.0), gaps, forces, needs)
    assert not forces.moves.any()
    needs.idle[0] = 0
    touch(strings, *all_watched(strings, 1.0), gaps, forces, needs)
    assert forces.moves[11:, 1].min() > 0
    assert needs.lacks[1] > 0


@pytest.mark.parametrize("gap", [0.0, 0.7])
def test_a_tube_in_a_floor_comes_to_lie_a_radius_and_what_is_asked_above_it(gap):
    strings = strung(straight((-40, 0, 1), (40, 0, 1), 15))
    # It is 1 above the floor, and its radius and the gap less what need not be given are enough.
    assert pushed_off(strings, things(FLOOR), gap) == pytest.approx(RADIUS + gap - GIVEN_MM - 1)
    assert strings.points[:, 2] == pytest.approx(RADIUS + gap, abs=REST)
    assert strings.points[:, :2] == pytest.approx(straight((-40, 0), (40, 0), 15), abs=ALIKE)


def test_a_thing_with_a_clearance_of_its_own_is_kept_off_by_that_too():
    board = with_box("board", (-200, -200, -50), (400, 400, 50), clearance=5.0)
    strings = strung(straight((-40, 0, 4), (40, 0, 4), 15))
    pushed_off(strings, things(board), 0.0)
    assert strings.points[:, 2] == pytest.approx(RADIUS + 5.0, abs=REST)


def test_a_tube_that_lies_clear_stays_and_lacks_nothing():
    strings = strung(straight((-40, 0, 10), (40, 0, 10), 15))
    before = strings.points.tobytes()
    assert pushed_off(strings, things(FLOOR), 0.5, rounds=2) == 0.0
    assert strings.points.tobytes() == before


def test_what_carries_its_nipple_does_not_push_a_tube():
    strings = strung(straight((-40, 0, 1), (40, 0, 1), 15))
    strings.exempt[:] = 0
    before = strings.points.tobytes()
    pushed_off(strings, things(FLOOR), 0.0, rounds=2)
    assert strings.points.tobytes() == before


def test_places_that_are_not_looked_at_again_would_have_been_asked_nothing():
    obstacles, draw = things(FLOOR), np.random.default_rng(3)
    points = straight((-60, 0, 8), (60, 0, 4), 25) + draw.normal(size=(25, 3))
    strings, kept = strung(points), nothing_seen(25)
    skipped = 0
    for _ in range(20):
        strings.points[:] += draw.normal(size=(25, 3)) * 0.3
        by_kept, by_all = no_forces(25), no_forces(25)
        gaps, seen = (np.full(25, 0.5), 1.0), (obstacles.table, obstacles.reach)
        before = kept.places.copy()
        keep_off(strings, seen, gaps, kept, by_kept, no_needs(1))
        keep_off(strings, seen, gaps, nothing_seen(25), by_all, no_needs(1))
        skipped += int((kept.places == before).all(axis=1)[4:-4].sum())
        assert by_kept.moves.tobytes() == by_all.moves.tobytes()
        assert by_kept.own.tobytes() == by_all.own.tobytes()
    assert skipped > 100


def rooms_of(strings, obstacles):
    rooms, seen = np.zeros((len(strings.points), 3)), (obstacles.table, obstacles.reach)
    fill_rooms(strings, *all_watched(strings, 0.0, 20.0), seen, nothing_seen(len(strings.points)), rooms)
    return rooms


def test_the_room_about_points_is_told_to_tubes_and_to_things():
    # 10 apart and 3 thick each from the middle: 4 between; 9 above the floor: 6 to it.
    strings = strung(straight((-30, 0, 9), (30, 0, 9), 11), straight((-30, 10, 9), (30, 10, 9), 11))
    rooms = rooms_of(strings, things(FLOOR))
    assert rooms[:, 0] == pytest.approx(4.0, abs=ALIKE)
    assert rooms[[*range(10), *range(11, 21)], 1] == pytest.approx(6.0, abs=ALIKE)


def test_a_bend_is_told_by_the_arc_that_touches_both_of_its_edges():
    # Points of a circle of radius 50, 8 degrees apart: the arc from middle to middle has 50 cos 4 degrees.
    turns = np.radians(8.0 * np.arange(12))
    strings = strung(np.stack([50 * np.cos(turns), 50 * np.sin(turns), 0 * turns], axis=1), bends=40.0)
    rooms = rooms_of(strings, things())
    assert rooms[1:-1, 2] == pytest.approx(50 * math.cos(math.radians(4.0)) / 40.0, abs=ALIKE)
