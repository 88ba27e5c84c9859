"""How ways are told: every text worked by hand, and ranges read back by the scene's own reader of numbers."""

import numpy as np
import pytest

from routeviz.planning.runs import Going, runs_of
from routeviz.scene.ranges import numbers_in
from routeviz.tubes.plans import Run


def going(start: str | None, *through: str, tube: str | None = None) -> Going:
    return Going(tube=tube or f"tube {start}", start=start, through=through)


def along(part: str, numbers: list[int], *through: str) -> list[Going]:
    return [going(f"{part} {number}", *through) for number in numbers]


def told(goings: list[Going]) -> list[str]:
    return [run.says for run in runs_of(goings)]


def span(first: int, last: int, step: int = 1) -> list[int]:
    return list(range(first, last + 1, step))


def test_consecutive_tubes_through_one_passage_are_one_line():
    assert told(along("tracker bar", span(1, 22), "shelf bass")) == ["tracker bar 1..22 through shelf bass"]


def test_an_exception_joins_the_run_of_its_passage():
    bar = [
        *along("tracker bar", span(1, 22), "shelf bass"),
        *along("tracker bar", [23, 24], "shelf centre"),
        *along("tracker bar", span(25, 30), "shelf treble"),
        *along("tracker bar", span(31, 61), "shelf centre"),
    ]
    assert told(bar) == [
        "tracker bar 1..22 through shelf bass",
        "tracker bar 23, 24, 31..61 through shelf centre",
        "tracker bar 25..30 through shelf treble",
    ]


def test_a_single_exception_inside_a_run_makes_two_lines():
    bar = along("tracker bar", span(1, 22), "a")
    bar[9] = going("tracker bar 10", "b")
    assert told(bar) == ["tracker bar 1..9, 11..22 through a", "tracker bar 10 through b"]


def test_rows_of_one_part_are_told_together_where_they_go_together():
    rows = [*along("tracker bar", span(1, 61, 2), "a"), *along("tracker bar", span(2, 60, 2), "a")]
    assert told(rows) == ["tracker bar 1..61 through a"]
    (run,) = runs_of(rows)
    assert run.tubes == tuple(f"tube tracker bar {number}" for number in span(1, 61))


def test_rows_that_go_apart_are_told_in_steps():
    rows = [*along("tracker bar", span(1, 61, 2), "a"), *along("tracker bar", span(2, 60, 2), "b")]
    assert told(rows) == ["tracker bar 1..61 step 2 through a", "tracker bar 2..60 step 2 through b"]


def test_steps_and_plain_ranges_mix():
    numbers = [*span(1, 4), *span(7, 15, 2), 20, 21, 30]
    assert told(along("bar", numbers, "a")) == ["bar 1..4, 7..15 step 2, 20, 21, 30 through a"]


def test_two_boards_are_named_in_order():
    assert told([*along("bar", span(1, 3), "shelf F", "bed A")]) == ["bar 1..3 through shelf F, then bed A"]


def test_the_order_of_passages_makes_another_run():
    assert len(runs_of([*along("bar", [1], "a", "b"), *along("bar", [2], "b", "a")])) == 2


def test_tubes_that_need_no_passage_are_told_so():
    assert told(along("pump", span(1, 4))) == ["pump 1..4 through no passage"]


def test_what_starts_loose_is_told_by_its_own_name():
    loose = [going(None, "a", tube=f"spare {number}") for number in span(1, 3)]
    assert told(loose) == ["spare 1..3 through a"]


def test_a_nipple_without_a_number_is_told_by_its_name():
    assert told([going("reservoir", "a")]) == ["reservoir through a"]


def test_parts_that_send_one_or_two_tubes_the_same_way_share_a_line():
    goings = [
        *along("drum", [1], "a"),
        *along("tracker bar", span(1, 9), "a"),
        *along("cymbal", [1, 2], "a"),
        going("reservoir", "a"),
        *along("bell", [4], "b"),
    ]
    assert runs_of(goings) == (
        Run(
            through=("a",),
            tubes=("tube drum 1", "tube cymbal 1", "tube cymbal 2", "tube reservoir"),
            says="drum 1; cymbal 1, 2 and reservoir through a",
        ),
        Run(
            through=("a",),
            tubes=tuple(f"tube tracker bar {number}" for number in span(1, 9)),
            says="tracker bar 1..9 through a",
        ),
        Run(through=("b",), tubes=("tube bell 4",), says="bell 4 through b"),
    )


def test_no_tubes_make_no_runs():
    assert runs_of([]) == ()


@pytest.mark.parametrize("seed", range(40))
def test_every_tube_is_told_once_and_ranges_are_read_back_as_the_same_numbers(seed):
    draw = np.random.default_rng(seed)
    passages = [("a",), ("b",), ("c", "d"), ()]
    way = {number: passages[draw.integers(4)] for number in span(1, 61)}
    for number in span(1, 61):  # runs of some length
        if number > 1 and draw.random() < 0.7:
            way[number] = way[max(number - int(draw.integers(1, 3)), 1)]
    runs = runs_of([going(f"bar {number}", *way[number]) for number in span(1, 61)])
    assert sorted(name for run in runs for name in run.tubes) == sorted(f"tube bar {n}" for n in way)
    for run in runs:
        text = run.says.removeprefix("bar ").split(" through ")[0].split(" past ")[0]
        assert {n for n in way if way[n] == run.through} == set(numbers_in(text))
        assert len(run.tubes) == len(numbers_in(text))
    assert len(runs) == len(set(way.values()))
