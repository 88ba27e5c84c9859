"""What the example scenes name as evidence lies beside them, and says what they say.

A new scene with evidence needs no new test; what single files say is compared with the scene's own text.
"""

import csv
import tomllib
from pathlib import Path

import pytest
from PIL import Image

SCENES = Path(__file__).parents[2] / "scenes"
AS_FOUND = SCENES / "as_found"
TEXTS = {path: tomllib.loads(path.read_text(encoding="utf-8")) for path in sorted(SCENES.glob("*.toml"))}
EVIDENCE = [
    SCENES / one["file"] for text in TEXTS.values() for one in text.get("record", {}).get("evidence", [])
]


@pytest.mark.parametrize("path", EVIDENCE, ids=lambda path: path.name)
def test_each_file_named_is_there_and_small_enough_for_an_example(path: Path):
    assert 0 < path.stat().st_size <= 100_000


def test_each_file_beside_the_scenes_is_named():
    folders = {path for path in SCENES.iterdir() if path.is_dir()}
    assert {file for folder in folders for file in folder.rglob("*")} == set(EVIDENCE)


def test_the_tags_are_those_of_the_tubes():
    tubes = TEXTS[SCENES / "as_found.toml"]["tubes"]
    with (AS_FOUND / "tag_list.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    # No tube of this scene has a tag of its own, so tags are numbers in the order of the file.
    assert not any("tag" in tube for tube in tubes)
    assert [row["our tag"] for row in rows] == [str(number) for number in range(1, len(tubes) + 1)]
    for row, tube in zip(rows, tubes, strict=True):
        assert (row["old label"], row["from"], row["to"]) == (tube.get("label", ""), tube["from"], tube["to"])


def test_the_sketch_is_a_picture():
    with Image.open(AS_FOUND / "zeros_sketch.png") as picture:
        picture.load()
        assert (picture.format, picture.info.keys() & {"exif", "Author", "Software"}) == ("PNG", set())


def test_what_was_recorded_in_old_units_stands_in_the_notes_too():
    scene = TEXTS[SCENES / "as_found.toml"]
    notes = (AS_FOUND / "field_notes.txt").read_text(encoding="utf-8")
    pump = scene["part"]["pump"]["size"]
    old = [f"{pump[way]['recorded'].removesuffix(' in')} {way}" for way in ("wide", "deep", "high")]
    assert ", ".join(old) in notes
    assert scene["part"]["bell unit"]["size"]["deep"]["recorded"] in notes
    assert scene["part"]["key bed"]["opening"]["bass"]["most"]["recorded"] in notes
    assert scene["record"]["object"] in notes
