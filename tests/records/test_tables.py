"""Rounding to whole millimetres and to sixteenths is never short, held against exact fractions."""

import math
from fractions import Fraction

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from routeviz.records.tables import Column, Inches, Table, Tick, first_in, inches_up, mm_up
from routeviz.scene.lengths import length_mm

INCH = Fraction(254, 10)
ARITHMETIC = Fraction(2, 10**6)  # mm: what floating point may have added is let go, and that is stated


@settings(deadline=None)
@given(st.floats(0, 50_000, allow_nan=False))
@example(0.0)
@example(25.4)
@example(1.5875)  # a sixteenth
@example(322.00000000001)
def test_sixteenths_are_not_short_and_the_next_ones_below_would_be(mm):
    shown = Fraction(inches_up(mm).sixteenths, 16) * INCH
    exact = Fraction(mm)
    assert shown >= exact - ARITHMETIC
    assert shown - INCH / 16 < exact


@settings(deadline=None)
@given(st.floats(0, 50_000, allow_nan=False))
@example(322.0)
@example(322.00000000001)
def test_millimetres_are_not_short_and_one_less_would_be(mm):
    assert mm_up(mm) >= Fraction(mm) - ARITHMETIC
    assert mm_up(mm) - 1 < Fraction(mm)


@pytest.mark.parametrize(
    ("mm", "sixteenths", "said"),
    [
        (25.4, 16, "1"),
        (25.5, 17, "1 1/16"),
        (1.0, 1, "1/16"),
        (12.7, 8, "1/2"),
        (0.0, 0, "0"),
        (1312.3, 827, "51 11/16"),  # 51.665 in: 51 10.65/16
    ],
)
def test_inches_are_said_as_a_tape_shows_them(mm, sixteenths, said):
    assert math.ceil(Fraction(str(mm)) / INCH * 16) == sixteenths
    assert inches_up(mm) == Inches(sixteenths=sixteenths)
    assert str(inches_up(mm)) == said


@settings(deadline=None)
@given(st.integers(0, 100_000))
def test_what_is_said_is_what_is_meant(sixteenths):
    said = length_mm(f"{Inches(sixteenths=sixteenths)} in", None)
    assert Fraction(str(said)) == pytest.approx(Fraction(sixteenths, 16) * INCH, abs=1e-9)
    assert Fraction(Inches(sixteenths=sixteenths).decimal) == Fraction(sixteenths, 16)


def a_table(*columns, rows=()):
    return Table(name="t", title="T", columns=columns, rows=rows)


def test_inches_come_first_where_they_are_asked_for():
    pair = Column(name="a", title="long", unit="mm"), Column(name="b", title="long", unit="in")
    feet = Column(name="c", title="far", unit="m"), Column(name="d", title="far", unit="ft")
    table = a_table(Column(name="n", title="name"), *pair, *feet, rows=(("x", 26, 17, 1.0, 3.3),))
    turned = first_in(table, "in")
    assert [column.name for column in turned.columns] == ["n", "b", "a", "d", "c"]
    assert turned.rows == (("x", 17, 26, 3.3, 1.0),)
    assert first_in(table, "mm") == table
    assert first_in(turned, "mm") == table


def test_a_row_that_does_not_fit_is_refused():
    with pytest.raises(ValueError, match="a row of 2 cells under 1 columns"):
        a_table(Column(name="a", title="a"), rows=(("x", "y"),))


@pytest.mark.parametrize("number", [math.nan, math.inf])
def test_a_number_that_is_none_is_refused(number):
    with pytest.raises(ValueError, match="not finite"):
        a_table(Column(name="a", title="a"), rows=((number,),))


def test_two_columns_of_one_name_are_refused():
    with pytest.raises(ValueError, match="two columns of one name"):
        a_table(Column(name="a", title="a"), Column(name="a", title="b"))


def test_a_tick_is_a_tick():
    assert a_table(Column(name="a", title="a"), rows=((Tick(),),)).rows == ((Tick(),),)
