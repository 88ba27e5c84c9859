import pytest
from hypothesis import given
from hypothesis import strategies as st

from routeviz.scene.ranges import HIGHEST, RangeError, in_short, numbers_in


@pytest.mark.parametrize(
    ("text", "numbers"),
    [
        ("5", (5,)),
        ("1..4", (1, 2, 3, 4)),
        ("4..1", (4, 3, 2, 1)),
        ("1..8 step 3", (1, 4, 7)),
        ("8..1 step 3", (8, 5, 2)),
        ("1, 3, 7..9", (1, 3, 7, 8, 9)),
        (" 1 .. 3 ,5", (1, 2, 3, 5)),
    ],
)
def test_numbers_are_read_in_the_order_in_which_they_are_written(text: str, numbers: tuple[int, ...]):
    assert numbers_in(text) == numbers


@pytest.mark.parametrize(
    "text",
    ["", "a", "1...4", "1..", "1-4", "0", "1001", "1..3 step 0", "1,,2", "1, 2, 1", "1.5", "9" * 50, "1 2"],
)
def test_what_is_not_a_row_of_numbers_is_refused(text: str):
    with pytest.raises(RangeError):
        numbers_in(text)


def test_a_number_named_twice_is_told():
    with pytest.raises(RangeError) as refused:
        numbers_in("1..5, 3")
    assert str(refused.value) == (
        "'1..5, 3' names 3 twice\n"
        "  allowed: numbers such as '5', '1..61', '61..1', '1..61 step 2' or '1, 3, 7..9'\n"
        "  remedy: name each number once"
    )


@given(st.sets(st.integers(1, HIGHEST), min_size=1, max_size=20))
def test_what_is_written_short_is_read_as_the_same_numbers(numbers: set[int]):
    assert set(numbers_in(in_short(tuple(numbers)))) == numbers


def test_runs_of_three_or_more_are_written_as_ranges():
    assert in_short((1, 2, 3, 5, 7, 8)) == "1..3, 5, 7, 8"
    assert in_short(()) == "none"
