"""Changes as a register: a general validator takes it, and what it says is what was changed."""

import csv
import io
from pathlib import Path

import pytest
from archive.validating import complaints_about
from builders import a_scene, with_box
from lays_compared import example, lay_in
from verdicts import a_tube_up

from routeviz.archive.changes_register import changes_csv, changes_register
from routeviz.archive.csvw import csvw_of
from routeviz.archive.differences import differences
from routeviz.archive.registers import Register, csv_of

BEFORE = a_scene(a_tube_up("a"), with_box("board", (3.78, -20, 100), (20, 40, 20)))
AFTER = a_scene(a_tube_up("a", at=(0, 3, 0), label="=C2"), with_box("board", (9, -20, 100), (20, 40, 20)))


def stored(folder: Path, register: Register) -> Path:
    (folder / f"{register.name}.csv").write_bytes(csv_of(register))
    description = folder / f"{register.name}.csv-metadata.json"
    description.write_bytes(csvw_of(register))
    return description


@pytest.fixture
def register(tmp_path: Path) -> Register:
    return changes_register(differences(lay_in(tmp_path, "before", BEFORE), lay_in(tmp_path, "after", AFTER)))


def rows_of(content: bytes, encoding: str = "utf-8") -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(content.decode(encoding), newline="")))


def test_a_general_validator_takes_it(register: Register, tmp_path: Path) -> None:
    assert complaints_about(stored(tmp_path, register)) == []


def test_a_general_validator_takes_that_of_two_instruments_and_that_of_none(tmp_path: Path) -> None:
    two = changes_register(differences(example("thistledown"), example("harbour_hall")))
    assert len(two.rows) > 300
    assert complaints_about(stored(tmp_path, two)) == []
    none = changes_register(differences(example("thistledown"), example("thistledown")))
    assert none.rows == ()
    assert complaints_about(stored(tmp_path, none)) == []


def test_a_word_that_may_not_stand_there_is_refused(register: Register, tmp_path: Path) -> None:
    description = stored(tmp_path, register)
    table = tmp_path / "changes.csv"
    table.write_bytes(table.read_bytes().replace(b",moved,", b",shifted,", 1))
    assert complaints_about(description)


def test_each_change_is_a_row_with_its_numbers(register: Register) -> None:
    rows = rows_of(csv_of(register))
    assert [int(row["change"]) for row in rows] == list(range(1, len(rows) + 1))
    told = {(row["about"], row["name"], row["what"], row["value"]): row for row in rows}
    tube = told["tube", "a", "moved", ""]
    assert (float(tube["low"]), float(tube["high"]), tube["unit"]) == (3.0, 3.0, "mm")
    assert (float(tube["at_x_mm"]), tube["on"]) == (0.0, "before")
    assert float(told["part", "board", "moved", ""]["high"]) == pytest.approx(9 - 3.78)
    assert told["finding", "a", "mended", "touch"]["severity"] == "fault"
    assert told["tube", "a", "altered", "label"]["after"] == "=C2"  # as it is: this one is for machines


def test_for_a_spreadsheet_no_cell_is_a_formula(tmp_path: Path) -> None:
    lays = lay_in(tmp_path, "before", BEFORE), lay_in(tmp_path, "after", AFTER)
    rows = rows_of(changes_csv(differences(*lays)), "utf-8-sig")
    assert {row["after"] for row in rows if row["value"] == "label"} == {"'=C2"}
