"""Numbers and names in words: what a person reads in every finding."""

import pytest

from routeviz.checks.words import counted_on, meets, named, travelled


@pytest.mark.parametrize(
    ("names", "short"),
    [
        (["bar 1"], "bar 1"),
        (["bar 1", "bar 2", "bar 3", "bar 5"], "bar 1-3, 5"),
        (["bar 1", "stack 2", "stack 3"], "bar 1, stack 2-3"),
        (["bar 2", "bar 1"], "bar 2, 1"),
        (["soft", "bell 3"], "soft, bell 3"),
        (["7", "8", "10"], "7-8, 10"),
        ([], ""),
    ],
)
def test_names_that_count_on_are_drawn_together(names: list[str], short: str):
    assert named(names) == short


def test_what_is_left_out_of_a_long_row_is_counted():
    assert named(["bar 1", "bar 2", "bell", "drum", "pump 4"], most=2) == "bar 1-2, bell and 2 more"
    assert named(["bell", "bar 1", "bar 2", "bar 3"], most=1) == "bell and 3 more"


def test_two_comes_before_ten():
    assert sorted(["bar 10", "bar 2", "bar"], key=counted_on) == ["bar", "bar 2", "bar 10"]


@pytest.mark.parametrize(
    ("low", "words"),
    [
        (1.24, "comes within 1.2 mm of rail"),
        (0.04, "touches rail"),
        (-0.04, "touches rail"),
        (-1.26, "runs 1.3 mm into rail"),
    ],
)
def test_nearness_is_told_as_a_person_would(low: float, words: str):
    assert meets("rail", low) == words


def test_the_place_in_the_travel_is_told_in_percent_between_its_ends():
    assert [travelled(t) for t in (0.0, 0.333, 1.0)] == ["at rest", "at 33 % of its travel", "at full travel"]
