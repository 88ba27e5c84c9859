"""The scene as JSON, its schema and its format in words: held to a general validator of JSON Schema."""

import json
import tomllib

import jsonschema
import pytest
from benched import SCENES

from routeviz.archive.format_text import format_text
from routeviz.archive.source_copies import scene_twin, source_copies
from routeviz.scene.reading import read_scene

DOUBTED = """
format = 1
title = "é # 1"
units = "mm"
[record]
shows = "as found"
on = 2026-05-14
made = 1926
evidence = [{ file = "a.jpg", kind = "photo", caption = "it", on = 2026-05-13 }]
[zero.bed]
at = { right = { is = 5, status = "measured", on = 2026-05-14 }, up = "1 1/4 in" }
"""


def files_of(path):
    return {one.path.removeprefix("source/"): one.content for one in source_copies(read_scene(path))}


@pytest.fixture(params=["as_found", "thistledown", "harbour_hall", "first_six", "doubted"])
def path(request, tmp_path):
    if request.param != "doubted":
        return SCENES / f"{request.param}.toml"
    path = tmp_path / "doubted.toml"
    path.write_text(DOUBTED, encoding="utf-8")
    return path


def test_the_twin_fits_the_schema_beside_it(path):
    files = files_of(path)
    schema = json.loads(files["scene-schema.json"])
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.Draft202012Validator(schema).validate(json.loads(files["scene.json"]))


def test_the_twin_has_every_value_as_it_stands_in_the_scene(path):
    def same(one, other):
        if isinstance(one, dict):
            return one.keys() == other.keys() and all(same(one[key], other[key]) for key in one)
        if isinstance(one, list):
            return len(one) == len(other) and all(map(same, one, other))
        return (str(one) if hasattr(one, "isoformat") else one) == other

    assert same(tomllib.loads(path.read_text(encoding="utf-8")), json.loads(files_of(path)["scene.json"]))


def test_a_twin_that_says_what_no_scene_may_does_not_fit_the_schema():
    schema = json.loads(files_of(SCENES / "first_six.toml")["scene-schema.json"])
    for wrong in ({"formt": 1}, {"part": {"a": {"kind": "box", "size": {"wide": True}}}}, {"units": "ell"}):
        twin = json.loads(scene_twin(DOUBTED)) | wrong
        assert list(jsonschema.Draft202012Validator(schema).iter_errors(twin))


def keys_in(schema):
    """Every key that a schema describes."""
    if isinstance(schema, dict):
        yield from schema.get("properties", {}) if isinstance(schema.get("properties"), dict) else ()
        for inner in schema.values():
            yield from keys_in(inner)
    elif isinstance(schema, list):
        for inner in schema:
            yield from keys_in(inner)


def test_the_format_in_words_names_every_key_of_the_schema():
    told = {
        line.split(":")[0].strip() for line in format_text().decode().split("\n") if line.startswith("    ")
    }
    keys = set(keys_in(json.loads(files_of(SCENES / "first_six.toml")["scene-schema.json"])))
    assert len(keys) > 100
    assert keys - told == {"is"}  # told among the words, with an example
    assert "after the key is" in " ".join(format_text().decode().split())


def test_the_format_tells_what_may_stand_under_a_key_and_what_holds_without_it():
    told = " ".join(format_text().decode().split())
    assert "on_nipple: length above zero; else 11 mm. Tube that goes over each nipple." in told
    assert "vacuum_kpa: number (kPa), at least 0, at most 100; else 6.2 kPa." in told
    assert 'kind: "box"; must be there.' in told
    assert 'shows: one of "as found", "as restored", "proposed", "hypothetical"; may be left out.' in told
    assert "keys: whole number, at least 1, at most 128; must be there." in told


def test_the_format_is_plain_text_of_76_letters_a_line():
    text = format_text().decode("ascii")
    assert max(map(len, text.split("\n"))) <= 76
    assert not any(line != line.rstrip() for line in text.split("\n"))


def test_the_example_in_the_format_is_a_scene(tmp_path):
    lines = format_text().decode().split("\n")
    begin = lines.index("    format = 1")
    end = next(k for k in range(begin, len(lines)) if lines[k : k + 2] == ["", ""])
    path = tmp_path / "example.toml"
    path.write_text("\n".join(line[4:] for line in lines[begin:end]), encoding="utf-8")
    reading = read_scene(path)
    assert [wire.name for wire in reading.wires] == ["bar 1"]
