import re
import tomllib
from pathlib import Path

import pytest
from builders import read, with_part, with_row, with_tubing

from routeviz.errors import RoutevizError
from routeviz.scene import catalogue
from routeviz.scene.catalogue import NO_SOURCE, folder_of, models_of, scene_file
from routeviz.scene.parts import KeyboardPart

PARTS = sorted(models_of("parts"))
TUBING = sorted(models_of("tubing"))
# A page, a dated digest, a maker's table, arithmetic on other values; or that there is none.
SAYS_WHERE = re.compile(
    r"[a-z0-9-]+\.(com|org|ca|de|net|nl|eu|uk|design)\b|[0-9]{4}\.[0-9]{2}\.[0-9]{2}"
    r"|maker's table: [A-Z]|: arithmetic$"
    rf"|{NO_SOURCE.strip(': ')}|from memory"
)
NOT_MEASURED = {"kind", "describes", "source", "material"}


def values_of(group: str, name: str) -> dict[str, object]:
    return tomllib.loads(models_of(group)[name].read_text(encoding="utf-8"))


@pytest.mark.parametrize("name", PARTS)
def test_every_part_model_stands_in_a_scene_as_it_is(tmp_path: Path, name: str):
    inches = with_tubing("note", bore="9/64 in", outside="7/32 in", least_bend="1 in")
    reading = read(tmp_path, inches, with_part("thing", model=name), units=None)
    assert reading.scene.part["thing"].describes


@pytest.mark.parametrize("name", TUBING)
def test_every_tubing_model_stands_in_a_scene_as_it_is(tmp_path: Path, name: str):
    reading = read(tmp_path, f'[tubing.note]\nmodel = "{name}"', units=None)
    assert reading.scene.tubing["note"].describes


@pytest.mark.parametrize(("group", "name"), [("parts", n) for n in PARTS] + [("tubing", n) for n in TUBING])
def test_every_value_of_a_model_has_a_source_or_says_that_it_has_none(group: str, name: str):
    values = values_of(group, name)
    sources = values["source"]
    assert isinstance(sources, dict)
    assert sources.keys() == values.keys() - NOT_MEASURED
    for key, said in sources.items():
        assert SAYS_WHERE.search(said), f"{key}: {said}"


@pytest.mark.parametrize(("group", "name"), [("parts", n) for n in PARTS] + [("tubing", n) for n in TUBING])
def test_no_length_of_a_model_depends_on_the_scene_s_units(tmp_path: Path, group: str, name: str):
    if group == "parts":
        found = [read(tmp_path, with_part("x", model=name), units=u).scene.part["x"] for u in ("mm", "ft")]
    else:
        text = f'[tubing.x]\nmodel = "{name}"'
        found = [read(tmp_path, with_tubing("note"), text, units=u).scene.tubing["x"] for u in ("mm", "in")]
    assert found[0] == found[1]


def test_what_the_scene_says_stands_before_what_the_model_says(tmp_path: Path):
    part = with_part("keys", model="keyboard_61", keys=60, natural={"dip": 11})
    keys = read(tmp_path, part).scene.part["keys"]
    assert isinstance(keys, KeyboardPart)
    assert keys.keys == 60
    assert keys.natural.dip_mm == 11
    assert keys.natural.long_mm == 387.35  # 15 1/4 in


def test_a_value_given_in_another_way_takes_the_model_s_away_with_its_source(tmp_path: Path):
    text = '[tubing.note]\nmodel = "gum_rubber_9-64"\noutside = "7/32 in"\nleast_bend_inner = "1 in"'
    tubing = read(tmp_path, text).scene.tubing["note"]
    assert (tubing.wall_mm, tubing.least_bend_mm) == (None, None)
    assert tubing.source.keys() == {"bore", "modulus", "density"}


def test_a_scene_gives_its_own_rows_in_place_of_a_model_s(tmp_path: Path):
    row = {"holes": "1..3", "first": {"right": 0}, "last": {"right": 9}}
    part = read(tmp_path, with_part("bar", model="tracker_bar_88", rows=[row])).scene.part["bar"]
    assert [row.holes for row in part.rows] == ["1..3"]


def test_a_model_of_another_kind_is_told(tmp_path: Path):
    with pytest.raises(RoutevizError) as refused:
        read(tmp_path, with_part("bar", model="tracker_bar_88", kind="box"))
    assert "kind 'box', but the model 'tracker_bar_88' is of kind 'nipples'" in str(refused.value)


def test_a_part_without_a_model_keeps_to_itself(tmp_path: Path):
    assert read(tmp_path, with_row("bar", "1", (0, 0, 0), None)).scene.part["bar"].source == {}


def test_models_are_found_in_an_installed_package_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    package = tmp_path / "site-packages" / "routeviz"
    (package / "models").mkdir(parents=True)
    monkeypatch.setattr(catalogue, "files", lambda name: package)
    assert folder_of("models") == package / "models"
    with pytest.raises(RoutevizError, match="remedy: install routeviz again"):
        folder_of("scenes")


def test_an_example_that_is_not_there_is_told():
    with pytest.raises(RoutevizError, match="no example 'first_sick'"):
        scene_file("first_sick")
