"""README.txt tells every column, its sums are right, and they lead to what the tables have."""

import math
import re
from dataclasses import dataclass

import numpy as np
import pytest
from archive.reading_along import columns_of, sections_of, sums_of
from archive.rebuilding import Case, cut_list, tables_of
from benched import NAMES, lay_of
from builders import a_scene, a_table, corners_of, with_box, with_nipple, with_part, with_tube, written
from builders import place as at
from mesh_files import SIDES, binary_stl, box

from routeviz.archive.all_registers import registers_of
from routeviz.archive.reading_guide import reading_guide
from routeviz.archive.registers import csv_of
from routeviz.pipeline import check_scene

ROUNDED_MM = 0.00006  # sums are printed to 0.0001
KINDS = {"text": "text", "number": "number", "whole": "whole number", "yes or no": "true or false"}
NOTE_OUTSIDE = 5.56  # of the tube kind in builders.NOTE


@dataclass(frozen=True)
class File:
    path: str
    title: str
    about: str


FILES = (
    File("ro-crate-metadata.json", "Description", "every file with what it is"),
    File("evidence/photos/bench.jpg", "The bench", "photo"),
    File("tables/tubes.csv", "Tubes", ""),
)


@pytest.fixture(scope="module", params=NAMES)
def read(request, tmp_path_factory):
    return _read(lay_of(request.param), tmp_path_factory.mktemp(request.param))


def _read(lay, folder):
    """A lay's registers, its tables as a reader has them, and its guide."""
    registers = registers_of(lay)
    (folder / "tables").mkdir()
    for register in registers:
        (folder / "tables" / f"{register.name}.csv").write_bytes(csv_of(register))
    return registers, tables_of(folder), reading_guide(lay, registers, FILES).decode("ascii")


def _guide(folder, *pieces, **head):
    lay = check_scene(written(folder, a_scene(*pieces, **head)))
    return reading_guide(lay, registers_of(lay), FILES).decode("ascii")


def _example(guide):
    """The sums for the length, and those for the clearance, with the lines around both."""
    lines = sections_of(guide)["A WORKED EXAMPLE"]
    middle = lines.index("How near a tube comes to something.")
    return lines[:middle], lines[middle:]


def _told_with(lines):
    """The tube that a sum is about: the first name in quotation marks."""
    return re.search(r'The tube "([^"]*)"', " ".join(lines))[1]


def test_every_column_of_every_table_is_told_with_its_kind_and_unit(read):
    registers, _, guide = read
    told = columns_of(guide)
    for register in registers:
        wanted = {one.name: (not one.required, KINDS[one.kind], one.unit) for one in register.fields}
        assert told[register.name] == wanted, register.name


def test_it_is_ascii_in_lines_of_at_most_76_letters(read):
    guide = read[2]
    assert guide.isascii()
    assert max(len(line) for line in guide.splitlines()) <= 76
    assert not [line for line in guide.splitlines() if line != line.rstrip()]


def test_every_sum_of_the_example_is_right_on_a_calculator(read):
    for lines in _example(read[2]):
        sums = sums_of(lines)
        assert len(sums) >= 5
        assert [s for s in sums if abs(s[1] - s[2]) > ROUNDED_MM] == []


def test_the_length_of_the_example_is_what_the_corners_give(read):
    _, tables, guide = read
    lines = _example(guide)[0]
    name, last = _told_with(lines), sums_of(lines)[-1][2]
    assert last == pytest.approx(cut_list(tables)[name], abs=0.002)
    pieces = [row for row in tables["centreline-pieces"] if row["tube"] == name]
    assert sum(line.startswith("  Piece ") for line in lines) == len(pieces)


def test_the_clearance_of_the_example_is_what_a_search_over_the_whole_tube_finds(read):
    _, tables, guide = read
    lines = _example(guide)[1]
    name, last = _told_with(lines), sums_of(lines)[-1][2]
    rebuilt, other = Case(tables).least(name, "fixed")
    assert last == pytest.approx(rebuilt, abs=0.05)
    assert f'against "{other}"' in " ".join(lines)


def test_the_example_can_be_followed_beside_a_turned_part_too(tmp_path):
    """A box turned by 30 degrees about the line up, its near edge 9 mm behind a straight tube's middle."""
    guide = _guide(
        tmp_path,
        with_nipple("a", (0, 0, 100), faces="right"),
        with_nipple("b", (400, 0, 100), faces="left"),
        with_part(
            "block",
            kind="box",
            at=at(200, 9, 60),
            size={"wide": 50, "deep": 40, "high": 80},
            turned={"about": "up", "by": 30},
        ),
        with_tube("a 1", "b 1", name="t", corners=[]),
    )
    lines = _example(guide)[1]
    sums = sums_of(lines)
    assert [s for s in sums if abs(s[1] - s[2]) > ROUNDED_MM] == []
    assert sums[-1][2] == pytest.approx(9 - NOTE_OUTSIDE / 2, abs=0.001)
    assert any(f"{math.sqrt(0.75):.6f}"[:8] in text for text, _, _ in sums)  # cos 30 deg is in its axes


