"""What makes a plan stale: whatever a lay depends on, in scene, models, tables and meshes; no remark does."""

from pathlib import Path

import pytest
from builders import (
    a_scene,
    with_box,
    with_keep_clear,
    with_nipple,
    with_part,
    with_tube,
    with_tubing,
    written,
)
from builders import place as at
from mesh_files import SIDES, ascii_stl, box

from routeviz.cabinet.inputs import inputs_of
from routeviz.scene import catalogue
from routeviz.scene.reading import read_scene

SCENE = a_scene(
    with_tubing("note"),
    with_tubing("wide", bore=5.0, outside=7.0, describes="the wide kind", source={"bore": "a ruler"}),
    with_nipple("low", (0, 0, 0), outside=4.5),
    with_nipple("high", (0, 0, 300), faces="down", outside=4.5),
    with_box("rail", (60, 0, 100), (10, 40, 20), why="it was there"),
    with_tube(
        "low 1", "high 1", name="a", tag="T1", note="a remark", label="7", ties=[{"along": 90, "to": "rail"}]
    ),
    top="clearance = { fixed = 2, survey = 0.5 }\nabout = 'a case'",
)


def inputs(folder: Path, text: str) -> str:
    return inputs_of(read_scene(written(folder, text)))


@pytest.fixture
def before(tmp_path: Path) -> str:
    return inputs(tmp_path, SCENE)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("format = 1", "# measured on a Monday\nformat = 1"),
        ("A small case", "The same case"),
        ("about = 'a case'", "about = 'another'"),
        ("the wide kind", "the kind that is wide"),
        ("a ruler", "another ruler"),
        ("it was there", "it is there"),
        ('tag = "T1"', 'tag = "T2"'),
        ("a remark", "another remark"),
        ('label = "7"', 'label = "8"'),
        ("right = 60", "right = '6 cm'"),
    ],
)
def test_a_remark_changes_nothing(old: str, new: str, before: str, tmp_path: Path) -> None:
    assert old in SCENE
    assert inputs(tmp_path, SCENE.replace(old, new)) == before


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("right = 60", "right = 60.001"),
        ("fixed = 2", "fixed = 2.1"),
        ("survey = 0.5", "survey = 0.6"),
        ("least_bend = 22.0", "least_bend = 22.5"),
        ("outside = 7.0", "outside = 7.1"),
        ("along = 90", "along = 91"),
        ('name = "a"', 'name = "b"'),
        ('name = "a"', 'name = "a"\ncarries = "always-on vacuum"'),
        ('name = "a"', 'name = "a"\ncorners = []'),
        ('faces = "down"', 'faces = "left"'),
        ("format = 1", "format = 1\npose = 'leaned back 70 deg'"),
        ("format = 1", "format = 1\npractice = { off_square_deg = 5 }"),
        ("[part.rail]", f"{with_keep_clear('door', (0, 90, 0), (9, 9, 9), 'it opens')}\n[part.rail]"),
        ("[part.rail]", "[part.rail]\ncomes_out = 'back'"),
    ],
)  # fmt: skip
def test_whatever_a_lay_depends_on_changes_it(old: str, new: str, before: str, tmp_path: Path) -> None:
    assert old in SCENE
    assert inputs(tmp_path, SCENE.replace(old, new, 1)) != before


def test_the_same_scene_elsewhere_is_the_same(before: str, tmp_path: Path) -> None:
    (tmp_path / "other").mkdir()
    assert inputs(tmp_path / "other", SCENE) == before
    assert before.startswith("sha256:")


def test_a_kind_of_tube_that_is_called_note_is_no_remark(before: str, tmp_path: Path) -> None:
    assert inputs(tmp_path, SCENE.replace("bore = 3.97", "bore = 3.5", 1)) != before


def test_a_row_of_the_wiring_table_counts(tmp_path: Path) -> None:
    scene = SCENE.replace("format = 1", 'format = 1\nwiring = "wires.csv"')
    found = []
    for row in ("low 1,loose,note", "low 1,loose,wide"):
        (tmp_path / "wires.csv").write_text(f"from,to,tubing\n{row}\n")
        found.append(inputs(tmp_path, scene))
    assert found[0] != found[1]


@pytest.mark.parametrize(
    ("group", "old", "new", "counts"),
    [
        ("tubing", "bore = 4", "bore = 4.1", True),
        ("tubing", "from a list", "from another list", False),
        ("parts", "wide = 50", "wide = 51", True),
    ],
)
def test_what_a_model_says_counts_and_its_source_does_not(
    group: str, old: str, new: str, counts: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    models = {
        "tubing": "bore = '4 mm'\noutside = '6 mm'\nsource = { bore = 'from a list' }\n".replace(
            "'4 mm'", "4"
        ),
        "parts": "kind = 'box'\nsize = { wide = 50, deep = 5, high = 5 }\nsource = {}\n",
    }
    scene = a_scene(with_part("post", model="post", at=at(0, 0, 0)), "[tubing.soft]\nmodel = 'soft'")

    def with_models(texts: dict[str, str], name: str) -> str:
        folder = tmp_path / name
        paths = {"tubing": {"soft": folder / "soft.toml"}, "parts": {"post": folder / "post.toml"}}
        folder.mkdir()
        paths["tubing"]["soft"].write_text(texts["tubing"])
        paths["parts"]["post"].write_text(texts["parts"])
        monkeypatch.setattr(catalogue, "models_of", paths.__getitem__)
        return inputs(tmp_path, scene)

    assert old in models[group]
    changed = models | {group: models[group].replace(old, new)}
    assert (with_models(models, "before") != with_models(changed, "after")) == counts


def test_a_mesh_file_counts_by_its_bytes(tmp_path: Path) -> None:
    scene = a_scene(with_part("lump", kind="mesh", file="lump.stl", unit="mm", at=at(50, 0, 0)))
    found = []
    for wide in (10.0, 10.0, 10.5):
        (tmp_path / "lump.stl").write_bytes(ascii_stl(box(wide, 10.0, 10.0), SIDES))
        found.append(inputs(tmp_path, scene))
    assert found[0] == found[1] != found[2]
