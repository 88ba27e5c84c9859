"""Strings that wind about each other exchange stretches of their ways; what that leaves is known by hand.

Two strands of a rope of one full turn have wound once about each other: its strands lie opposite each other,
at both ends as they began. Whoever unlays it finds two strings side by side that do not cross. How far two
strings wind about each other is asked of geometry/winding.py, which closed forms hold to what it says.
"""

import math

import numpy as np
import pytest
from strung import ends_held, straight, strung

from routeviz.geometry.winding import windings
from routeviz.planning.dealing import Gate
from routeviz.planning.interweaving import FREE, Weave, fill_turns, unwind
from routeviz.planning.relaxing import stretches_of
from routeviz.planning.unwinding import unwound

APART = 6.0  # of the middles of two strands
LONG = 480.0
COUNT = 31  # points, 16 mm apart
OWN = (4, 7, 9)
NO_GATES = {tube: [] for tube in OWN}


def strand(turns, phase=0.0, begins=0.2, ends=0.8):
    """A strand that runs straight, then turns about an axis so often, to the right, then runs straight."""
    along = np.linspace(0.0, LONG, COUNT)
    angles = phase + 2 * math.pi * turns * np.clip((along / LONG - begins) / (ends - begins), 0.0, 1.0)
    return np.column_stack([APART / 2 * np.cos(angles), APART / 2 * np.sin(angles), along])


def rope(turns, **where):
    return strand(turns, **where), strand(turns, phase=math.pi, **where)


def held(count=COUNT, middle=None):
    """1 for points that may move: not the ends, nor those about the middle where a gate holds them."""
    free = ends_held(count, held=2)
    if middle is not None:
        free[middle - 1 : middle + 2] = 0.0
    return free


def rows_of(strands):
    return [
        np.concatenate([strands[n][0].points[:1], *(one.points[1:] for one in strands[n])])
        for n in range(len(strands))
    ]


def laid(*lines, gates=None, frees=None, **said):
    """The strings as they are given back, and their gates."""
    own = OWN[: len(lines)]
    strings = strung(*lines, free=frees or [held(len(line)) for line in lines], **said)
    strands, through = unwound(strings, own, gates or {tube: [] for tube in own})
    return rows_of(strands), through


def winding(one, other):
    points, firsts = np.concatenate([one, other]), np.array([0, len(one), len(one) + len(other)])
    return float(windings(points, firsts, [[0, 1]])[0])


def in_order(rows):
    points = np.concatenate(rows)
    return points[np.lexsort(points.T)]


@pytest.mark.parametrize("turns", [1, -1, 2])
def test_two_that_wind_about_each_other_exchange_stretches_until_they_do_not(turns):
    lines = rope(turns)
    assert abs(winding(*lines)) == pytest.approx(abs(turns), abs=0.1)
    rows, _ = laid(*lines)
    # Once crossed gives 1/2: of two crossings that are left, one is of the other hand.
    assert abs(winding(*rows)) < 0.6
    for row, line in zip(rows, lines, strict=True):
        assert np.array_equal(row[[0, -1]], line[[0, -1]])


def test_each_point_is_somebodys_still():
    lines = rope(1)
    rows, _ = laid(*lines)
    given, found = in_order(lines), in_order(rows)
    # Where two change over a point or two are left out: nobody goes there who was not there before.
    assert len(given) - 4 <= len(found) <= len(given)
    assert all((np.abs(given - point).sum(axis=1) == 0).any() for point in found)


def test_two_that_cross_once_lie_as_they_lay():
    lines = rope(0.5)
    assert abs(winding(*lines)) < 0.6
    rows, _ = laid(*lines)
    assert all(np.array_equal(row, line) for row, line in zip(rows, lines, strict=True))


def test_two_that_come_near_nowhere_are_left_alone_whatever_lies_about_them():
    aside = straight((100.0, 0.0, 0.0), (100.0, 0.0, LONG), COUNT)
    rows, _ = laid(*rope(1), aside)
    assert np.array_equal(rows[2], aside)
    assert abs(winding(rows[0], rows[1])) < 0.6


