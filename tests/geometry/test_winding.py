"""The Gauss linking integral against closed forms, whole numbers of topology, and a plain double sum.

C. F. Gauss (1833); the integral of two straight lines square to each other is elementary:
4 atan(h^2 / (d sqrt(2 h^2 + d^2))) / (4 pi) for half lengths h at a distance d (worked out by hand from the
integral of d / (s^2 + t^2 + d^2)^(3/2)).
"""

import math

import numpy as np
import pytest

from routeviz.geometry.frames import rotation_about
from routeviz.geometry.winding import crossings_in_view, windings


def chains(*curves):
    """Corners of polylines one after the other, and where each begins."""
    points = [np.array(curve, float) for curve in curves]
    return np.concatenate(points), np.cumsum([0, *map(len, points)])


def shifted(curve, right, back=0.0, up=0.0):
    return np.asarray(curve) + np.array([right, back, up])


def winding(one, other):
    return float(windings(*chains(one, other), [[0, 1]])[0])


def helix(turns, *, phase=0.0, pitch=3.0, radius=1.0, chords=180):
    """A right-handed helix about z in so many chords a turn."""
    angles = np.linspace(0, 2 * math.pi * turns, int(chords * turns) + 1)
    around = radius * np.cos(angles + phase), radius * np.sin(angles + phase)
    return np.column_stack([*around, pitch * angles / (2 * math.pi)])


def double_sum(one, other):
    """The integral as a sum over the middles of chords, from its definition."""
    a, b = (one[1:] + one[:-1]) / 2, (other[1:] + other[:-1]) / 2
    da, db = np.diff(one, axis=0), np.diff(other, axis=0)
    apart = a[:, None] - b[None]
    crossed = np.cross(da[:, None], db[None])
    return float(((apart * crossed).sum(-1) / np.linalg.norm(apart, axis=-1) ** 3).sum() / (4 * math.pi))


def square(*, side=2.0):
    h = side / 2
    return np.array([[-h, -h, 0], [h, -h, 0], [h, h, 0], [-h, h, 0], [-h, -h, 0.0]])


@pytest.mark.parametrize("half", [0.5, 3.0, 50.0])
@pytest.mark.parametrize("apart", [0.1, 1.0, 7.0])
def test_two_lines_square_to_each_other(half, apart):
    one = [(-half, 0, 0), (half, 0, 0)]
    other = [(0, -half, apart), (0, half, apart)]
    expected = math.atan(half**2 / (apart * math.sqrt(2 * half**2 + apart**2))) / math.pi
    # Seen from above, from the lower to the upper is a turn to the left: left-handed, a negative crossing.
    assert winding(one, other) == pytest.approx(-expected, abs=1e-12)
    assert abs(winding(one, other)) < 0.5


@pytest.mark.parametrize("parts", [1, 2, 5, 16])
def test_it_is_exact_in_however_many_chords(parts):
    shares = np.linspace(0, 1, parts + 1)[:, None]
    one = np.array([-4, 1, 0.0]) + shares * np.array([9, 2, 1.0])
    other = np.array([[0, -5, 2], [1, 6, 3.0]])
    assert winding(one, other) == pytest.approx(winding(one[[0, -1]], other), abs=1e-12)


def test_what_lies_in_a_plane_does_not_wind():
    assert winding([(0, 0, 0), (5, 0, 0), (5, 5, 0)], [(0, 1, 0), (4, 1, 0), (4, 6, 0)]) == 0
    assert winding([(0, 0, 0), (5, 0, 0)], [(0, 1, 0), (5, 1, 0)]) == 0


def test_linked_rings_give_one_and_others_nothing():
    upright = square()[:, [0, 2, 1]]
    assert abs(winding(square(), shifted(upright, 1))) == pytest.approx(1, abs=1e-12)
    assert winding(square(), shifted(upright, 5)) == pytest.approx(0, abs=1e-12)
    assert winding(square(), shifted(square(), 0.3, 0.2, 1)) == pytest.approx(0, abs=1e-12)


