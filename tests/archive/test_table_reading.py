"""A table is held to its description as the general CSVW package does it; where that is silent, strictly."""

import json

import pytest
from archive.described import PARTS
from archive.validating import complaints_about
from hypothesis import given
from hypothesis import strategies as st

from routeviz.archive.csvw import csvw_group, csvw_of
from routeviz.archive.registers import Field, Register, csv_of
from routeviz.archive.table_reading import astray, description_in, table_in

TUBES = Register(
    name="tubes",
    title="Tubes",
    about="A tube.",
    fields=(Field(name="tag", about="Its tag."), Field(name="on", about="What it is on.")),
    rows=(("1", "é"), ("2", "#1 'shelf'")),
    key=("tag",),
    refers={"on": ("parts", "part")},
)


def read(register, content=None):
    description, problems = description_in("its description", json.loads(csvw_of(register)))
    assert not problems
    return table_in(f"{register.name}.csv", csv_of(register) if content is None else content, description)


def test_what_was_written_is_read_again():
    table, problems = read(PARTS)
    assert problems == ()
    assert table.column("part") == ("#1 'shelf'", '=a, "b"\r\nc ', "é")
    assert [float(cell) for cell in table.column("long_mm") if cell] == [1e-07, 12.5]
    assert table.lines == (2, 3, 5)  # the second row's text has a line end in it


ALTERED = [
    (b"keep_clear", b"keep_cleat", 3, "'keep_cleat' under kind"),
    (b"a (b)", b"a b", 5, "'a b' under kind"),
    (b"box", b"", 2, "nothing under kind"),
    (b"\xc3\xa9,", b"#1 'shelf',", 5, "\"#1 'shelf'\" again, as in line 2"),
    (b",30,", b",0,", 3, "'0' under count"),
    (b",30,", b",30.5,", 3, "'30.5' under count"),
    (b"12.5", b"-12.5", 5, "'-12.5' under long_mm"),
    (b"12.5", b"12.5 mm", 5, "'12.5 mm' under long_mm"),
    (b"12.5", b"twelve", 5, "'twelve' under long_mm"),
    (b"moves", b"moved", 1, "the headings 'part, kind, long_mm, count, moved'"),
    (b",2,false", b",2,no", 5, "'no' under moves"),
]


@pytest.mark.parametrize(("old", "new", "line", "found"), ALTERED)
def test_a_cell_that_does_not_fit_is_told_with_its_line_and_csvw_refuses_it_too(
    tmp_path, old, new, line, found
):
    content = csv_of(PARTS).replace(old, new)
    _, problems = read(PARTS, content)
    assert [(one.line, one.found) for one in problems] == [(line, found)]
    (tmp_path / "parts.csv").write_bytes(content)
    (tmp_path / "parts.csv-metadata.json").write_bytes(csvw_of(PARTS))
    assert complaints_about(tmp_path / "parts.csv-metadata.json")


@pytest.mark.parametrize(
    ("old", "new", "found"),
    [
        (b"12.5", b"NaN", "'NaN' under long_mm"),  # numbers of xsd:double, but no lengths
        (b"12.5", b"INF", "'INF' under long_mm"),
        (b"12.5", b"1_2", "'1_2' under long_mm"),
        (b"12.5", "١".encode(), "'١' under long_mm"),
        (b"12.5,2", b"12.5,2,3", "6 cells"),
        (b"12.5,2,false\r\n", b"12.5\r\n", "3 cells"),
        (b"12.5,2,false\r\n", b"12.5,2,false\r\n\r\n", "0 cells"),
        (b"12.5", b'"12.5', "cells that cannot be told apart: unexpected end of data"),
        (b"12.5", b'"12.5"x', "cells that cannot be told apart: ',' expected after '\"'"),
        (b"12.5", b"\xff", "letters that are not UTF-8"),
        (b"\xc3\xa9,", b"\0,", "'\\x00' under part"),
        (
            b"\xc3\xa9",
            b"x" * 200_000,
            "cells that cannot be told apart: field larger than field limit (131072)",
        ),
    ],
)
def test_what_a_spreadsheet_might_leave_is_refused(old, new, found):
    _, problems = read(PARTS, csv_of(PARTS).replace(old, new))
    assert [one.found for one in problems] == [found]


def test_a_table_of_nothing_has_no_headings():
    assert [one.found for one in read(PARTS, b"")[1]] == ["no headings"]


def test_a_reference_to_what_is_not_there_is_told(tmp_path):
    told = {one["url"]: one for one in json.loads(csvw_group((PARTS, TUBES)))["tables"]}
    content = {"parts.csv": csv_of(PARTS), "tubes.csv": csv_of(TUBES).replace("é".encode(), b"e")}
    tables = {}
    for name, text in content.items():
        tables[name], problems = table_in(name, text, description_in("csvw.json", told[name])[0])
        assert problems == ()
        (tmp_path / name).write_bytes(text)
    assert [(one.file, one.line, one.found) for one in astray(tables)] == [("tubes.csv", 2, "'e' under on")]
    (tmp_path / "csvw.json").write_bytes(csvw_group((PARTS, TUBES)))
    assert complaints_about(tmp_path / "csvw.json")
    assert [one.found for one in astray({"tubes.csv": tables["tubes.csv"]})] == ["on refers to parts.csv"]


@pytest.mark.parametrize(
    "told",
    [
        None,
        [],
        {},
        {"tableSchema": None},
        {"tableSchema": {"columns": 1, "primaryKey": ["a"]}},
        {"tableSchema": {"columns": [], "primaryKey": []}},
        {"tableSchema": {"columns": [], "primaryKey": ["a"]}},
    ],
)
def test_a_description_that_is_none_is_told(told):
    description, [problem] = description_in("csvw.json", told)
    assert description is None
    assert problem.found.startswith("a description that cannot be understood")


@pytest.mark.parametrize(
    "datatype",
    [
        "date",
        7,
        {"base": "string", "format": "(a+)+$"},
        {"base": "string", "format": "[a-z]*"},
        {"base": "string", "format": "a\\d"},
        {"base": "string", "maxLength": 3},
        {"base": "double", "minimum": "low"},
    ],
)
def test_a_datatype_that_is_not_written_here_is_refused_and_no_pattern_is_run(datatype):
    told = json.loads(csvw_of(PARTS))
    told["tableSchema"]["columns"][0]["datatype"] = datatype
    description, [problem] = description_in("csvw.json", told)
    assert description is None
    assert problem.found.startswith("a description that cannot be understood")


CELLS = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), min_size=1, max_size=6)


@given(
    st.lists(
        st.tuples(
            CELLS,
            CELLS | st.none(),
            st.floats(allow_nan=False, allow_infinity=False) | st.none(),
            st.integers(-9, 9),
        ),
        unique_by=lambda row: row[0],
        max_size=6,
    ),
    st.lists(CELLS, min_size=1, unique=True),
)
def test_any_register_is_read_as_it_was_written(rows, words):
    register = Register(
        name="any",
        title="Any",
        about="Any.",
        fields=(
            Field(name="text", about="A text."),
            Field(name="word", about="A word.", required=False, one_of=tuple(words)),
            Field(name="number", about="A number.", kind="number", required=False),
            Field(name="whole", about="A whole number.", kind="whole"),
        ),
        rows=tuple(
            (text, None if word is None else words[0], number, whole) for text, word, number, whole in rows
        ),
        key=("text",),
    )
    table, problems = read(register)
    assert problems == ()
    assert table.column("text") == tuple(row[0] for row in register.rows)
    assert [float(cell) if cell else None for cell in table.column("number")] == [
        row[2] for row in register.rows
    ]
