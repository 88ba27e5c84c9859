import json
import tomllib
from pathlib import Path
from typing import Any

import pytest
from builders import (
    a_scene,
    a_table,
    corners_of,
    place,
    with_board,
    with_box,
    with_part,
    with_row,
    with_tube,
)
from jsonschema import Draft202012Validator

from routeviz.scene.schema import scene_schema

SCENES = sorted((Path(__file__).parents[2] / "scenes").glob("*.toml"))
GOOD = a_scene(
    with_row("bar", "1..3", (0, 0, 0), (20, 0, 0), faces={"up": 1, "back": 1}),
    with_board(
        "shelf", ("1 in", 0, 50), (300, 200, 20), opening={"bass": {"at": place(1, 2, 3), "diameter": 20}}
    ),
    with_part("keys", model="keyboard_61", at=place(0, 0, 0)),
    with_tube("bar 1..3", "loose", ends_at=place(1, 2, 3), corners=corners_of((1, 2, 3))),
)


def test_the_schema_is_one():
    schema = scene_schema()
    Draft202012Validator.check_schema(schema)
    assert json.loads(json.dumps(schema)) == schema


def test_a_good_scene_keeps_to_the_schema():
    Draft202012Validator(scene_schema()).validate(tomllib.loads(GOOD))


@pytest.mark.parametrize(
    ("good", "bad"),
    [
        ('title = "', 'tittle = "'),
        ('units = "mm"', 'units = "furlong"'),
        ('from = "bar 1..3"', "from = 3"),
        ("outside = 3.97", "outside = true"),
    ],
)
def test_a_scene_with_a_slip_does_not_keep_to_the_schema(good: str, bad: str):
    raw = tomllib.loads(GOOD.replace(good, bad, 1))
    assert not Draft202012Validator(scene_schema()).is_valid(raw)


def test_what_a_key_means_stands_in_the_schema():
    tube = scene_schema()["$defs"]["TubeEntry"]["properties"]
    assert tube["from"]["description"].startswith("'PART NUMBERS'")
    assert tube["spare"]["description"] == "extra length left at a loose end"


def is_valid(text: str) -> bool:
    """Whether a scene keeps to the schema; JSON has no days, editors take them for texts."""
    tables = json.loads(json.dumps(tomllib.loads(text), default=str))
    return Draft202012Validator(scene_schema()).is_valid(tables)


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_every_scene_keeps_to_the_schema(path: Path):
    assert is_valid(path.read_text(encoding="utf-8"))


SURE = {"status": "inferred", "spread": "5 mm", "with": "tape", "by": ["A", "B"], "on": "2026-05"}
SURE |= {"source": "a list", "why": "the shelf is gone", "recorded": "4 Zoll"}


def sure(value: Any) -> dict[str, Any]:
    return {"is": value, **SURE}


DOUBTED = [
    with_box("shelf", (sure(1), 0, 0), (sure("1 in"), 2, 3), doubt={"status": "assumed", "spread": 2}),
    with_box(
        "lid", (0, 0, 0), (1, 2, 3), motion={"turns_about": "up", "travel": {**sure("70 deg"), "spread": 2}}
    ),
    with_part("keys", model="keyboard_61", keys={**sure(61), "spread": 1}),
    "[practice]\nslack_percent = { is = 4.5, spread = 1 }",
    with_tube("loose", "loose", measured=[place(1, 2, sure(3))], doubt={"status": "measured"}),
    "[doubt]\nstatus = 'measured'",
    "[record]\nshows = 'as found'\non = 2026-05-14\nby = 'A'\n[record.tools]\ntape = 'a tape'",
    a_table("[record.evidence]", file="a.jpg", kind="photo", caption="a"),
]


@pytest.mark.parametrize("piece", DOUBTED, ids=lambda piece: piece.splitlines()[0])
def test_what_is_sure_and_what_is_not_keeps_to_the_schema(piece: str):
    assert is_valid(a_scene(piece))


@pytest.mark.parametrize(
    "high",
    [
        {"status": "inferred"},
        {},
        {"is": 3, "statsu": "inferred"},
        {"is": 3, "status": "guessed"},
        {"is": {"is": 3}},
        {"is": [3]},
        {"is": 3, "why": 3},
        {"is": 3, "by": []},
    ],
    ids=str,
)
def test_a_wrong_table_with_a_value_does_not_keep_to_the_schema(high: dict[str, Any]):
    assert not is_valid(a_scene(with_box("shelf", (0, 0, 0), (1, 2, high))))


@pytest.mark.parametrize(
    "piece",
    [
        with_box("shelf", (0, 0, 0), (1, 2, 3), doubt={"is": 3}),
        with_box("shelf", (0, 0, 0), (1, 2, 3), doubt={"status": "guessed"}),
        with_box("shelf", (0, 0, 0), (1, 2, 3), why={"is": "a shelf"}),
        with_part("keys", kind="nipples", rows=[{"holes": {"is": "1"}, "first": place(0, 0, 0)}]),
        "[record]\nshows = 'found'",
        a_table("[record.evidence]", file="a.jpg", caption="a"),
    ],
)
def test_a_wrong_doubt_or_record_does_not_keep_to_the_schema(piece: str):
    assert not is_valid(a_scene(piece))