def test_letters_outside_ascii_and_backslashes_are_escaped_as_stated(tmp_path):
    name = "\N{LATIN SMALL LETTER U WITH DIAERESIS}\\" * 30
    guide = _guide(
        tmp_path,
        with_box(name, (0, 0, 0), (10, 10, 10)),
        with_box("\N{GRINNING FACE} box", (20, 0, 0), (20, 20, 20)),
        title="Caf\N{LATIN SMALL LETTER E WITH ACUTE}",
    )
    assert guide.startswith("Caf\\u00e9\n=========\n")
    unbroken = re.sub(r"\n +", "", guide)
    assert "\\u00fc\\\\" * 30 in unbroken
    assert "\\U0001f600 box" in guide
    assert max(len(line) for line in guide.splitlines()) <= 76
    assert "\\uXXXX or \\UXXXXXXXX" in guide


def test_a_case_without_tubes_says_that_there_is_nothing_to_work_out(tmp_path):
    guide = _guide(tmp_path, with_box("bed", (0, 0, 0), (400, 300, 40)))
    example = " ".join("\n".join(sections_of(guide)["A WORKED EXAMPLE"]).split())
    assert "No tube of this record has a centreline, so there is no length to work out." in example
    assert "No clearance of this record can be worked out" in example


def test_a_tube_beside_nothing_but_another_is_worked_out_from_the_two_nearest_places(tmp_path):
    """Two straight tubes that cross, one 9 mm above the other; nothing else is there."""
    guide = _guide(
        tmp_path,
        with_nipple("a", (0, 0, 0), faces="right"),
        with_nipple("b", (300, 0, 0), faces="left"),
        with_nipple("c", (150, -150, 9), faces="back"),
        with_nipple("d", (150, 150, 9), faces="front"),
        with_tube("a 1", "b 1", name="low", corners=[]),
        with_tube("c 1", "d 1", name="high", corners=[]),
    )
    sums = sums_of(_example(guide)[1])
    assert [s for s in sums if abs(s[1] - s[2]) > ROUNDED_MM] == []
    assert sums[-1][2] == pytest.approx(9 - NOTE_OUTSIDE, abs=1e-3)


def test_the_zero_is_found_again_from_the_faces_of_blocks(tmp_path):
    guide = _guide(tmp_path, with_box("bed", (20, 30, 40), (400, 300, 60)))
    told = " ".join("\n".join(sections_of(guide)["FRAME AND UNITS"]).split())
    assert (
        "bed: left face at x 20.0, right face at x 420.0; front at y 30.0, back at y 330.0; bottom at z "
        "40.0, top at z 100.0"
    ) in told


def test_what_is_not_known_is_told(read):
    _, tables, guide = read
    told = " ".join("\n".join(sections_of(guide)["WHAT IS NOT KNOWN"]).split())
    assert tables["not-known"]
    for row in tables["not-known"]:
        assert f"- {row['says']}" in told


def test_what_is_open_unsure_or_was_not_tested_is_told(tmp_path):
    guide = _guide(
        tmp_path,
        a_table("record", shows="as found", not_known=["who moved the pump"]),
        with_nipple("a", (0, 0, 0)),
        with_nipple("b", (0, 90, 0)),
        with_box("rail", (60, 0, 0), (10, 200, 10), doubt={"status": "inferred"}),
        with_tube("a 1", "unknown", name="lost", corners=corners_of((0, 0, 50), (0, 0, 90))),
    )
    told = " ".join("\n".join(sections_of(guide)["WHAT IS NOT KNOWN"]).split())
    assert "- who moved the pump" in told
    assert "- b: no tube on b 1." in told
    assert "- Inferred: 6 dimensions, of rail." in told  # its place and its size
    assert "It shows the instrument as found." in guide


def test_beside_a_mesh_the_example_goes_by_the_nearest_places_and_an_open_one_is_told(tmp_path):
    """A cube of 40 mm as triangles, one of those below missing; a straight tube 6 mm above its top."""
    (tmp_path / "cube.stl").write_bytes(binary_stl(box(40, 40, 40), np.delete(SIDES, 8, axis=0)))
    guide = _guide(
        tmp_path,
        with_part("cube", kind="mesh", file="cube.stl", unit="mm", at=at(180, -20, 0)),
        with_nipple("a", (0, 0, 46), faces="right"),
        with_nipple("b", (400, 0, 46), faces="left"),
        with_tube("a 1", "b 1", name="t", corners=[]),
    )
    sums = sums_of(_example(guide)[1])
    assert [s for s in sums if abs(s[1] - s[2]) > ROUNDED_MM] == []
    assert sums[-1][2] == pytest.approx(6 - NOTE_OUTSIDE / 2, abs=0.001)
    told = " ".join("\n".join(sections_of(guide)["WHAT IS NOT KNOWN"]).split())
    assert "Known by their surface alone, so that nothing was tested for lying inside: cube." in told


def test_files_are_told_by_folder_and_tables_by_their_own_section(read):
    told = "\n".join(sections_of(read[2])["WHAT IS IN THE FOLDER"])
    assert "- ro-crate-metadata.json: Description; every file with what it is" in told
    assert "evidence/photos/:" in told
    assert "- bench.jpg: The bench; photo" in told
    assert "tubes.csv" not in told


def test_same_lay_same_bytes(read):
    registers, _, guide = read
    name = next(name for name in NAMES if guide.startswith(lay_of(name).reading.scene.title))
    assert reading_guide(lay_of(name), registers, FILES).decode("ascii") == guide
