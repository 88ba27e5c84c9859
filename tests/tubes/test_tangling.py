"""How tangled small lays are, counted by hand; the integral itself is held to closed forms in geometry."""

import math

import numpy as np
import pytest
from builders import corners_of, extent, place, with_part, with_row, with_tube
from lays import a_lay

from routeviz.tubes.tangling import WOUND, Tangle, tangle_of

PITCH = 10.0


def rows(count, *ways, holes=None, shelf=False):
    """Tubes from a row above straight down to a row below; ``ways`` says to which hole each goes."""
    last = PITCH * (count - 1)
    hole = {"slot": {"at": place(10, 10, 0), "size": {"wide": 180, "deep": 120}}}
    board = with_part(
        "shelf", kind="board", at=place(-40, -40, -160), size=extent(260, 200, 20), opening=hole
    )
    return (
        *([board] if shelf else []),
        with_row("top", f"1..{count}", (0, 0, 0), (last, 0, 0), faces="down"),
        with_row("foot", f"1..{count}", (0, 0, -300), (last, 0, -300), faces="up"),
        *(with_tube(f"top {i + 1}", f"foot {to}", corners=way) for i, (to, way) in enumerate(ways)),
    )


def across(i, to, depth=0.0):
    """A way from column to column, in a plane of its own depth."""
    begin, end = PITCH * i, PITCH * (to - 1)
    return to, corners_of((begin, 0, -30), (begin, depth, -60), (end, depth, -240), (end, 0, -270), radius=5)


def straight(i):
    return i + 1, []


def test_a_ribbon_is_not_tangled(tmp_path):
    found = tangle_of(*a_lay(tmp_path, *rows(8, *(straight(i) for i in range(8)))))
    assert found == Tangle(
        crossings=0, side_changes=0, wound_pairs=0, worst_winding=0.0, worst=("top 1", "top 2"), partings=0
    )


def test_two_that_change_places_cross_once(tmp_path):
    found = tangle_of(*a_lay(tmp_path, *rows(2, across(0, 2), across(1, 1, depth=8))))
    assert (found.crossings, found.side_changes, found.wound_pairs) == (1, 1, 0)
    assert 0.1 < found.worst_winding < 0.5
    assert found.worst == ("top 1", "top 2")


@pytest.mark.parametrize(
    ("order", "inversions"),
    [([1, 2, 3, 4], 0), ([2, 1, 4, 3], 2), ([4, 3, 2, 1], 6), ([3, 1, 4, 2], 3)],
)
def test_side_changes_are_the_inversions_of_the_wiring(order, inversions, tmp_path):
    ways = [across(i, to, depth=5.5 * i) for i, to in enumerate(order)]
    found = tangle_of(*a_lay(tmp_path, *rows(4, *ways)))
    assert found.side_changes == inversions
    assert found.crossings == inversions  # each of them once, 16.5 apart at most, and looked for up to 16.68


def test_what_crosses_far_behind_the_other_is_not_in_its_way(tmp_path):
    found = tangle_of(*a_lay(tmp_path, *rows(2, across(0, 2), across(1, 1, depth=40))))
    assert (found.crossings, found.side_changes) == (0, 1)


def test_sides_changed_at_a_passage_and_back_count_twice(tmp_path):
    def by(i, column):
        begin, through = PITCH * i, PITCH * column
        middle = corners_of(
            (begin, 0, -30),
            (begin, 12 + 8 * i, -50),
            (through, 12 + 8 * i, -120),
            (through, 12 + 8 * i, -180),
            (begin, 12 + 8 * i, -250),
            (begin, 0, -270),
            radius=4,
        )
        return i + 1, middle

    pieces = rows(3, by(0, 2), by(1, 1), by(2, 0), shelf=True)
    # from 1 2 3 to 3 2 1 and back: three inversions each
    named = [piece.replace("[[tubes]]\n", '[[tubes]]\nthrough = ["shelf slot"]\n') for piece in pieces]
    assert tangle_of(*a_lay(tmp_path, *named)).side_changes == 6
    assert tangle_of(*a_lay(tmp_path, *pieces)).side_changes == 0  # nobody says that they go through it


def coil(turns, phase):
    """Corners of a helix about a plumb line, eight a turn."""
    angles = np.arange(round(8 * turns) + 1) * math.pi / 4 + phase
    return [(8 * math.cos(a), 8 * math.sin(a), -60 - 10 * k) for k, a in enumerate(angles)]


@pytest.mark.parametrize(("turns", "wound"), [(0, 0), (0.5, 0), (1, 1), (2, 1), (4, 1)])
def test_two_that_wind_about_each_other(turns, wound, tmp_path):
    tubes = []
    for name, phase in (("a", 0.0), ("b", math.pi)):
        way = coil(turns, phase)
        ends = (*way[0][:2], 0.0), (*way[-1][:2], way[-1][2] - 60)
        tubes += [
            with_row(f"{name} top", "1", ends[0], None, faces="down"),
            with_row(f"{name} foot", "1", ends[1], None, faces="up"),
            with_tube(f"{name} top 1", f"{name} foot 1", name=name, corners=corners_of(*way)),
        ]
    found = tangle_of(*a_lay(tmp_path, *tubes))
    assert found.wound_pairs == wound
    assert turns - 0.2 < found.worst_winding <= turns + 1e-9
    assert (found.worst_winding > WOUND) == bool(wound)
    assert found.worst == ("a", "b")


def test_tubes_part_where_neighbouring_nipples_go_different_ways(tmp_path):
    pieces = list(rows(6, *(straight(i) for i in range(6)), shelf=True))
    for i in (2, 3):
        pieces[3 + i] = pieces[3 + i].replace("[[tubes]]\n", '[[tubes]]\nthrough = ["shelf slot"]\n')
    assert tangle_of(*a_lay(tmp_path, *pieces)).partings == 2
    # by number, not in the order of the file
    shuffled = [*pieces[:3], *(pieces[3 + i] for i in (4, 0, 2, 5, 3, 1))]
    assert tangle_of(*a_lay(tmp_path, *shuffled)).partings == 2


def test_a_lay_without_tubes(tmp_path):
    cabinet, _ = a_lay(tmp_path, *rows(2))
    nothing = Tangle(crossings=0, side_changes=0, wound_pairs=0, worst_winding=0.0, worst=(), partings=0)
    assert tangle_of(cabinet, ()) == nothing
