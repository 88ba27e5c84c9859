"""The survey form asks for what the scene's own text says, in its own words; held to the TOML as such."""

import tomllib

import pytest
from benched import NAMES, SCENES, lay_of
from builders import a_scene, with_board, with_part, with_row, with_zero, written
from printed import pressed, texts
from verifier.scenes import without_doubt

from routeviz.pipeline import check_scene
from routeviz.records.survey_form import survey_entries, survey_pages

PLACES = {"right", "back", "up", "right_end", "back_end", "top_end"}
LENGTHS = {
    *PLACES,
    "wide",
    "deep",
    "high",
    "diameter",
    "thick",
    "long",
    "pitch",
    "bore",
    "wall",
    "outside",
    "travel",
}


def lengths_in(table):
    """How many lengths a table of TOML says, and those in it."""
    count = 0
    for key, value in table.items():
        if isinstance(value, dict):
            count += lengths_in(value)
        elif isinstance(value, list):
            count += sum(lengths_in(one) for one in value if isinstance(one, dict))
        elif key in LENGTHS:
            count += 1
    return count


@pytest.mark.parametrize("name", NAMES)
def test_each_length_that_the_scene_says_of_a_part_has_one_blank(name):
    said = without_doubt(tomllib.loads((SCENES / f"{name}.toml").read_text()))
    for entry in survey_entries(lay_of(name)):
        if entry.kind in ("tubing",):
            continue
        group = entry.kind if entry.kind in ("zero", "passage") else "part"
        blanks = sum(len(one.keys) for one in entry.blanks)
        assert blanks == (lengths_in(said[group][entry.name]) or 3), entry.name


HOLE = {"right": {"at": {"right": 5, "back": 6}, "size": {"wide": 50, "deep": 40}}}
WORDS = ("shelf, from zero bed", "opening right size", "±", "tubes as found", "keyboard", "tape, and how")


def test_a_scene_without_tubes_has_a_form_with_its_zeros_parts_and_openings(tmp_path):
    text = a_scene(
        with_zero("bed", (1, 2, 3), wide=900),
        with_board(
            "shelf",
            (0, 0, 0),
            (600, 300, 20),
            zero="bed",
            opening=HOLE,
        ),
        with_row("bar", "1..9 step 2", (10, 20, 30), (90, 20, 30)),
        with_part("keys", model="keyboard_61"),
    )
    lay = check_scene(written(tmp_path, text))
    entries = {entry.name: entry for entry in survey_entries(lay)}
    assert [b.of for b in entries["shelf"].blanks] == ["at", "size", "opening right at", "opening right size"]
    assert entries["shelf"].zero == "bed"
    assert entries["bed"].blanks[0].keys == ("right", "back", "up")
    assert ("row 1..9 step 2 first", ("right", "back", "up")) in [
        (b.of, b.keys) for b in entries["bar"].blanks
    ]
    assert [b.of for b in entries["keys"].blanks] == ["at"]
    said = " ".join(texts(pressed(survey_pages(lay, "A4"))))
    for words in (
        "shelf, from zero bed",
        "opening right size",
        "±",
        "tubes as found",
        "keyboard",
        "tape, and how it was checked",
    ):
        assert words in said


def test_what_is_taped_from_a_far_end_is_asked_for_from_there():
    entry = next(e for e in survey_entries(lay_of("thistledown")) if e.name == "key bed")
    keys = {b.of: b.keys for b in entry.blanks}
    assert keys["opening treble at"] == ("right_end", "back")
    assert keys["opening bass at"] == ("right", "back")