@pytest.mark.parametrize("turns", [1, 2, 5])
def test_closed_far_away_a_turn_more_is_one_more(turns):
    # A straight axis closed far to the left, a helix about it closed to the right: linked once a turn.
    coil = helix(turns)
    high = coil[-1, 2]
    axis = [(0, 0, -9), (0, 0, high + 9), (-30, 0, high + 9), (-30, 0, -9), (0, 0, -9)]
    ring = [*coil, (30, 0, high), (30, 0, 0), coil[0]]
    assert winding(axis, ring) == pytest.approx(turns, abs=1e-9)
    assert winding(axis, np.array(ring) * [1, -1, 1]) == pytest.approx(-turns, abs=1e-9)


def test_each_further_turn_of_two_long_helices_adds_one():
    found = [winding(helix(n), helix(n, phase=math.pi)) for n in (1, 2, 9, 10)]
    assert found == sorted(found)
    assert found[0] < 1 < found[1] < 2  # open ends take some of it away
    assert found[3] - found[2] == pytest.approx(1, abs=0.002)


def test_open_curves_against_the_double_sum():
    one, other = helix(1.3, chords=400), helix(1.7, phase=2.0, radius=1.8, pitch=4.0, chords=400)
    assert winding(one, other) == pytest.approx(double_sum(one, other), abs=2e-4)


def test_it_turns_with_neither_order_place_size_nor_sense():
    one, other = helix(1.5, chords=12), helix(1.5, phase=2.5, chords=12)
    known = winding(one, other)
    turn = rotation_about(np.array([1.0, 2.0, -0.5]), 0.7)[:3, :3]
    moved = [3 * curve @ turn.T + [10, -20, 5] for curve in (one, other)]
    assert winding(*moved) == pytest.approx(known, abs=1e-12)
    assert winding(other, one) == pytest.approx(known, abs=1e-12)
    assert winding(one[::-1], other) == pytest.approx(-known, abs=1e-12)
    assert winding(one[::-1], other[::-1]) == pytest.approx(known, abs=1e-12)


def test_what_meets_gives_a_number():
    assert math.isfinite(winding([(0, 0, 0), (2, 0, 0)], [(1, -1, 0), (1, 1, 0)]))
    assert math.isfinite(winding([(0, 0, 0), (2, 0, 0)], [(0, 0, 0), (2, 0, 0)]))


def test_pairs_are_taken_as_they_are_asked_for():
    points, firsts = chains(helix(1), helix(1, phase=math.pi), shifted(helix(1), 50))
    found = windings(points, firsts, [[0, 1], [0, 2], [2, 1]])
    assert found[0] == winding(helix(1), helix(1, phase=math.pi))
    assert abs(found[1]) < 0.01
    assert len(windings(points, firsts, np.empty((0, 2)))) == 0


def crossed(one, other, apart=10.0):
    return int(crossings_in_view(*chains(one, other), [[0, 1]], [apart])[0])


def test_crossings_in_view():
    level = [(0, 0, 0), (10, 0, 0)]
    assert crossed(level, [(5, -5, 0), (5, 5, 0)]) == 1
    assert crossed(level, [(11, -5, 0), (11, 5, 0)]) == 0
    assert crossed(level, [(5, 1, 0), (5, 5, 0)]) == 0
    assert crossed(level, [(2, -5, 0), (2, 5, 0), (8, 5, 0), (8, -5, 0)]) == 2


def test_a_crossing_at_a_corner_counts_once():
    assert crossed([(0, 0, 0), (5, 0, 0), (10, 0, 0)], [(5, -5, 0), (5, 0, 0), (5, 5, 0)]) == 1


@pytest.mark.parametrize(("apart", "expected"), [(3.9, 0), (4.1, 1)])
def test_what_lies_far_behind_is_not_counted(apart, expected):
    # Half way along, the second is 4 behind the first.
    assert crossed([(0, 0, 0), (10, 0, 2)], [(5, -5, 0), (5, 5, 10)], apart) == expected


@pytest.mark.parametrize(("slope", "expected"), [(0.05, 0), (0.2, 1)])
def test_what_runs_one_behind_the_other_does_not_cross(slope, expected):
    assert crossed([(0, 0, 0), (10, 0, 0)], [(0, -5 * slope, 1), (10, 5 * slope, 1)]) == expected
