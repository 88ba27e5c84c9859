"""The workbook, read back by openpyxl and as plain XML: numbers as numbers, no formulas, the same bytes."""

import io
import re
import zipfile

import pytest
from benched import lay_of
from openpyxl import load_workbook

from routeviz.records.bench_tables import bench_tables
from routeviz.records.settings import Settings
from routeviz.records.tables import Column, Inches, Table, Tick
from routeviz.records.workbook import workbook_bytes

HOSTILE = ("=1+1", '=HYPERLINK("http://x")', "#N/A", "+2", "@x", "true", "2024-01-01", "'=1", "{=1}")


def a_table(*rows, title="T"):
    columns = tuple(Column(name=f"c{k}", title=f"c{k}", unit="mm") for k in range(len(rows[0])))
    return Table(name="t", title=title, columns=columns, rows=tuple(rows), notes=("=a note",))


def opened(content):
    return load_workbook(io.BytesIO(content))


@pytest.mark.parametrize("text", HOSTILE)
def test_a_hostile_text_is_a_text(text):
    content = workbook_bytes("=title", [a_table((text,))])
    cell = opened(content)["T"]["A2"]
    assert (cell.value, cell.data_type) == (text, "s")
    with zipfile.ZipFile(io.BytesIO(content)) as book:
        sheets = [book.read(name).decode() for name in book.namelist() if "worksheets/sheet" in name]
    assert len(sheets) == 2
    assert not any("<f>" in sheet or "<f " in sheet for sheet in sheets)


def test_a_sign_that_is_no_print_is_spelt_out():
    cell = opened(workbook_bytes("t", [a_table(("a\x01b\u202ec",))]))["T"]["A2"]
    assert cell.value == "a\\u0001b\\u202ec"


def test_numbers_are_numbers_and_inches_are_shown_in_sixteenths():
    content = workbook_bytes("t", [a_table((1313, 0.5, Inches(sixteenths=827), None, Tick()))])
    whole, half, inches, nothing, tick = opened(content)["T"][2]
    assert (whole.value, whole.data_type) == (1313, "n")
    assert half.value == 0.5
    assert inches.value == 51.6875
    assert inches.number_format == "# ??/16"
    assert nothing.value is None
    assert tick.value == "☐"


@pytest.mark.parametrize("name", ["thistledown", "as_found"])
def test_every_table_is_a_sheet_with_its_head_frozen(name):
    tables = bench_tables(lay_of(name), Settings())
    book = opened(workbook_bytes(name, tables, "Letter"))
    assert book.sheetnames == ["Notes", *(table.title for table in tables)]
    for table in tables:
        sheet = book[table.title]
        assert sheet.freeze_panes == "A2"
        assert sheet.page_setup.paperSize == 1  # Letter, by ECMA-376's list of paper sizes
        assert [cell.value.strip() for cell in sheet[1]] == [column.header for column in table.columns]
        assert sheet.max_row == 1 + len(table.rows)
        assert not any(cell.data_type in "fe" for row in sheet for cell in row)
    notes = [row[1].value for row in book["Notes"].iter_rows(min_row=2)]
    assert notes == [note for table in tables for note in table.notes]


def test_the_same_tables_give_the_same_bytes_without_any_hour():
    first, second = (workbook_bytes("t", [a_table(("a", 1))]) for _ in range(2))
    assert first == second
    with zipfile.ZipFile(io.BytesIO(first)) as book:
        assert {info.date_time for info in book.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        hours = re.findall(r"\d{4}-\d\d-\d\dT[\d:]+Z", book.read("docProps/core.xml").decode())
    assert set(hours) == {"1980-01-01T00:00:00Z"}
    assert len(hours) == 2


def test_a_sheet_has_a_name_that_the_format_allows():
    book = opened(
        workbook_bytes("t", [a_table(("a",), title="What/where? [a long title that goes on and on]")])
    )
    (name,) = book.sheetnames[1:]
    assert len(name) <= 31
    assert not set(name) & set("[]:*?/\\")


def test_a_row_is_as_high_as_its_longest_text_asks_for():
    words = " ".join(["eleven sign"] * 12)  # 143 letters in columns of at most 48, less a margin: four lines
    sheet = opened(workbook_bytes("t", [a_table(("short", 1), (words, 2), ("a\nb\nc", 3), ("x" * 9000, 4))]))[
        "T"
    ]
    assert [sheet.row_dimensions[row].height for row in (2, 3, 4, 5)] == [15, 60, 45, 409]
