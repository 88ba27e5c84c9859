"""Lengths: expected values are arithmetic by hand on an inch of exactly 25.4 mm."""

import subprocess
import sys
from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from routeviz.errors import RoutevizError
from routeviz.scene.lengths import UNITS, LengthError, angle_deg, as_inches, as_mm, length_mm

IN_WORDS = [
    ("5/32 in", 3.96875),
    ('5/32"', 3.96875),
    ("5/32 inch", 3.96875),
    ("5⁄32 in", 3.96875),
    ("5∕32 in", 3.96875),
    ("3/8 inch", 9.525),
    ('3/8"', 9.525),
    ("3/8″", 9.525),
    ("3/8”", 9.525),
    ("3/8''", 9.525),
    ("3/8′′", 9.525),
    ("5/4 in", 31.75),
    ("1 1/4 in", 31.75),
    ("1-1/4 in", 31.75),
    ("1–1/4 in", 31.75),
    ("1¼ in", 31.75),
    ("1 ¼ in", 31.75),
    ("1-¼ in", 31.75),
    ("¼ in", 6.35),
    ("⅞ inches", 22.225),
    ("1⅒ in", 27.94),
    (".5 in", 12.7),
    ("0.5 in", 12.7),
    ("2 ft 3 in", 685.8),
    ("2 ft 3 1/2 in", 698.5),
    ("2' 3 1/2\"", 698.5),
    ("2'-3 1/2\"", 698.5),
    ("2′ 3½″", 698.5),
    ("2’ 3½”", 698.5),
    ("2 feet 3.5 inches", 698.5),
    ("2 ft 0 in", 609.6),
    ("1'", 304.8),
    ("1 foot", 304.8),
    ("2 1/2 ft", 762.0),
    ("12 mm", 12.0),
    ("12mm", 12.0),
    ("  12\tmm ", 12.0),
    ("12\u00a0mm", 12.0),
    ("12\u2009mm", 12.0),
    ("1\u202f1/4\u2007in", 31.75),
    ("1.5 cm", 15.0),
    ("0.3 m", 300.0),
    ("+4 mm", 4.0),
    ("0 mm", 0.0),
    ("1 m", 1000.0),
    ("1000 m", 1_000_000.0),
]


@pytest.mark.parametrize(("written", "expected_mm"), IN_WORDS)
def test_a_length_with_its_unit_is_read_exactly(written: str, expected_mm: float) -> None:
    assert length_mm(written, None) == expected_mm


@pytest.mark.parametrize(("written", "expected_mm"), IN_WORDS)
def test_a_length_with_its_unit_does_not_heed_the_units_of_the_file(written: str, expected_mm: float) -> None:
    assert length_mm(written, "ft") == expected_mm


@pytest.mark.parametrize(
    ("number", "units", "expected_mm"),
    [
        (12, "mm", 12.0),
        (12.5, "cm", 125.0),
        (0.3, "m", 300.0),
        (1.1, "in", 27.94),
        (3, "ft", 914.4),
        (0, "in", 0.0),
        (1e-3, "m", 1.0),
    ],
)
def test_a_bare_number_is_in_the_units_of_the_file(number: float, units: str, expected_mm: float) -> None:
    assert length_mm(number, units) == expected_mm


@pytest.mark.parametrize(
    ("written", "expected_mm"),
    [
        ("-12 mm", -12.0),
        ("−12 mm", -12.0),
        ("- 1 1/4 in", -31.75),
        ("-1-1/4 in", -31.75),
        ("-2 ft 3 in", -685.8),
        (-3.5, -3.5),
    ],
)
def test_below_zero_is_read_where_it_may_stand_and_refused_elsewhere(
    written: str | float, expected_mm: float
) -> None:
    assert length_mm(written, "mm", negative=True) == expected_mm
    with pytest.raises(LengthError, match="is below zero"):
        length_mm(written, "mm")


