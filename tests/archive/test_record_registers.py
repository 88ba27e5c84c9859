"""The registers behind a record, held to a small scene and to what an example leaves open."""

import tomllib

import pytest
from archive.rows import rows_of
from benched import SCENES, lay_of

from routeviz.archive.record_registers import evidence_register, not_known_register, tools_register
from routeviz.pipeline import check_reading
from routeviz.scene.reading import read_scene

SCENE = """
format = 1
title = "A case"
units = "mm"

[record]
shows = "as found"
not_known = ["who built it", "what the lever under the bed did"]
evidence = [
    { file = "photos/front.jpg", kind = "photo", caption = "the front", by = ["A", "B"], on = 2026-05-14 },
    { file = "notes.txt", kind = "note", caption = "=a note", rights = "mine" },
]
[record.tools]
tape = "a steel tape, 3 m"
rule = "a steel rule"

[zero.bed]
at = { right = { is = 5, with = "tape" }, back = { is = 6, with = "tape", status = "assumed" }, up = 7 }
"""


@pytest.fixture
def lay(tmp_path):
    path = tmp_path / "case.toml"
    path.write_text(SCENE, encoding="utf-8")
    return check_reading(read_scene(path))


def test_each_tool_is_told_with_how_many_dimensions_name_it(lay):
    assert rows_of(tools_register(lay)) == [
        {"tool": "tape", "says": "a steel tape, 3 m", "dimensions": 2},
        {"tool": "rule", "says": "a steel rule", "dimensions": 0},
    ]


def test_a_tool_that_a_value_names_is_told_although_the_record_describes_none(tmp_path):
    path = tmp_path / "case.toml"
    path.write_text(SCENE[: SCENE.index("[record]")] + SCENE[SCENE.index("[zero") :], encoding="utf-8")
    lay = check_reading(read_scene(path))
    assert rows_of(tools_register(lay)) == [{"tool": "tape", "dimensions": 2}]
    assert not rows_of(evidence_register(lay))


def test_evidence_is_told_as_the_record_has_it(lay):
    rows = rows_of(evidence_register(lay))
    assert [row["file"] for row in rows] == ["photos/front.jpg", "notes.txt"]
    assert rows[0] | {"in_bag": ""} == {
        "file": "photos/front.jpg",
        "in_bag": "",
        "kind": "photo",
        "caption": "the front",
        "by": "A, B",
        "on": "2026-05-14",
    }
    assert [rows[1]["caption"], rows[1]["rights"]] == ["=a note", "mine"]  # nothing is escaped
    assert len({row["in_bag"] for row in rows}) == 2


def test_what_is_not_known_begins_with_the_records_own_words(lay):
    assert [(row["says"], row["who"]) for row in rows_of(not_known_register(lay))] == [
        ("who built it", "said"),
        ("what the lever under the bed did", "said"),
        ("How 2 of 3 dimensions of the instrument are known: nobody said; see dimensions.", "follows"),
        (
            "The true value of 1 of 3 dimensions of the instrument: they are assumed; see dimensions.",
            "follows",
        ),
        (
            "What 9 settings and limits truly are, such as how much tube goes over a nipple: nobody said, "
            "the program's own are taken; see defaults.",
            "follows",
        ),
    ]


def test_what_an_example_leaves_open_is_told_tube_by_tube():
    says = [row["says"] for row in rows_of(not_known_register(lay_of("as_found")))]
    for tube in tomllib.loads((SCENES / "as_found.toml").read_text(encoding="utf-8"))["tubes"]:
        told = [one for one in says if f"tube {tube.get('name')} (" in one]
        ends = [tube[word] for word in ("from", "to")]
        states = [state for state in ends if state in ("unknown", "missing", "cut", "blocked")]
        assert [one.split("which is ")[1] for one in told if one.startswith("What")] == [
            f"{state}." for state in states
        ]
        hidden = [f"which cannot be seen: {tube['hidden']}."] if "hidden" in tube else []
        assert [one.split("runs, ")[1] for one in told if "runs, " in one] == hidden
