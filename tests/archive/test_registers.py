"""A register refuses what would contradict its own description; any CSV reader has back what was written."""

import csv
import io

import numpy as np
import pytest

from routeviz.archive.registers import Field, Register, csv_of

NAME = Field(name="name", about="Its name.")
LONG = Field(name="long_mm", about="How long.", kind="number", unit="mm", required=False, least=0)
STANDS = Field(name="stands", about="Whether it stands still.", kind="yes or no")


def register(*rows):
    return Register(
        name="things", title="Things", about="A thing.", fields=(NAME, LONG, STANDS), rows=rows, key=("name",)
    )


def test_another_csv_reader_has_back_what_was_written():
    content = csv_of(register(('a, "b"\r\nc', 0.1, True), ("=1+1 é", None, False)))
    assert list(csv.reader(io.StringIO(content.decode("utf-8"), newline=""))) == [
        ["name", "long_mm", "stands"],
        ['a, "b"\r\nc', "0.1", "true"],
        ["=1+1 é", "", "false"],
    ]


@pytest.mark.parametrize(
    ("row", "says"),
    [
        (("a", 1.0), "2 cells under 3 columns"),
        (("a", float("nan"), True), "nan under long_mm"),
        (("a", True, True), "True under long_mm"),
        (("a", 1.0, 1), "1 under stands"),
        ((None, 1.0, True), "nothing under name"),
        (("", 1.0, True), "nothing under name"),
        (("a", -0.1, True), r"-0\.1 under long_mm, where nothing is below 0"),
    ],
)
def test_a_row_that_does_not_fit_its_fields_is_refused(row, says):
    with pytest.raises(ValueError, match=says):
        register(row)


def test_a_key_that_stands_twice_is_refused():
    with pytest.raises(ValueError, match=r"the key .* stands twice"):
        register(("a", 1.0, True), ("a", 2.0, True))


def test_a_word_that_is_not_among_the_allowed_is_refused():
    kind = Field(name="kind", about="Which.", one_of=("box", "bar"))
    with pytest.raises(ValueError, match="allowed: box, bar"):
        Register(name="t", title="T", about="A.", fields=(kind,), rows=(("bax",),), key=("kind",))


def test_numbers_of_any_package_are_written_as_digits():
    content = csv_of(register(("a", np.float64(0.1), True), ("b", -0.0, True), ("c", 3, True)))
    assert content.decode().split()[1:] == ["a,0.1,true", "b,0.0,true", "c,3,true"]