REFUSED = [
    ("4,5 mm", "'4,5 mm' has a comma", "write 4.5 mm: decimals follow a point"),
    (",5 mm", "',5 mm' has a comma", "write .5 mm: decimals follow a point"),
    ("480,0 mm", "'480,0 mm' has a comma", "write 480.0 mm: decimals follow a point"),
    ("1,200 mm", "may have its thousands set apart", "write the digits of the whole number together"),
    ("1 200 mm", "may have its thousands set apart", "write the digits of the whole number together"),
    ("1\u2009200 mm", "may have its thousands set apart", "write the digits of the whole number together"),
    ("1'200 mm", "may have its thousands set apart", "write the digits of the whole number together"),
    ("1_200 mm", "may have its thousands set apart", "write the digits of the whole number together"),
    ("1,200,000.5 mm", "may have its thousands set apart", "write the digits of the whole number together"),
    ("nan", "'nan' is no number", "write what the tape shows"),
    ("NaN mm", "'NaN mm' is no number", "write what the tape shows"),
    ("inf mm", "'inf mm' is no number", "write what the tape shows"),
    ("-Infinity in", "'-Infinity in' is no number", "write what the tape shows"),
    (float("nan"), "nan is no number to measure with", "write what the tape shows"),
    (float("inf"), "inf is no number to measure with", "write what the tape shows"),
    (1e400, "inf is no number to measure with", "write what the tape shows"),
    ("1e400 mm", "'1e400 mm' has an exponent", 'write the number out, such as "1000 mm"'),
    ("1.e3 mm", "'1.e3 mm' has an exponent", 'write the number out, such as "1000 mm"'),
    (True, "true is no number", "write a number"),
    (False, "false is no number", "write a number"),
    (None, "a value of the kind NoneType is no number", "write a number"),
    ([12], "a value of the kind list is no number", "write a number"),
    ("3/0 in", "'3/0 in' divides by zero", "such as 3/8"),
    ("1 3/00 in", "'1 3/00 in' divides by zero", "such as 3/8"),
    ("", "an empty text", "write the value"),
    ("  \u00a0", "an empty text", "write the value"),
    ("12", "'12' ends without a unit", 'write the unit after 12, such as "12 mm"'),
    ("5/32", "'5/32' ends without a unit", 'write the unit after 5/32, such as "5/32 mm"'),
    ("-1 1/4", "'-1 1/4' ends without a unit", "write the unit after 1 1/4"),
    ("2 ft 3", "'2 ft 3' ends without a unit", "write the unit after 3"),
    ("3 in 2 ft", "'3 in 2 ft' has inches before feet", "write the feet first"),
    ("1 m 20 cm", "'1 m 20 cm' has both m and cm", "write it in one unit"),
    ("2 ft 3 ft", "'2 ft 3 ft' has both ft and ft", "write it in one unit"),
    ("2.5 ft 3 in", "has part of a foot and then inches", "write whole feet before inches"),
    ("2 ft 12 in", "has twelve inches or more after feet", "carry the foot"),
    ("1 5/4 in", "has a whole number and then 5/4", "write a fraction less than one"),
    ("1 km", "'1 km' has the unknown unit 'km'", 'did you mean "m"?'),
    ("12 MM", "'12 MM' has the unknown unit 'MM'", 'did you mean "mm"?'),
    ("12 mm²", "has the unknown unit 'mm²'", 'did you mean "mm"?'),
    ("3 inchs", "has the unknown unit 'inchs'", 'did you mean "in"?'),
    ("3 foots", "has the unknown unit 'foots'", 'did you mean "ft"?'),
    ("5 \u202emm", r"has the unknown unit '\u202emm'", 'did you mean "mm"?'),
    ("mm", "'mm' is no length", "write a number and a unit"),
    ("long", "'long' is no length", "write a number and a unit"),
    ("1.2.3 mm", "'1.2.3 mm' is no length", "write a number and a unit"),
    ("1.5 1/4 in", "'1.5 1/4 in' is no length", "write a number and a unit"),
    ("1 - 1/4 in", "'1 - 1/4 in' is no length", "write a number and a unit"),
    ("1/2/3 in", "'1/2/3 in' is no length", "write a number and a unit"),
    ("½½ in", "'½½ in' is no length", "write a number and a unit"),
    ("½5 in", "'½5 in' is no length", "write a number and a unit"),
    ("2 ft -3 in", "'2 ft -3 in' is no length", "write a number and a unit"),
    ("1 ft 2 in 3 mm", "'1 ft 2 in 3 mm' is no length", "write a number and a unit"),
    ("١٢ mm", "'١٢ mm' is no length", "write a number and a unit"),
    ("1" * 5000 + " mm", "has 5003 characters", "write it shorter"),
    ("1" * 30 + " mm", "is beyond a kilometre", "correct the number or the unit"),
    ("1001 m", "'1001 m' is beyond a kilometre", "correct the number or the unit"),
    (1e300, "1e+300 is beyond a kilometre", "correct the number or the unit"),
]


