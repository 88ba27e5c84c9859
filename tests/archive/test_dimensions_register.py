"""The register of dimensions, held to a walk through the scene's tables and models as tomllib reads them."""

import re
import tomllib
from pathlib import Path

import pytest
from archive.rows import rows_of
from benched import NAMES, SCENES, lay_of
from verifier.lengths import mm
from verifier.scenes import without_doubt

from routeviz.archive.dimensions_register import dimensions_register
from routeviz.archive.remarks import remarks_of
from routeviz.pipeline import check_reading
from routeviz.scene.reading import read_scene

MODELS = SCENES.parent / "models"
MEASURE = re.compile(r"-?[0-9][0-9./ ]* (mm|cm|m|in|ft|deg)")  # a text that stands where a number may
NO_LENGTHS = {"modulus", "density", "most", "count", "after", "keys"}
# What the scene says in one way takes the place of what its model says in another.
EITHER = (("outside", "wall"), ("least_bend", "least_bend_inner"), ("right", "right_end"))


def raw_of(scene):
    return without_doubt(tomllib.loads((SCENES / f"{scene}.toml").read_text(encoding="utf-8")))


def under(model, scene):
    """A model's table with the scene's values over it."""
    fallen = {word for pair in EITHER if set(pair) & set(scene) for word in pair}
    whole = {word: value for word, value in model.items() if word not in fallen}
    for word, value in scene.items():
        both = isinstance(value, dict) and isinstance(whole.get(word), dict)
        whole[word] = under(whole[word], value) if both else value
    return whole


def with_model(entry, folder):
    if "model" not in entry:
        return entry
    text = (MODELS / folder / f"{entry['model']}.toml").read_text(encoding="utf-8")
    return under(tomllib.loads(text), entry)


def numbers_in(value, key):
    """Every number, and every text that is a measure, with its key, items counted from 1."""
    if isinstance(value, dict):
        for word, inner in value.items():
            yield from numbers_in(inner, (*key, word))
    elif isinstance(value, list):
        for index, inner in enumerate(value, 1):
            yield from numbers_in(inner, (*key, str(index)))
    elif not isinstance(value, bool | str) or (isinstance(value, str) and MEASURE.fullmatch(value)):
        yield key, value


def told(scene):
    raw = raw_of(scene)
    for group, folder in (("part", "parts"), ("tubing", "tubing")):
        raw[group] = {name: with_model(entry, folder) for name, entry in raw[group].items()}
    for group in ("clearance", "practice", "zero", "tubing", "part", "passage", "tubes"):
        yield from numbers_in(raw.get(group, {}), (group,))


def key_of(row):
    """A key of the register, as TOML reads it."""
    table, words = tomllib.loads(f"[{row['key']}]"), []
    while table:
        ((word, table),) = table.items()
        words.append(word)
    return tuple(words)


@pytest.mark.parametrize("scene", NAMES)
def test_no_number_of_the_scene_or_its_models_is_forgotten_and_none_invented(scene):
    register = [key_of(row) for row in rows_of(dimensions_register(lay_of(scene)))]
    assert sorted(register) == sorted(key for key, _ in told(scene))


@pytest.mark.parametrize("scene", NAMES)
def test_each_length_is_as_another_reader_has_it(scene):
    units, wanted = raw_of(scene)["units"], dict(told(scene))
    for row in rows_of(dimensions_register(lay_of(scene))):
        key = key_of(row)
        if "value_mm" in row:
            assert key[-1] not in NO_LENGTHS
            assert row["value_mm"] == pytest.approx(mm(wanted[key], units), abs=1e-4)
        elif "value_deg" not in row:
            assert key[-1] in NO_LENGTHS
            assert row["value"] == wanted[key]


SCENE = """
format = 1
title = "A case"
units = "in"

[record.tools]
rule = "a steel rule, 300 mm"

[doubt]
by = "A. Fitter"
on = 2026-05-14

[clearance]
survey = "1 mm"                           # read twice

[zero.bed]                                # the bed's left end
at = { right = 1, up = { is = 2.5, status = "measured", spread = "0.5 mm", with = "rule" } }

[tubing.note]
model = "gum_rubber_9-64"
bore = { is = "3.57 mm", status = "measured", recorded = "9/64 in", why = "three ends" }

[part.shelf]
kind = "box"
zero = "bed"
at = { right = 3, back = 0, up = "1 1/4 in" }
size = { wide = 10, deep = 5, high = 1 }  # "as cut" # twice
doubt = { status = "inferred", source = "screw holes" }
turned = { about = "up", by = { is = 90, status = "assumed", spread = 2 } }
"""


