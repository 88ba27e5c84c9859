"""CSV files: read back by the standard library, and harmless to a spreadsheet (RFC 4180, OWASP's signs)."""

import csv
import io
import re

import pytest
from benched import lay_of
from hypothesis import given, settings
from hypothesis import strategies as st

from routeviz.records.bench_tables import bench_tables
from routeviz.records.csv_files import csv_bytes, escaped, unescaped
from routeviz.records.settings import Settings
from routeviz.records.tables import Column, Inches, Table, Tick

HOSTILE = (
    '=HYPERLINK("http://x")',
    "+1",
    "-1+2",
    "@SUM(A1)",
    "\t=1",
    "\r=1",
    "\n=1",
    "  =1",
    "\u200b=1",
    "＝1",
    "\0=1",
    "'=1",
    "'",
    "a, b",
    'he said "12"',
    "two\r\nlines",
    "",
)
FORMULA = re.compile(r"[\s\0\u200b]*[=+\-@＝＋－＠]")  # as a spreadsheet looks at it
TEXTS = st.text(st.characters(exclude_categories=["Cs"]))


def a_table(*rows):
    columns = tuple(Column(name=f"c{k}", title=f"c{k}") for k in range(len(rows[0])))
    return Table(name="t", title="T", columns=columns, rows=tuple(rows))


def read_back(content):
    assert content.startswith(b"\xef\xbb\xbf")
    return list(csv.reader(io.StringIO(content.decode("utf-8-sig"), newline=""), strict=True))


@pytest.mark.parametrize("text", HOSTILE)
def test_a_hostile_cell_is_harmless_and_comes_back(text):
    read = read_back(csv_bytes(a_table((text, "x"))))[1][0]
    assert not FORMULA.match(read)
    assert not read.startswith(("\t", "\r", "\n"))
    assert unescaped(read) == text


@settings(deadline=None)
@given(st.lists(st.tuples(TEXTS, TEXTS), min_size=1, max_size=4))
def test_any_text_comes_back(rows):
    back = read_back(csv_bytes(a_table(*rows)))[1:]
    assert [tuple(map(unescaped, row)) for row in back] == rows


@settings(deadline=None)
@given(TEXTS)
def test_what_is_escaped_begins_no_formula(text):
    assert not FORMULA.match(escaped(text))
    assert unescaped(escaped(text)) == text


def test_numbers_stay_numbers_and_lines_end_as_the_standard_says():
    content = csv_bytes(a_table((-5, 0.25, Inches(sixteenths=827), None, Tick(), "a")))
    assert content == b"\xef\xbb\xbfc0,c1,c2,c3,c4,c5\r\n-5,0.25,51.6875,,,a\r\n"


def test_units_stand_in_the_header():
    column = Column(name="a", title="expected length", unit="mm")
    table = Table(name="t", title="T", columns=(column,), rows=((5,),))
    assert read_back(csv_bytes(table)) == [["expected length, mm"], ["5"]]


@pytest.mark.parametrize("name", ["harbour_hall", "as_found"])
def test_every_table_of_a_scene_has_a_line_a_row(name):
    tables = bench_tables(lay_of(name), Settings())
    assert len({table.name for table in tables}) == len(tables)
    for table in tables:
        content = csv_bytes(table)
        lines = read_back(content)
        assert len(lines) == 1 + len(table.rows)
        assert {len(line) for line in lines} == {len(table.columns)}
        assert content == csv_bytes(table)