@pytest.mark.parametrize(("value", "found", "remedy"), REFUSED)
def test_what_could_be_read_in_two_ways_or_none_is_refused_with_its_own_message(
    value: object, found: str, remedy: str
) -> None:
    with pytest.raises(LengthError) as caught:
        length_mm(value, "mm", negative=True)
    assert found in caught.value.found
    assert remedy in caught.value.remedy
    assert len(str(caught.value)) < 400


def test_a_number_too_long_to_print_is_refused_without_printing_it() -> None:
    with pytest.raises(LengthError, match="a number of twenty digits or more is beyond a kilometre"):
        length_mm(10**5000, "mm")


def test_a_bare_number_in_a_file_without_units_is_refused() -> None:
    with pytest.raises(LengthError) as caught:
        length_mm(12, None)
    assert str(caught.value) == (
        "12 without a unit\n"
        '  allowed: a length with its unit, such as "12.5 mm", "5/32 in", "1 1/4 in" or "2 ft 3 1/2 in"\n'
        '  remedy: write the unit, such as "12 mm", or units = "mm" at the top of the file'
    )


def test_an_unknown_unit_is_answered_with_all_units_the_nearest_first() -> None:
    with pytest.raises(LengthError) as caught:
        length_mm("3 inchs", None)
    assert caught.value.allowed == "one of the units in, cm, ft, m, mm"


def test_unknown_units_of_the_file_are_refused() -> None:
    with pytest.raises(LengthError) as caught:
        length_mm(3, "millimetre")
    assert caught.value.found == "the unknown units 'millimetre'"
    assert caught.value.remedy == 'write units = "mm"'


def test_a_length_error_is_one_that_the_program_raises_on_purpose() -> None:
    assert issubclass(LengthError, RoutevizError)


@pytest.mark.parametrize(
    ("value", "expected_deg"),
    [(70, 70.0), (12.5, 12.5), ("70 deg", 70.0), ("70°", 70.0), ("7½ degrees", 7.5), ("1 degree", 1.0)],
)
def test_an_angle_is_a_number_of_degrees_or_says_so(value: object, expected_deg: float) -> None:
    assert angle_deg(value) == expected_deg


def test_an_angle_below_zero_turns_the_other_way() -> None:
    assert angle_deg("-90 deg") == angle_deg(-90) == -90


@pytest.mark.parametrize(
    ("value", "found"),
    [
        ("70", "'70' is no angle in degrees"),
        ("1.2 rad", "'1.2 rad' is no angle in degrees"),
        ("1 deg 2 deg", "is no angle in degrees"),
        ("4,5 deg", "'4,5 deg' has a comma"),
        (361, "361 is beyond a full turn"),
        (float("nan"), "nan is no number"),
        (True, "true is no number"),
    ],
)
def test_what_is_no_angle_is_refused(value: object, found: str) -> None:
    with pytest.raises(LengthError) as caught:
        angle_deg(value)
    assert found in caught.value.found


@pytest.mark.parametrize(
    ("mm", "digits", "text"),
    [
        (12.34, 1, "12.3 mm"),
        (12.34, 0, "12 mm"),
        (-0.01, 1, "0.0 mm"),
        (-1.26, 1, "-1.3 mm"),
        (0, 2, "0.00 mm"),
    ],
)
def test_millimetres_are_written_with_the_digits_asked_for(mm: float, digits: int, text: str) -> None:
    assert as_mm(mm, digits) == text


