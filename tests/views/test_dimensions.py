"""Dimensions: where their lines and arrows are, and what is written, worked by hand."""

import numpy as np
import pytest

from routeviz.views.dimensions import Entry, Ruling, between, running
from routeviz.views.drawing import Arc, Fill, Stroke, Words

TENTH = Ruling(thing=10.0, inches=False)  # at 1:10


@pytest.mark.parametrize(
    ("mm", "inches", "written"),
    [
        (692.0, False, "692"),
        (5.56, False, "5.6"),
        (-40.0, False, "−40"),
        (0.0, False, "0"),
        (25.4, True, "1"),
        (692.0, True, "27 1/4"),  # 27.244 in: 27 and 3.9 sixteenths
        (-9.0, True, "−3/8"),  # 0.354 in: 5.67 sixteenths
    ],
)
def test_a_figure_is_written_without_its_unit(mm: float, inches: bool, written: str) -> None:
    assert Ruling(thing=1.0, inches=inches).figure(mm) == written


@pytest.mark.parametrize(
    ("first", "last", "aside", "line", "turn"),
    [
        ((0, 0), (400, 0), 7.0, [(0, 70), (400, 70)], 0.0),
        ((0, 0), (400, 0), -7.0, [(0, -70), (400, -70)], 0.0),
        ((50, 0), (50, 300), 7.0, [(-20, 0), (-20, 300)], 90.0),
        ((50, 0), (50, 300), -7.0, [(120, 0), (120, 300)], 90.0),
    ],
)
def test_a_dimension_line_is_so_many_millimetres_of_the_sheet_off(
    first: tuple[float, float],
    last: tuple[float, float],
    aside: float,
    line: list[tuple[float, float]],
    turn: float,
) -> None:
    marks = between(first, last, aside, TENTH)
    strokes = [mark.points.tolist() for mark in marks if isinstance(mark, Stroke)]
    assert [list(p) for p in line] in strokes
    (words,) = [mark for mark in marks if isinstance(mark, Words)]
    assert (words.text, words.turn_deg) == (f"{np.hypot(*np.subtract(last, first)):g}", turn)


def test_arrows_point_at_the_ends_and_lie_between_them_where_there_is_room() -> None:
    tips = {}
    for long in (400.0, 30.0):
        fills = [m.points for m in between((0, 0), (long, 0), 7.0, TENTH) if isinstance(m, Fill)]
        tips[long] = [(p[0].tolist(), float(p[1, 0])) for p in fills]
    # 1.8 mm of the sheet long: 18 mm at 1:10; in a room of 30 mm they point inwards from outside.
    assert tips[400.0] == [([0.0, 70.0], 18.0), ([400.0, 70.0], 382.0)]
    assert tips[30.0] == [([0.0, 70.0], -18.0), ([30.0, 70.0], 48.0)]


def entry(name: str, at: float, zero: str = "case", origin: float = 0.0) -> Entry:
    return Entry(name=name, zero=zero, from_mm=origin, at_mm=at, begins_mm=100.0)


def test_running_dimensions_count_from_their_own_zero_which_has_a_ring() -> None:
    marks = running([entry("shelf", 700), entry("keys", 745, "bed", 700)], 0.0, "upright", TENTH)
    assert [m.text for m in marks if isinstance(m, Words)] == ["700 shelf", "bed 45 keys"]
    # Lines of two zeros are 3 mm of the sheet apart.
    assert [m.centre for m in marks if isinstance(m, Arc)] == [(-30.0, 0.0), (-60.0, 700.0)]


def test_what_lies_in_one_place_is_said_once() -> None:
    some = [entry("passage A", 50), entry("shelf", 20), entry("passage C", 50), entry("shelf", 20.01)]
    marks = running(some, 0.0, "level", TENTH)
    assert [m.text for m in marks if isinstance(m, Words)] == ["20 shelf", "50 passage A, C"]


def test_words_of_near_places_are_moved_apart_in_order() -> None:
    marks = running([entry(f"n{k}", 100.0 + k) for k in range(6)], 0.0, "upright", TENTH)
    heights = [m.at[1] for m in marks if isinstance(m, Words)]
    assert np.diff(heights) == pytest.approx([30.0] * 5)  # 3 mm of the sheet
    assert np.mean(heights) == pytest.approx(102.5)


def test_words_without_room_in_one_line_stand_in_two_and_are_cut_short_at_last() -> None:
    ruling = Ruling(thing=10.0, inches=False, words_mm=16.0)
    marks = running([entry("a name that is far too long for its room", 123.4)], 0.0, "upright", ruling)
    figure, name = [m.text for m in marks if isinstance(m, Words)]
    assert figure == "123.4"
    assert name.startswith("a name")
    assert name.endswith("…")


def test_nothing_to_measure_gives_nothing() -> None:
    assert running([], 0.0, "upright", TENTH) == []
