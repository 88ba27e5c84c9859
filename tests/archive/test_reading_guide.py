"""README.txt tells every column, its sums are right, and they lead to what the tables have."""

import math
import re
from dataclasses import dataclass

import numpy as np
import pytest
from archive.reading_along import columns_of, sections_of, sums_of
from archive.rebuilding import Case, cut_list, tables_of
from benched import NAMES, lay_of
from builders import NOTE, a_scene, a_table, corners_of, with_box, with_nipple, with_part, with_tube, written
from builders import place as at
from mesh_files import SIDES, binary_stl, box

from routeviz.archive.all_registers import registers_of
from routeviz.archive.reading_guide import reading_guide
from routeviz.archive.registers import csv_of
from routeviz.pipeline import check_scene

ROUNDED_MM = 0.00006  # sums are printed to 0.0001
KINDS = {"text": "text", "number": "number", "whole": "whole", "yes or no": "true or false"}
NOTE_OUTSIDE, NOTE_BORE = 5.56, NOTE["bore"]  # of the tube kind in builders.NOTE


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


LENGTH = "How long to cut a tube."
FIXED = "How near a tube comes to something."
OTHER = "How near a tube comes to another."
MOVING = "How near a tube comes to what moves."


def _examples(guide):
    """The lines of each worked example, by its title."""
    found, title = {}, ""
    for line in sections_of(guide)["WORKED EXAMPLES"]:
        title = line if line in (LENGTH, FIXED, OTHER, MOVING) else title
        found.setdefault(title, []).append(line)
    return found


def _told(guide, section):
    """A section's text on one line."""
    return " ".join("\n".join(sections_of(guide)[section]).split())


def _result(lines):
    """What the sums come to, each of which a calculator finds right."""
    sums = sums_of(lines)
    assert [s for s in sums if abs(s[1] - s[2]) > ROUNDED_MM] == []
    return sums[-1][2]


def _told_with(lines):
    """The tube that a sum is about: the first name in quotation marks."""
    return re.search(r'The tube "([^"]*)"', " ".join(lines))[1]


def test_every_column_of_every_table_is_told_with_its_kind_and_unit(read):
    registers, _, guide = read
    told = columns_of(guide)
    for register in (one for one in registers if one.rows):
        wanted = {
            one.name: (not one.required, one.name in register.key, KINDS[one.kind], one.unit)
            for one in register.fields
        }
        assert told[register.name] == wanted, register.name


def test_tables_without_a_row_are_named_in_one_line(read):
    registers, _, guide = read
    empty = [one.name for one in registers if not one.rows]
    told = re.search(r"Without a row, and so not told of here: ([^.]*)\.", _told(guide, "THE TABLES"))
    assert told[1].split(", ") == empty
    assert columns_of(guide).keys().isdisjoint(empty)


def test_it_is_ascii_in_lines_of_at_most_76_letters(read):
    guide = read[2]
    assert guide.isascii()
    assert max(len(line) for line in guide.splitlines()) <= 76
    assert not [line for line in guide.splitlines() if line != line.rstrip()]


def test_every_sum_of_the_examples_is_right_on_a_calculator(read):
    examples = _examples(read[2])
    assert {LENGTH, FIXED, OTHER} <= examples.keys()
    for lines in list(examples.values())[1:]:
        _result(lines)
        assert len(sums_of(lines)) >= 5


def test_the_length_of_the_example_is_what_the_corners_give(read):
    _, tables, guide = read
    lines = _examples(guide)[LENGTH]
    name = _told_with(lines)
    assert _result(lines) == pytest.approx(cut_list(tables)[name], abs=0.002)
    pieces = [row for row in tables["centreline-pieces"] if row["tube"] == name]
    assert sum(line.startswith("  Piece ") for line in lines) == len(pieces)


@pytest.mark.parametrize(("title", "sort"), [(FIXED, "fixed"), (OTHER, "tube"), (MOVING, "moving")])
def test_clearances_of_the_examples_are_what_a_search_over_the_whole_tube_finds(read, title, sort):
    _, tables, guide = read
    if title not in _examples(guide):
        assert title == MOVING  # not every case has a tube beside something that moves
        return
    lines = _examples(guide)[title]
    rebuilt, other = Case(tables).least(_told_with(lines), sort)
    assert _result(lines) == pytest.approx(rebuilt, abs=0.05)
    assert re.search(rf'against (the tube )?"{re.escape(other)}"', " ".join(" ".join(lines).split()))