@pytest.mark.parametrize("said", [{"radii": (2.5, 3.0)}, {"bends": (20.0, 25.0)}])
def test_tubes_of_two_kinds_do_not_take_each_others_ways(said):
    lines = rope(1)
    rows, _ = laid(*lines, **said)
    assert all(np.array_equal(row, line) for row, line in zip(rows, lines, strict=True))


def gates_at(lines, passages=(3, 3)):
    """Each of two strings has a gate half way."""
    return {
        OWN[n]: [Gate(passage=passages[n], sense=1, place=lines[n][COUNT // 2])] for n in range(len(lines))
    }


def gated(passages=(3, 3)):
    """Two that wind about each other and can change over in one place before their gates and one behind."""
    lines, free = rope(1.4), np.zeros(COUNT)
    free[[9, 10, 20, 21]] = 1.0
    rows, through = laid(*lines, gates=gates_at(lines, passages), frees=[free, free])
    return lines, rows, through


def test_who_takes_a_stretch_through_a_passage_takes_the_place_in_it():
    lines, rows, through = gated()
    # A turn less, as the two cross where they change over, both times the other way round.
    assert abs(winding(*rows)) < 0.5
    for row, tube in zip(rows, OWN[:2], strict=True):
        (gate,) = through[tube]
        assert np.linalg.norm(row - gate.place, axis=1).min() == 0.0
    assert np.array_equal(through[OWN[0]][0].place, lines[1][COUNT // 2])


def test_no_tube_is_sent_through_another_passage():
    lines, rows, through = gated(passages=(3, 5))
    assert all(np.array_equal(row, line) for row, line in zip(rows, lines, strict=True))
    assert [through[tube][0].passage for tube in OWN[:2]] == [3, 5]


def test_what_is_held_stays_held():
    lines = rope(1)
    strings = strung(*lines, free=[held(middle=COUNT // 2)] * 2)
    strands, _ = unwound(strings, OWN[:2], gates_at(lines))
    before = stretches_of(strings, 2)
    for one, other in zip(strands, before, strict=True):
        assert [stretch.held for stretch in one] == [stretch.held for stretch in other]


def a_weave(*lines):
    """What is known of strings that all come near each other."""
    count, most = len(lines), 2 * max(len(line) for line in lines)
    points, gates = np.zeros((count, most, 3)), np.full((count, most), FREE)
    for row, line in zip(points, lines, strict=True):
        row[: len(line)] = line
    weave = Weave(
        points=points,
        sizes=np.array([len(line) for line in lines]),
        gates=gates,
        codes=np.zeros(0, dtype=np.int64),
        kinds=np.zeros(count, dtype=np.int64),
        beside=1 - np.eye(count, dtype=np.int64),
        turns=np.zeros((count, most, count)),
        reach=2 * APART,
    )
    fill_turns(weave)
    return weave


@pytest.mark.parametrize("apart", [6.0, 30.0, 100.0])
def test_chords_together_wind_as_the_integral_says(apart):
    # 4 atan(h^2 / (d sqrt(2 h^2 + d^2))) / (4 pi) for lines square to each other: geometry/test_winding.py.
    half = 160.0
    weave = a_weave(
        straight((-half, 0, 0), (half, 0, 0), 21), straight((0, -half, apart), (0, half, apart), 21)
    )
    expected = math.atan(half**2 / (apart * math.sqrt(2 * half**2 + apart**2))) / math.pi
    # Far chords count as if all of each were in its middle: that is less than a fiftieth of a turn.
    assert -weave.turns[0, :, 1].sum() == pytest.approx(expected, abs=0.02)
    assert -weave.turns[1, :, 0].sum() == pytest.approx(expected, abs=0.02)


def test_what_is_known_after_exchanges_is_what_reckoning_anew_gives():
    draw = np.random.default_rng(5)
    lines = [strand(1.0, phase, 0.1, 0.9) + draw.normal(0, 0.3, (COUNT, 3)) for phase in np.arange(5) * 1.25]
    weave = a_weave(*lines)
    done = [unwind(weave, a, b) for a in range(5) for b in range(a)]
    assert any(done)
    known = weave.turns.copy()
    fill_turns(weave)
    assert np.allclose(known, weave.turns, atol=1e-9)
