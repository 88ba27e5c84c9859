"""Registers of example scenes: a general validator takes all, and each reference leads to something."""

import csv
import io
from functools import cache

import pytest
from archive.validating import complaints_about
from benched import NAMES, SCENES, lay_of

from routeviz.archive.all_registers import registers_of
from routeviz.archive.csvw import csvw_group, csvw_of
from routeviz.archive.registers import csv_of

ALL = tuple(sorted(path.stem for path in SCENES.glob("*.toml")))


@cache
def registers(scene):
    return registers_of(lay_of(scene))


@cache
def tables(scene):
    """The tables of a scene as another reader of CSV has them, by name."""
    texts = {one.name: csv_of(one).decode("utf-8") for one in registers(scene)}
    return {name: list(csv.DictReader(io.StringIO(text, newline=""))) for name, text in texts.items()}


@pytest.fixture(scope="module", params=["as_found", "thistledown"])
def folder(request, tmp_path_factory):
    place = tmp_path_factory.mktemp(request.param)
    for one in registers(request.param):
        (place / f"{one.name}.csv").write_bytes(csv_of(one))
        (place / f"{one.name}.csv-metadata.json").write_bytes(csvw_of(one))
    (place / "csvw.json").write_bytes(csvw_group(registers(request.param)))
    return place


def test_every_table_fits_its_description(folder):
    names = sorted(folder.glob("*.csv-metadata.json"))
    assert len(names) > 25
    assert {name.name: complaints_about(name) for name in names} == {name.name: [] for name in names}


def test_all_tables_together_fit_the_description_of_all(folder):
    assert complaints_about(folder / "csvw.json") == []


@pytest.mark.parametrize("scene", ALL)
def test_each_reference_leads_to_a_row(scene):
    read = tables(scene)
    for one in registers(scene):
        for column, (other, key) in one.refers.items():
            known = {row[key] for row in read[other]}
            lost = {row[column] for row in read[one.name] if row[column]} - known
            assert not lost, f"{one.name}.{column} names {sorted(lost)[:5]}, which are not in {other}.{key}"


@pytest.mark.parametrize("scene", NAMES)
def test_no_two_registers_have_one_name_and_each_column_tells_its_unit(scene):
    names = [one.name for one in registers(scene)]
    assert len(set(names)) == len(names)
    for one in registers(scene):
        for column in one.fields:
            assert column.name.endswith("_mm") == (column.unit == "mm"), (one.name, column.name)
            assert column.name.endswith("_deg") == (column.unit == "deg"), (one.name, column.name)


def test_the_same_lay_gives_the_same_bytes():
    one, other = registers("as_found"), registers_of(lay_of("as_found"))
    assert [csv_of(a) + csvw_of(a) for a in one] == [csv_of(b) + csvw_of(b) for b in other]
    assert csvw_group(one) == csvw_group(other)