def test_the_example_as_found_shows_an_arc_beside_a_tube_and_a_key_that_turns(read):
    if read[2].startswith(lay_of("as_found").reading.scene.title):
        examples = _examples(read[2])
        assert "is an arc" in " ".join(examples[OTHER])
        assert any("cos(" in text for text, _, _ in sums_of(examples[MOVING]))


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
    lines = _examples(guide)[FIXED]
    assert _result(lines) == pytest.approx(9 - NOTE_OUTSIDE / 2, abs=0.001)
    assert any(f"{math.sqrt(0.75):.6f}"[:8] in text for text, _, _ in sums_of(lines))  # cos 30 deg, its axes


def test_an_arc_beside_another_tube_is_worked_out(tmp_path):
    """An arc of 30 mm about (30, 70), and a tube straight up that stands 7 mm outside of it at 45 degrees."""
    aside = 37 * math.sqrt(0.5)
    right, back = 30 - aside, 70 + aside
    guide = _guide(
        tmp_path,
        with_nipple("a", (0, 0, 100), faces="back"),
        with_nipple("b", (90, 100, 100), faces="left"),
        with_nipple("c", (right, back, 0), faces="up"),
        with_nipple("d", (right, back, 200), faces="down"),
        with_tube("a 1", "b 1", name="bent", corners=corners_of((0, 100, 100), radius=30)),
        with_tube("c 1", "d 1", name="up", corners=[]),
    )
    lines = _examples(guide)[OTHER]
    assert _told_with(lines) == "bent"
    assert _result(lines) == pytest.approx(7 - NOTE_OUTSIDE, abs=0.001)


def test_a_sleeve_beside_another_tube_is_worked_out(tmp_path):
    """A tube passes 8 mm under the middle of a sleeve: its wall's section stays, over a nipple of 5 mm."""
    guide = _guide(
        tmp_path,
        with_nipple("a", (0, 0, 100), faces="right", outside=5),
        with_nipple("b", (300, 0, 100), faces="left", outside=5),
        with_nipple("c", (-6, -150, 92), faces="back"),
        with_nipple("d", (-6, 150, 92), faces="front"),
        with_tube("a 1", "b 1", name="over", corners=[]),
        with_tube("c 1", "d 1", name="under", corners=[]),
    )
    wide = math.sqrt(NOTE_OUTSIDE**2 - NOTE_BORE**2 + 5**2)
    lines = _examples(guide)[OTHER]
    assert _told_with(lines) == "over"
    assert _result(lines) == pytest.approx(8 - wide / 2 - NOTE_OUTSIDE / 2, abs=0.001)


def test_what_turns_is_worked_out_where_it_comes_nearest(tmp_path):
    """A lever of 100 x 10 x 10 mm hinged at its left end, half way up, that lifts by 20 degrees.

    Over its free end at full travel a tube runs to the back, ``gap`` off the upper face along its middle.
    """
    angle, gap = math.radians(20), 6.0
    along, off = 60.0, 5 + gap
    right = along * math.cos(angle) - off * math.sin(angle)
    up = 5 + along * math.sin(angle) + off * math.cos(angle)
    guide = _guide(
        tmp_path,
        with_part(
            "lever",
            kind="box",
            at=at(0, -5, 0),
            size={"wide": 100, "deep": 10, "high": 10},
            motion={"turns_about": "back", "at": at(0, 0, 5), "travel": -20},
        ),
        with_nipple("a", (right, -150, up), faces="back"),
        with_nipple("b", (right, 150, up), faces="front"),
        with_tube("a 1", "b 1", name="t", corners=[]),
    )
    lines = _examples(guide)[MOVING]
    assert _result(lines) == pytest.approx(gap - NOTE_OUTSIDE / 2, abs=0.05)  # as for what slides
    assert any("cos(" in text for text, _, _ in sums_of(lines))


def test_what_slides_is_worked_out_where_it_comes_nearest(tmp_path):
    """A block of 10 mm that rises by 30 mm to 6 mm under the middle of a tube.

    What is tabled as at most so much may lie 0.05 mm above what is tabled as at least.
    """
    guide = _guide(
        tmp_path,
        with_part(
            "pedal",
            kind="box",
            at=at(-5, -5, 50),
            size={"wide": 10, "deep": 10, "high": 10},
            motion={"slides": "up", "travel": 30},
        ),
        with_nipple("a", (0, -150, 96), faces="back"),
        with_nipple("b", (0, 150, 96), faces="front"),
        with_tube("a 1", "b 1", name="t", corners=[]),
    )
    assert _result(_examples(guide)[MOVING]) == pytest.approx(6 - NOTE_OUTSIDE / 2, abs=0.05)


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


def test_dashes_and_dots_are_written_plainly(tmp_path):
    title = "A\N{EN DASH}B\N{HORIZONTAL ELLIPSIS} 2 \N{MULTIPLICATION SIGN} 3"
    guide = _guide(tmp_path, with_box("bed", (0, 0, 0), (10, 10, 10)), title=title)
    assert guide.startswith("A-B... 2 x 3\n============\n")
    assert "\\" not in guide  # nor is it told how other letters are written


