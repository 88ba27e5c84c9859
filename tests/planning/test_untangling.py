"""Neighbours that would change sides at their nipples change passages instead; capacity is kept."""

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
from builders import with_board, with_box, with_row, with_tube
from chosen import Scene, a_scene_of

from routeviz.planning.candidates import Candidates
from routeviz.planning.untangling import Options, untangled
from routeviz.planning.ways import Room, Way

WEST, EAST = 1, 0  # passages are numbered by name


def a_case(count: int, pitch: float = 9.0) -> Scene:
    """A row of nipples along the front, facing down, and a shelf with a hole at either side below them."""
    holes = {
        name: {"at": {"right": right, "back": 130}, "size": {"wide": 40, "deep": 40}}
        for name, right in (("west", 40), ("east", 320))
    }
    last = 200 + pitch * (count - 1)
    return a_scene_of(
        with_board("shelf", (0, 0, 180), (400, 300, 20), opening=holes),
        with_box("floor", (0, 0, -20), (400, 300, 20)),
        with_row("bar", f"1..{count}", (200, 150, 380), (last, 150, 380), faces="down"),
        with_row("stack", f"1..{count}", (200, 150, 20), (last, 150, 20), faces="up"),
        *(with_tube(f"bar {n}", f"stack {n}", name=f"t{n}") for n in range(1, count + 1)),
    )


def options(scene: Scene, costs: list[tuple[float, float]], found: tuple[int, int] = (9, 9)) -> Options:
    """Every tube may go by the west hole or by the east one, at these costs; what the two hold."""
    ways = tuple((Way(passages=(WEST,), cost=west), Way(passages=(EAST,), cost=east)) for west, east in costs)
    count = len(costs)
    return Options(
        stations=scene.stations,
        passages=scene.passages,
        candidates=Candidates(
            ways=ways, senses=(((-1,), (-1,)),) * count, rooms=np.ones((count, 2), dtype=np.int64)
        ),
        rooms=[
            Room(name=p.name, found=n, bound=n, most=None) for p, n in zip(scene.passages, found, strict=True)
        ],
        sizes=np.ones(count),
        chains=[list(range(count))],
        change_mm=0.0,
    )


def test_the_case_is_as_is_thought() -> None:
    scene = a_case(2)
    assert [scene.passages[number].name for number in (WEST, EAST)] == ["shelf west", "shelf east"]
    assert scene.stations.tips[0, 0, 0] < scene.stations.tips[1, 0, 0]


def test_two_neighbours_that_would_cross_at_their_nipples_exchange_their_passages() -> None:
    # The left tube goes east and the right one west: each must get past the other right at the nipples.
    scene = a_case(2)
    alike = options(scene, [(600.0, 600.0)] * 2, found=(1, 1))
    assert untangled([1, 0], alike) == [0, 1]


def test_two_neighbours_that_need_not_change_sides_stay_as_they_are() -> None:
    scene = a_case(2)
    alike = options(scene, [(600.0, 600.0)] * 2, found=(1, 1))
    assert untangled([0, 1], alike) == [0, 1]


def test_what_is_saved_by_crossing_may_be_worth_it() -> None:
    # Not to cross is worth a hand's breadth or two at each of four ends; a metre more it is not.
    scene = a_case(2)
    assert untangled([1, 0], options(scene, [(1600.0, 600.0), (600.0, 1600.0)], found=(1, 1))) == [1, 0]


def test_neighbours_that_are_far_apart_may_cross() -> None:
    # 100 mm from each other there is room to: the cheaper way is kept, however little cheaper.
    scene = a_case(2, pitch=100.0)
    assert untangled([1, 0], options(scene, [(601.0, 600.0), (600.0, 601.0)], found=(1, 1))) == [1, 0]


@pytest.mark.parametrize("seed", range(6))
def test_a_row_ends_up_parted_once_and_no_passage_holds_more_than_it_did_or_surely_can(seed: int) -> None:
    count = 12
    scene = a_case(count)
    rng = np.random.default_rng(seed)
    west = int(rng.integers(3, 10))
    begun = rng.permutation([0] * west + [1] * (count - west)).tolist()
    limits = count - west, west  # as they are numbered: east, west
    ended = untangled(begun, options(scene, [(600.0, 600.0)] * count, found=limits))
    loads = Counter(ended)
    assert (loads[0], loads[1]) == (west, count - west)
    # Sorted by side, all who go west lie west of all who go east.
    assert ended == sorted(ended)


def test_tubes_without_a_way_are_left_without_one() -> None:
    scene = a_case(3)
    assert untangled([1, -1, 0], options(scene, [(600.0, 600.0)] * 3, found=(1, 1)))[1] == -1
    assert untangled([-1, -1, -1], options(scene, [(600.0, 600.0)] * 3)) == [-1, -1, -1]


def test_a_thick_tube_counts_by_its_size() -> None:
    # Crossed, the two would exchange; but the west hole has room for one common tube, and the left is two.
    scene = a_case(2)
    thick = replace(options(scene, [(600.0, 600.0)] * 2, found=(2, 1)), sizes=np.array([2.0, 1.0]))
    assert untangled([1, 0], thick) == [1, 0]
