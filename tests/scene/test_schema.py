import json
import tomllib

import pytest
from builders import a_scene, corners_of, place, with_board, with_part, with_row, with_tube
from jsonschema import Draft202012Validator

from routeviz.scene.schema import scene_schema

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