@pytest.mark.parametrize(
    ("mm", "nearest", "text"),
    [
        (314.325, 16, "12 3/8 in"),  # 12.375 x 25.4
        (25.4, 16, "1 in"),
        (25.3, 16, "1 in"),  # 15.94 sixteenths carry
        (304.7, 64, "12 in"),
        (3.96875, 32, "5/32 in"),
        (12.7, 16, "1/2 in"),
        (-31.75, 16, "-1 1/4 in"),
        (0.0, 16, "0 in"),
        (-0.1, 16, "0 in"),
        (12.7, 1, "1 in"),
        (2.54, 10, "1/10 in"),
    ],
)
def test_inches_are_written_as_the_tape_shows_them(mm: float, nearest: int, text: str) -> None:
    assert as_inches(mm, nearest) == text


@pytest.mark.parametrize("mm", [float("nan"), float("inf"), -float("inf")])
def test_what_is_not_finite_is_not_written(mm: float) -> None:
    with pytest.raises(ValueError, match="finite"):
        as_mm(mm)
    with pytest.raises(ValueError, match="finite"):
        as_inches(mm)


def test_a_tape_has_at_least_one_division() -> None:
    with pytest.raises(ValueError, match="at least 1"):
        as_inches(1.0, 0)


marks = st.integers(min_value=-40 * 12 * 64, max_value=40 * 12 * 64)
tape = st.floats(min_value=-1e5, max_value=1e5, allow_nan=False)


@given(marks, st.sampled_from([1, 2, 4, 8, 16, 32, 64]))
def test_every_mark_of_an_inch_tape_is_written_and_read_again_unchanged(mark: int, nearest: int) -> None:
    mm = float(round(Fraction(mark, nearest) * UNITS["in"], 9))
    assert length_mm(as_inches(mm, nearest), None, negative=True) == mm


@given(tape, st.sampled_from([8, 16, 32]))
@example(12.69999, 16)
def test_inches_are_within_half_a_mark_of_the_length(mm: float, nearest: int) -> None:
    read = length_mm(as_inches(mm, nearest), None, negative=True)
    assert abs(read - mm) <= 25.4 / nearest / 2 + 1e-8  # both are rounded to 1e-9


@given(tape, st.integers(min_value=0, max_value=6))
def test_millimetres_are_within_half_a_digit_of_the_length(mm: float, digits: int) -> None:
    assert abs(length_mm(as_mm(mm, digits), None, negative=True) - mm) <= 0.5 * 10.0**-digits + 1e-8


@given(st.integers(0, 10**5), st.integers(0, 999), st.sampled_from(["mm", "cm", "m", "in", "ft"]))
def test_a_decimal_means_the_same_bare_and_with_its_unit(whole: int, thousandths: int, unit: str) -> None:
    text = f"{whole}.{thousandths:03d}"
    exact = (Fraction(whole) + Fraction(thousandths, 1000)) * UNITS[unit]
    if exact > 1_000_000:
        with pytest.raises(LengthError, match="kilometre"):
            length_mm(f"{text} {unit}", None)
    else:
        assert length_mm(f"{text} {unit}", None) == length_mm(float(text), unit) == float(exact)


@given(st.text(max_size=60) | st.text(alphabet="0123456789 /.,-'\"inftmc¼½e_", max_size=20))
def test_any_text_at_all_is_a_length_or_refused_in_words(text: str) -> None:
    refused = None
    mm = 0.0
    try:
        mm = length_mm(text, None)
    except LengthError as error:
        refused = error
    assert 0 <= mm <= 1_000_000
    assert refused is None or (refused.found.isprintable() and refused.allowed and refused.remedy)


def test_reading_lengths_loads_neither_numpy_nor_pydantic() -> None:
    loaded = subprocess.run(
        [sys.executable, "-c", "import sys, routeviz.scene.lengths; print(*sys.modules)"],
        capture_output=True,
        text=True,
        check=True,
    ).stdout.split()
    assert "routeviz.scene.lengths" in loaded
    assert not {"numpy", "pydantic"} & set(loaded)
