"""Chains of passages on small room graphs, by hand; how long ways are in a case with a shelf."""

import math

import numpy as np
import pytest
from builders import with_board, with_box, with_row, with_tube
from chosen import Scene, a_scene_of

from routeviz.planning.candidates import candidates_of, chains_of
from routeviz.planning.mouths import mouths_of
from routeviz.planning.way_lengths import folds

A, B, C = 0, 1, 2


def rooms(*pairs: tuple[int, int]) -> np.ndarray:
    return np.array(pairs, dtype=np.int64)


def test_one_room_needs_no_passage_and_takes_none_that_only_leads_away() -> None:
    assert chains_of(1, 1, rooms((1, 2)), ()) == [()]


def test_two_rooms_are_joined_by_either_of_two_passages_each_in_its_own_sense() -> None:
    # A leads from room 1 to 2 along its direction, B from 2 to 1: a tube from 1 to 2 takes B backwards.
    assert chains_of(1, 2, rooms((1, 2), (2, 1)), ()) == [((A, 1),), ((B, -1),)]
    assert chains_of(2, 1, rooms((1, 2), (2, 1)), ()) == [((A, -1),), ((B, 1),)]


def test_rooms_in_a_row_are_gone_through_in_order_and_none_is_come_back_to() -> None:
    # 1 -A- 2 -B- 3, and C from 1 to 3 as well.
    found = chains_of(1, 3, rooms((1, 2), (2, 3), (1, 3)), ())
    assert found == [((C, 1),), ((A, 1), (B, 1))]


def test_a_gap_within_one_room_may_come_before_and_after_and_two_gaps_at_most() -> None:
    # A joins room 1 to itself, B leads to room 2; A may be gone through either way, but once.
    found = chains_of(1, 2, rooms((1, 1), (1, 2)), ())
    assert sorted(found) == sorted([((B, 1),), ((A, 1), (B, 1)), ((A, -1), (B, 1))])
    three = chains_of(1, 1, rooms((1, 1), (1, 1), (1, 1)), ())
    assert max(len(chain) for chain in three) == 2


def test_where_something_stands_before_a_passage_it_leads_nowhere() -> None:
    assert chains_of(1, 2, rooms((1, 0), (0, 2)), ()) == []
    assert chains_of(0, 2, rooms((0, 2)), ()) == []


def test_pinned_passages_are_gone_through_in_their_order_others_may_lie_between() -> None:
    # 1 -A- 2 -B- 3: pinned B alone, or A and B; B before A is on no way.
    row = rooms((1, 2), (2, 3))
    for pinned in ((B,), (A, B), (A,)):
        assert chains_of(1, 3, row, pinned) == [((A, 1), (B, 1))]
    assert chains_of(1, 3, row, (B, A)) == []


def test_as_many_passages_as_are_pinned_may_follow_each_other() -> None:
    row = rooms(*((n, n + 1) for n in range(1, 7)))
    assert chains_of(1, 7, row, range(6)) == [tuple((n, 1) for n in range(6))]
    assert chains_of(1, 7, row, ()) == []  # nobody lays six in a row unasked


def test_a_pinned_passage_may_lead_back_into_a_room_that_was_seen() -> None:
    # From room 1 to room 2 there are A, B and C; pinned A and B: down by the third, up by A, down by B.
    found = chains_of(1, 2, rooms((1, 2), (1, 2), (1, 2)), (A, B))
    assert found == [((C, 1), (A, -1), (B, 1))]


TOP = "[clearance]\nfixed = 2\nmoving = 3\n"
HOLES = {
    name: {"at": {"right": right, "back": 140}, "size": {"wide": 40, "deep": 40}}
    for name, right in (("left", 50), ("right", 310))
}


def a_case(*tubes: str) -> Scene:
    """A closed case of 400 x 300 x 400 with a shelf half way up; a bar above, a stack below."""
    return a_scene_of(
        with_box("floor", (0, 0, -20), (400, 300, 20)),
        with_box("lid", (0, 0, 400), (400, 300, 20)),
        with_box("left side", (-20, 0, -20), (20, 300, 440)),
        with_box("right side", (400, 0, -20), (20, 300, 440)),
        with_box("front", (-20, -20, -20), (440, 20, 440)),
        with_box("rear", (-20, 300, -20), (440, 20, 440)),
        with_board("shelf", (0, 0, 190), (400, 300, 20), opening=HOLES),
        with_row("bar", "1..2", (70, 160, 380), (82, 160, 380), faces="down"),
        with_row("stack", "1..2", (70, 160, 20), (82, 160, 20), faces="up"),
        *tubes,
        top=TOP,
    )


def test_the_way_straight_down_is_told_as_long_as_it_is_and_the_other_as_the_way_there_and_back() -> None:
    scene = a_case(with_tube("bar 1", "stack 1", name="a"))
    mouths = mouths_of(scene.passages, scene.grid)
    found = candidates_of(scene.stations, scene.passages, mouths, scene.grid)
    lengths = {way.passages: way.cost for way in found.ways[0]}
    # Measured between the ends of straight starts of one bend each; the left hole is right below.
    bend = float(scene.stations.bends[0])
    straight = 360 - 2 * bend
    # To the right one: from (70, 380 - bend) to (330, 212 + 12), through, and back likewise.
    across = math.hypot(330 - 70, 380 - bend - 222)
    aside = 2 * across + 44
    assert lengths[0,] == pytest.approx(straight, rel=0.12, abs=25)
    assert lengths[1,] == pytest.approx(aside, rel=0.12, abs=25)
    assert found.senses[0] == ((-1,), (-1,))


def test_a_pinned_tube_has_only_ways_by_its_passage() -> None:
    scene = a_case(with_tube("bar 1", "stack 1", name="a", through=["shelf right"]))
    found = candidates_of(scene.stations, scene.passages, mouths_of(scene.passages, scene.grid), scene.grid)
    assert [way.passages for way in found.ways[0]] == [(1,)]


def test_two_passages_far_aside_and_close_behind_each_other_cost_a_fold() -> None:
    # Two shelves 60 apart; one hole straight below the other, one 200 aside: no ribbon folds like that.
    def holes(*rights: float) -> dict[str, object]:
        size = {"wide": 40, "deep": 40}
        return {f"h{n}": {"at": {"right": r, "back": 140}, "size": size} for n, r in enumerate(rights)}

    scene = a_scene_of(
        with_board("upper", (0, 0, 200), (400, 300, 20), opening=holes(50)),
        with_board("lower", (0, 0, 120), (400, 300, 20), opening=holes(50, 250)),
        with_row("bar", "1", (70, 160, 380), None, faces="down"),
        with_row("stack", "1", (70, 160, 20), None, faces="up"),
        with_tube("bar 1", "stack 1", name="a"),
        top=TOP,
    )
    number = {passage.name: i for i, passage in enumerate(scene.passages)}
    down = [(number["upper h0"], -1)]
    assert folds((*down, (number["lower h0"], -1)), 25.0, scene.passages) == 0.0
    assert folds((*down, (number["lower h1"], -1)), 25.0, scene.passages) > 100.0