def test_a_case_without_tubes_says_that_there_is_nothing_to_work_out(tmp_path):
    told = _told(_guide(tmp_path, with_box("bed", (0, 0, 0), (400, 300, 40))), "WORKED EXAMPLES")
    assert "No tube of this record has a centreline, so there is no length to work out." in told
    assert "No clearance of this record can be worked out" in told
    assert OTHER not in told
    assert MOVING not in told


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
    assert _result(_examples(guide)[FIXED]) == pytest.approx(9 - NOTE_OUTSIDE, abs=1e-3)


def test_the_zero_is_found_again_from_the_faces_of_blocks_that_were_measured(tmp_path):
    guide = _guide(
        tmp_path,
        with_box("bed", (20, 30, 40), (400, 300, 60), doubt={"status": "measured"}),
        with_box("sill", (0, 0, 0), (500, 30, 20)),
        with_box("top", (0, 0, 900), (900, 500, 90), doubt={"status": "documented"}),
    )
    told = _told(guide, "FRAME AND UNITS")
    assert (
        "bed: left face at x 20.0, right face at x 420.0; front at y 30.0, back at y 330.0; bottom at z "
        "40.0, top at z 100.0; measured"
    ) in told
    assert re.search(r"sill: [^-]*; nobody said how this is known", told)
    assert "top: left face" not in told


def test_what_is_not_known_is_told_as_its_table_has_it(read):
    _, tables, guide = read
    lines = "\n".join(sections_of(guide)["WHAT IS NOT KNOWN"]).split("\n- ")[1:]
    told = [" ".join(one.partition("\n\n")[0].split()) for one in lines]
    assert tables["not-known"]
    assert told[: len(tables["not-known"])] == [row["says"] for row in tables["not-known"]]


def test_what_is_unsure_is_told_beside_what_is_not_known(tmp_path):
    guide = _guide(
        tmp_path,
        a_table("record", shows="as found", not_known=["who moved the pump"]),
        with_nipple("a", (0, 0, 0)),
        with_box("rail", (60, 0, 0), (10, 200, 10), doubt={"status": "inferred"}),
        with_tube("a 1", "unknown", name="lost", corners=corners_of((0, 0, 50), (0, 0, 90))),
    )
    told = _told(guide, "WHAT IS NOT KNOWN")
    assert "- who moved the pump" in told
    assert "- Inferred: 6 dimensions, of rail." in told  # its place and its size
    assert "It shows the instrument as found." in guide


def test_what_the_program_takes_where_nobody_said_anything_is_told(tmp_path):
    guide = _guide(
        tmp_path,
        a_table("practice", vacuum_kpa=7),
        with_nipple("a", (0, 0, 0)),
        with_tube("a 1", "unknown", name="lost", corners=corners_of((0, 0, 50), (0, 0, 90))),
    )
    taken = _told(guide, "WHAT IS NOT KNOWN").partition("the program takes them")[2]
    assert "on nipple 11.0 mm" in taken
    assert "vacuum" not in taken


def test_an_older_record_is_told_once(tmp_path):
    older = "A sheet in the bench."
    lay = check_scene(written(tmp_path, a_scene(a_table("record", shows="as found", supersedes=older))))
    says = (f"It takes the place of an older one: {older}.",)
    guide = reading_guide(lay, registers_of(lay), FILES, says).decode("ascii")
    assert guide.count("A sheet in the bench") == 1
    assert "bench.." not in guide


def test_rules_that_found_something_are_told_in_full_and_the_others_in_a_line_with_their_limit(tmp_path):
    """A tube 0.5 mm beside a post, where 2 mm are wanted; nothing moves."""
    guide = _guide(
        tmp_path,
        with_nipple("a", (0, 0, 0)),
        with_nipple("b", (0, 0, 300), faces="down"),
        with_box("post", (NOTE_OUTSIDE / 2 + 0.5, -20, 100), (20, 40, 40)),
        with_tube("a 1", "b 1", name="t", corners=[]),
    )
    lines = sections_of(guide)["CLEARANCE, LIMITS AND WHAT WAS CHECKED"]
    assert any(line.startswith("  touch: a tube comes too near to something that stands") for line in lines)
    assert 'held against the limit "fixed"' in _told(guide, "CLEARANCE, LIMITS AND WHAT WAS CHECKED")
    short = '- rub: a tube comes too near to something that moves; the limit "moving"'
    assert short in lines


def test_no_word_of_the_program_is_left_in_the_guide(read):
    for word in ("`", "[clearance]", "[practice]", "[tubing"):
        assert word not in _told(read[2], "CLEARANCE, LIMITS AND WHAT WAS CHECKED"), word