@pytest.fixture(scope="module")
def rows(tmp_path_factory):
    path = Path(tmp_path_factory.mktemp("dimensions")) / "case.toml"
    path.write_text(SCENE, encoding="utf-8")
    register = dimensions_register(check_reading(read_scene(path)))
    return {row["key"]: row for row in rows_of(register)}


def test_what_is_said_beside_a_value_stands_with_it(rows):
    assert {k: v for k, v in rows["zero.bed.at.up"].items() if k != "dimension"} == {
        "key": "zero.bed.at.up",
        "group": "zero",
        "thing": "bed",
        "what": "at up: upwards",
        "zero": "case",
        "value_mm": 63.5,  # 2.5 x 25.4
        "unit": "mm",
        "as_written": "2.5 in",
        "status": "measured",
        "spread_mm": 0.5,
        "tool": "rule",
        "by": "A. Fitter",
        "on": "2026-05-14",
        "line": "case.toml:17",
    }


def test_what_is_said_of_a_part_holds_for_its_values_and_the_survey_for_positions_without_a_spread(rows):
    up = rows["part.shelf.at.up"]
    assert [up["status"], up["source"], up["zero"], up["value_mm"]] == [
        "inferred",
        "screw holes",
        "bed",
        31.75,
    ]
    assert up["as_written"] == "1 1/4 in"
    assert up["survey_mm"] == 1.0
    assert "survey_mm" not in rows["zero.bed.at.up"]
    assert "survey_mm" not in rows["part.shelf.size.wide"]


def test_an_angle_that_stands_without_its_list_has_its_own_status_and_spread(rows):
    by = rows["part.shelf.turned.by"]
    assert [by["value_deg"], by["unit"], by["status"], by["spread_deg"]] == [90.0, "deg", "assumed", 2.0]


def test_a_model_gives_its_values_with_their_source_and_no_line(rows):
    wall, bore = rows["tubing.note.wall"], rows["tubing.note.bore"]
    assert [wall["model"], wall["as_written"]] == ["gum_rubber_9-64", "1/32 in"]
    assert wall["source"].startswith("from memory, no source: measure your own tube")
    assert "line" not in wall
    assert "by" not in wall
    assert [bore["recorded"], bore["why"], bore["value_mm"]] == ["9/64 in", "three ends", 3.57]
    assert "model" not in bore


def test_tubes_of_a_wiring_table_have_their_lines_there_and_what_is_no_position_has_no_zero(tmp_path):
    (tmp_path / "wiring.csv").write_text(
        "from,to,tubing,cut,name\nloose,cut,note,11 in,a\n", encoding="utf-8"
    )
    path = tmp_path / "case.toml"
    head = 'format = 1\ntitle = "A case"\nunits = "mm"\nwiring = "wiring.csv"\n'
    path.write_text(f"{head}[tubing.note]\nbore = 4\nwall = 1\n", encoding="utf-8")
    *_, cut = rows_of(dimensions_register(check_reading(read_scene(path))))
    assert [cut["key"], cut["as_written"], cut["value_mm"]] == ["tubes.1.cut", "11 in", 279.4]  # 11 x 25.4
    assert cut["line"] == "wiring.csv:2"
    assert "zero" not in cut


def test_a_remark_at_the_end_of_a_line_stands_with_the_values_of_that_line(rows):
    assert rows["clearance.survey"]["remark"] == "read twice"
    assert rows["part.shelf.size.deep"]["remark"] == '"as cut" # twice'
    assert "remark" not in rows["part.shelf.at.up"]


def test_a_sign_within_a_text_begins_no_remark(tmp_path):
    path = tmp_path / "case.toml"
    path.write_text(
        'format = 1\nunits = "mm"\ntitle = "No. # 1" # a remark\nabout = \'#\'\n', encoding="utf-8"
    )
    assert dict(remarks_of(read_scene(path)).lines) == {3: "a remark"}
