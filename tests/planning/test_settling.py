"""How strings answer forces, held to scipy's banded solver and to circles by hand.

A corner between legs of which the shorter is h has room for an arc of radius h / 2 / tan(turn / 2).
"""

import numpy as np
import pytest
from scipy.linalg import solveh_banded
from strung import BEND, ends_held, inscribed_radii, no_forces, no_needs, straight, strung, watching

from routeviz.planning.settling import STAY, begin, hold_bends, respace, settle

SOLVED = 1e-9  # two ways of solving some thirty equations of condition below 100
ALIKE = 1e-9
FAR = 1e9  # a string may move so far in a round
EVEN = 0.5


def drawn(seed, count):
    """Forces with a matrix that must be positive definite: a band times itself, and 1 on the diagonal."""
    draw = np.random.default_rng(seed)
    low = np.diag(draw.uniform(0.5, 2.0, count))
    low += np.diag(draw.normal(size=count - 1), -1) + np.diag(draw.normal(size=count - 2), -2)
    matrix = low @ low.T + np.eye(count)
    forces = no_forces(count)
    forces.own[:], forces.next[:-1], forces.after[:-2] = (np.diag(matrix, k) for k in (0, 1, 2))
    forces.moves[:] = draw.normal(size=(count, 3))
    return forces, matrix


def after_settling(strings, forces, keeps=0.0, most=FAR, going=None, needs=None):
    """Where points are gone, how far each, and the furthest."""
    count = len(strings.points)
    watched, going = watching(strings), np.zeros((count, 3)) if going is None else going
    watched.strayed[:] = 0.0
    needs = no_needs(len(strings.radii)) if needs is None else needs
    furthest = settle(strings, forces, (going, keeps, most), watched, needs)
    return strings.points - watched.start, watched.strayed, furthest


def banded(matrix, right):
    rows = np.zeros((3, len(matrix)))
    for k in range(3):
        rows[k, : len(matrix) - k] = np.diag(matrix, -k)
    return solveh_banded(rows, right, lower=True)


@pytest.mark.parametrize("count", [3, 4, 30])
def test_a_string_moves_as_a_banded_solver_says(count):
    forces, matrix = drawn(count, count)
    expected = banded(matrix, forces.moves.copy())
    gone, strayed, furthest = after_settling(strung(straight((0, 0, 0), (90, 0, 0), count)), forces)
    assert gone == pytest.approx(expected, abs=SOLVED)
    assert strayed == pytest.approx(np.linalg.norm(expected, axis=1), abs=SOLVED)
    assert furthest == pytest.approx(strayed.max(), abs=SOLVED)


def test_strings_do_not_draw_at_each_other_and_held_points_not_at_those_beside_them():
    forces, matrix = drawn(5, 24)
    free = np.ones(24)
    free[[0, 6, 11, 23]] = 0.0
    for i, j in ((i, j) for i in range(24) for j in range(24)):
        if i != j and (free[i] * free[j] == 0 or (i < 12) != (j < 12)):
            matrix[i, j] = 0.0
    expected = banded(matrix, forces.moves * free[:, None])
    lines = straight((0, 0, 0), (90, 0, 0), 12), straight((0, 9, 0), (90, 9, 0), 12)
    gone, _, _ = after_settling(strung(*lines, free=[free[:12], free[12:]]), forces)
    assert gone[free > 0] == pytest.approx(expected[free > 0], abs=SOLVED)
    assert not gone[free == 0].any()


def asked_alike(count, by):
    """Every point is asked to go so far, and nothing else is asked."""
    forces = no_forces(count)
    forces.own[:] = 1.0
    forces.moves[:] = by
    return forces


def test_a_string_that_goes_on_the_same_way_adds_a_share_of_its_last_move():
    strings, going = strung(straight((0, 0, 0), (90, 0, 0), 5)), np.zeros((5, 3))
    steps = [(0, 1, 0), (0, 1, 0), (0, -1, 0)]
    told = [after_settling(strings, asked_alike(5, by), 0.9, FAR, going)[0][2, 1] for by in steps]
    # 1, then 1 and 0.9 of 1; when it turns back nothing is added.
    assert told == pytest.approx([1.0, 1.9, -1.0], abs=ALIKE)


def test_a_string_that_would_go_too_far_goes_as_far_as_it_may_in_the_same_shape():
    forces = asked_alike(5, (0, 1, 0))
    forces.moves[2] = 0, 3, 4
    gone, _, furthest = after_settling(strung(straight((0, 0, 0), (90, 0, 0), 5)), forces, most=2.0)
    assert furthest == pytest.approx(2.0, abs=ALIKE)
    assert gone[2] == pytest.approx((0, 1.2, 1.6), abs=ALIKE)
    assert gone[0] == pytest.approx((0, 0.4, 0), abs=ALIKE)