def test_what_is_amiss_is_told_with_the_tubes_that_are_worst_off(tmp_path):
    """Of two tubes one runs into a post and is cut too short besides, the other is too short alone."""
    guide = _guide(
        tmp_path,
        *(with_nipple(name, (100 * k, 0, 0), outside=5) for k, name in enumerate("ab")),
        *(with_nipple(name, (100 * k, 0, 300), faces="down", outside=5) for k, name in enumerate("cd")),
        with_box("post", (90, -20, 100), (20, 40, 40)),
        with_tube("a 1", "c 1", name="short", corners=[], cut=200),
        with_tube("b 1", "d 1", name="worse", corners=[], cut=200),
    )
    told = _told(guide, "WHERE TO BEGIN")
    assert "tables/findings.csv, 3 faults" in told
    assert re.search(r'- "worse" \(tag 2\): 2 faults, finding \d, \d - "short" \(tag 1\): 1 fault, ', told)


def test_where_nothing_is_amiss_that_is_said(tmp_path):
    told = _told(_guide(tmp_path, with_box("bed", (0, 0, 0), (10, 10, 10))), "WHERE TO BEGIN")
    assert "The checks found nothing wrong or doubtful" in told
    assert "tables/findings.csv" not in told


def test_what_nobody_has_seen_is_not_told_as_an_instrument(tmp_path):
    guide = _guide(tmp_path, a_table("record", shows="proposed"), with_box("bed", (0, 0, 0), (10, 10, 10)))
    assert "- It shows what is proposed: nobody has built it so." in sections_of(guide)["WHAT THIS IS"]


def test_on_what_the_lines_of_tubes_rest_is_counted(tmp_path):
    guide = _guide(
        tmp_path,
        *(with_nipple(name, (100 * k, 0, 0)) for k, name in enumerate("abc")),
        *(with_tube(f"{name} 1", "loose", name=name, hidden="in the wall") for name in "ab"),
        with_tube("c 1", "unknown", name="lost", corners=corners_of((0, 0, 50), (0, 0, 90))),
    )
    assert "3 tubes; what their lines rest on (basis in tables/tubes.csv): 2 hidden, 1 drawn." in _told(
        guide, "WHERE TO BEGIN"
    )


def test_what_an_example_says_of_itself_comes_first(tmp_path):
    guide = _guide(tmp_path, with_box("bed", (0, 0, 0), (10, 10, 10)), top='about = "An example: invented."')
    assert _told(guide, "WHAT THIS IS").startswith("1. WHAT THIS IS =============== An example: invented.")


def test_beside_a_mesh_the_example_goes_by_the_nearest_places(tmp_path):
    """A cube of 40 mm as triangles, one of those below missing; a straight tube 6 mm above its top."""
    (tmp_path / "cube.stl").write_bytes(binary_stl(box(40, 40, 40), np.delete(SIDES, 8, axis=0)))
    guide = _guide(
        tmp_path,
        with_part("cube", kind="mesh", file="cube.stl", unit="mm", at=at(180, -20, 0)),
        with_nipple("a", (0, 0, 46), faces="right"),
        with_nipple("b", (400, 0, 46), faces="left"),
        with_tube("a 1", "b 1", name="t", corners=[]),
    )
    assert _result(_examples(guide)[FIXED]) == pytest.approx(6 - NOTE_OUTSIDE / 2, abs=0.001)
    told = _told(guide, "CLEARANCE, LIMITS AND WHAT WAS CHECKED")
    assert "Not tested inside, because the mesh is open: cube." in told


def test_sections_come_in_the_order_in_which_they_are_needed(read):
    titles = [title for title in sections_of(read[2]) if title]
    assert titles[:3] == ["WHAT THIS IS", "BEFORE A HAND GOES IN", "WHERE TO BEGIN"]
    assert titles.index("WHAT IS NOT KNOWN") < titles.index("WORKED EXAMPLES")
    assert titles[-1] == "THE TABLES"


def test_files_are_told_by_folder_and_tables_by_their_own_section(read):
    told = "\n".join(sections_of(read[2])["WHAT IS IN THE FOLDER"])
    assert "- ro-crate-metadata.json: Description; every file with what it is" in told
    assert "evidence/photos/:" in told
    assert "- bench.jpg: The bench; photo" in told
    assert "tubes.csv" not in told
    assert "tables/: the figures" in told


def test_same_lay_same_bytes(read):
    registers, _, guide = read
    name = next(name for name in NAMES if guide.startswith(lay_of(name).reading.scene.title))
    assert reading_guide(lay_of(name), registers, FILES).decode("ascii") == guide
