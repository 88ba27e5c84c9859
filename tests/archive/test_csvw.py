"""A general CSVW validator takes a register with its description, and refuses one that was altered."""

import json

import pytest
from archive.described import PARTS
from archive.validating import complaints_about, values_in

from routeviz.archive.csvw import csvw_group, csvw_of
from routeviz.archive.registers import Field, Register, csv_of

TUBES = Register(
    name="tubes",
    title="Tubes",
    about="A tube.",
    fields=(
        Field(name="tag", about="Its tag."),
        Field(name="on", about="What it is on."),
        Field(name="past", about="What it passes.", required=False),
    ),
    rows=(("1", "é", None), ("2", "#1 'shelf'", "é")),
    key=("tag",),
    refers={"on": ("parts", "part"), "past": ("parts", "part")},
)


def written(folder, *registers):
    for register in registers:
        (folder / f"{register.name}.csv").write_bytes(csv_of(register))
        (folder / f"{register.name}.csv-metadata.json").write_bytes(csvw_of(register))
    (folder / "csvw.json").write_bytes(csvw_group(registers))
    return folder


def altered(path, old, new):
    content = path.read_bytes()
    assert content.count(old) == 1
    path.write_bytes(content.replace(old, new))


@pytest.mark.parametrize("name", ["parts.csv-metadata.json", "parts.csv", "csvw.json"])
def test_a_table_as_written_fits_its_description(tmp_path, name):
    assert complaints_about(written(tmp_path, PARTS, TUBES) / name) == []


def test_a_reader_that_goes_by_the_description_has_back_every_value(tmp_path):
    written(tmp_path, PARTS, TUBES)
    assert values_in(tmp_path / "parts.csv-metadata.json") == [list(row) for row in PARTS.rows]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (b"keep_clear", b"keep_cleat"),
        (b"a (b)", b"a b"),
        (b"box", b""),
        (b"\xc3\xa9,", b"#1 'shelf',"),
        (b",30,", b",0,"),
        (b"12.5", b"-12.5"),
        (b"12.5", b"12.5 mm"),
        (b"moves", b"moved"),
        (b",2,false", b",2,no"),
    ],
)
def test_a_table_that_was_altered_no_longer_fits(tmp_path, old, new):
    altered(written(tmp_path, PARTS, TUBES) / "parts.csv", old, new)
    assert complaints_about(tmp_path / "parts.csv-metadata.json")


def test_a_reference_to_what_is_not_there_is_refused(tmp_path):
    altered(written(tmp_path, PARTS, TUBES) / "tubes.csv", b"1,\xc3\xa9", b"1,e")
    assert complaints_about(tmp_path / "tubes.csv-metadata.json") == []
    assert "not found in table parts.csv" in " ".join(complaints_about(tmp_path / "csvw.json"))


def test_a_description_tells_unit_and_reference_in_words():
    columns = {one["name"]: one for one in json.loads(csvw_of(PARTS))["tableSchema"]["columns"]}
    assert columns["long_mm"]["schema:unitText"] == "mm"
    told = json.loads(csvw_of(TUBES))["tableSchema"]["columns"][2]["dc:description"]
    assert told == "What it passes. Stands in parts.csv under part."