def bent(strings, rounds, pulls=(0.0, 0.0), even=EVEN):
    """The strings after so many rounds of holding their bends; what the first lacked when the last began."""
    needs = no_needs(len(strings.radii))
    for _ in range(rounds):
        forces = no_forces(len(strings.points))
        begin(forces, needs)
        hold_bends(strings, 10.0, even, pulls, forces, needs)
        after_settling(strings, forces)
    return needs.lacks[0]


def a_corner(count=21):
    """Two legs of 60 at a right angle, both ends held."""
    legs = straight((0, 0, 0), (60, 0, 0), count // 2 + 1), straight((60, 0, 0), (60, 60, 0), count // 2 + 1)
    return strung(np.concatenate([legs[0], legs[1][1:]]), free=[ends_held(count)])


def test_what_a_string_lacks_is_told_by_the_arc_that_its_worst_corner_has_room_for():
    # Legs of 6 at a right angle: an arc of radius 3, of the 0.99 times 20 that are enough.
    assert bent(a_corner(), 1) == pytest.approx(0.99 * BEND - 3, abs=ALIKE)


def test_a_corner_that_is_too_tight_opens_to_the_least_radius_and_no_further():
    strings = a_corner()
    assert bent(strings, 1500) == 0.0
    tightest = inscribed_radii(strings.points).min()
    assert 0.99 * BEND <= tightest <= 1.01 * BEND
    assert strings.points[[0, -1]].tolist() == a_corner().points[[0, -1]].tolist()
    assert not strings.points[:, 2].any()


def test_a_string_that_has_long_lacked_nothing_is_left_until_it_lacks_something():
    needs = no_needs(1)
    needs.idle[0] = 1000
    forces, strings = asked_alike(5, (0, 1, 0)), strung(straight((0, 0, 0), (90, 0, 0), 5))
    assert not after_settling(strings, forces, needs=needs)[0].any()
    needs.lacks[0] = 0.01
    gone, _, _ = after_settling(strings, asked_alike(5, (0, 1, 0)), needs=needs)
    assert gone[:, 1] == pytest.approx(1.0, abs=ALIKE)


def test_a_straight_string_stays_where_it_is():
    strings = strung(straight((0, 0, 0), (30, 40, 120), 14), free=[ends_held(14)])
    before = strings.points.copy()
    bent(strings, 50)
    assert strings.points == pytest.approx(before, abs=ALIKE)


def test_points_of_a_straight_string_become_even_and_stay_on_it():
    draw = np.random.default_rng(1)
    shares = (np.arange(14) + ends_held(14) * draw.uniform(-0.3, 0.3, 14)) / 13
    strings = strung(shares[:, None] * np.array([30.0, 40.0, 120.0]), free=[ends_held(14)])
    bent(strings, 600)
    assert strings.points == pytest.approx(straight((0, 0, 0), (30, 40, 120), 14), abs=0.05)
    assert np.cross(strings.points, (30.0, 40.0, 120.0)) == pytest.approx(0.0, abs=1e-6)


def test_a_pull_draws_a_point_towards_the_middle_between_its_neighbours():
    strings = strung([(0, 0, 0), (10, 4, 0), (20, 0, 0)], free=[ends_held(3)])
    forces = no_forces(3)
    begin(forces, no_needs(1))
    hold_bends(strings, 0.0, 0.0, (1.0, 0.0), forces, no_needs(1))
    gone, _, _ = after_settling(strings, forces)
    # Weighed 1 against the weight of staying.
    assert gone[1] == pytest.approx((0, -4 / (1 + STAY), 0), abs=ALIKE)


def test_points_that_bunch_are_spread_evenly_between_held_ones():
    x = np.array([0, 1, 2, 30, 40, 41, 42, 60], dtype=np.float64)
    free = [np.array([0, 1, 1, 1, 0, 1, 1, 0])]
    strings = strung(np.stack([x, 0 * x, 0 * x], axis=1), free=free)
    strayed = np.zeros(8)
    respace(strings, 0.8, strayed)
    assert np.isinf(strayed).tolist() == [i in (1, 2, 3, 5, 6) for i in range(8)]
    assert strings.points[:, 0] == pytest.approx([0, 10, 20, 30, 40, 40 + 20 / 3, 40 + 40 / 3, 60], abs=ALIKE)


def test_points_that_are_even_enough_are_left():
    x = np.array([0, 9.5, 20, 30])
    strings = strung(np.stack([x, 0 * x, 0 * x], axis=1), free=[ends_held(4)])
    strayed = np.zeros(4)
    respace(strings, 0.8, strayed)
    assert not strayed.any()
    assert strings.points[:, 0].tolist() == x.tolist()
