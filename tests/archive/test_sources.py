"""The files of a scene lie in its archive byte for byte, and come out of it under their own names."""

import csv
import io

import pytest
from archive.deposits import MOMENT
from builders import a_scene, place, with_nipple, with_part, written
from mesh_files import SIDES, binary_stl, box, obj
from recorded import with_record

from routeviz.archive.bag_info import info_about
from routeviz.archive.contents import contents
from routeviz.archive.deposit import deposited
from routeviz.archive.sources import refuse_names_like_others, source_files
from routeviz.archive.storing import store
from routeviz.archive.verifying import verified
from routeviz.errors import SceneError
from routeviz.pipeline import check_scene
from routeviz.records.settings import Settings
from routeviz.scene.catalogue import models_of
from routeviz.scene.reading import read_scene

LARGE, SMALL = binary_stl(box(40, 30, 20), SIDES), obj(box(4, 3, 2), SIDES)
TABLE = b"from;to;tubing;stage\r\nlow 1;loose;note;\r\n"
FILES = {
    "Netze/Böck.STL": LARGE,
    "netze/boeck.obj": SMALL,
    "more/böck.stl": LARGE[:80].replace(b"\0", b" ") + LARGE[80:],
}


def a_mesh(name, file):
    return with_part(name, kind="mesh", file=file, unit="mm", at=place(200, 0, 0))


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    folder = tmp_path_factory.mktemp("sources")
    for name, content in {**FILES, "Tubes (old).CSV": TABLE}.items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_bytes(content)
    pieces = [a_mesh(f"mesh {chr(97 + k)}", name) for k, name in enumerate(FILES)]
    pieces.append(a_mesh("the first again", "Netze\\Böck.STL"))
    tubing = with_part("keys", model="keyboard_61", at=place(0, 300, 0))
    top = 'wiring = "Tubes (old).CSV"'
    written(
        folder,
        a_scene(with_nipple("low", (0, 0, 0)), *pieces, tubing, with_record(), top=top),
        "Étude 1.toml",
    )
    return folder


@pytest.fixture(scope="module")
def lay(folder):
    return check_scene(folder / "Étude 1.toml")


def test_every_file_is_there_byte_for_byte_under_a_name_of_the_bag(lay, folder):
    files = {one.path: one for one in source_files(lay)}
    named = {one.was: path for path, one in files.items()}
    assert next(iter(files)) == "source/etude-1.toml"
    assert {name: path for name, path in named.items() if "models" not in path} == {
        "Étude 1.toml": "source/etude-1.toml",
        "Tubes (old).CSV": "source/tubes-old.csv",
        "Netze/Böck.STL": "source/bock.stl",
        "netze/boeck.obj": "source/boeck.obj",
        "more/böck.stl": "source/bock-2.stl",
    }
    for name in (*FILES, "Tubes (old).CSV", "Étude 1.toml"):
        assert files[named[name]].content == (folder / name).read_bytes()
    model = files["source/models/parts/keyboard_61.toml"]
    assert model.content == models_of("parts")["keyboard_61"].read_bytes()
    assert [path for path in files if path.startswith("source/models/tubing/")] == []


def test_the_archive_tells_which_was_called_how_and_holds(lay, tmp_path):
    deposit = deposited(lay, MOMENT, ())
    made = {one.path: one.content for one in contents(deposit, Settings())}
    rows = csv.DictReader(io.StringIO(made["tables/files.csv"].decode("utf-8"), newline=""))
    was = {row["file"]: row["was"] for row in rows if row["was"]}
    assert was["source/bock.stl"] == "Netze/Böck.STL"
    store(tmp_path / "a-bag", made, (), info_about(deposit))
    verification = verified(tmp_path / "a-bag", check_scene)
    assert [one.about for one in verification.answers if not one.holds] == []


def test_files_that_another_system_could_not_tell_apart_are_refused_at_once(tmp_path):
    names = ("a.stl", "A.stl", "straße.stl", "strasse.stl", "b\u200b.stl")
    pieces = [a_mesh(f"mesh {chr(97 + k)}", name) for k, name in enumerate(names)]
    reading = read_scene(written(tmp_path, a_scene(*pieces, with_record())))
    with pytest.raises(SceneError) as caught:
        refuse_names_like_others(reading)
    first, second, third = map(str, caught.value.problems)
    assert (
        "part.\"mesh b\".file: 'A.stl' and 'a.stl' are told apart by case or form of letters alone" in first
    )
    assert 'part."mesh d".file' in second
    assert "has signs that cannot be printed" in third


@pytest.mark.parametrize("name", ["format.txt", "lists/Format.TXT"])
def test_a_wiring_table_that_is_called_like_what_is_made_beside_it_is_kept_too(name, tmp_path):
    (tmp_path / name).parent.mkdir(exist_ok=True)
    (tmp_path / name).write_bytes(TABLE)
    scene = a_scene(with_nipple("low", (0, 0, 0)), with_record(), top=f'wiring = "{name}"')
    deposit = deposited(check_scene(written(tmp_path, scene)), MOMENT, ())
    files = [(one.path, one.content) for one in contents(deposit, Settings())]
    assert len(dict(files)) == len(files)
    assert dict(files)["source/format-2.txt"] == TABLE
    assert dict(files)["source/format.txt"].startswith(b"THE FORMAT OF A SCENE")


@pytest.mark.parametrize("name", ["tubes.json", "tubes.xml"])
def test_an_archive_holds_whatever_the_wiring_table_in_it_is_called(name, tmp_path):
    (tmp_path / name).write_bytes(TABLE)
    scene = a_scene(with_nipple("low", (0, 0, 0)), with_record(), top=f'wiring = "{name}"')
    deposit = deposited(check_scene(written(tmp_path, scene)), MOMENT, ())
    made = {one.path: one.content for one in contents(deposit, Settings())}
    store(tmp_path / "a-bag", made, (), info_about(deposit))
    assert [one.about for one in verified(tmp_path / "a-bag", check_scene).answers if not one.holds] == []


def test_a_scene_with_nothing_in_it_can_be_kept_too(tmp_path):
    lay = check_scene(written(tmp_path, a_scene(with_record())))
    deposit = deposited(lay, MOMENT, ())
    made = {one.path: one.content for one in contents(deposit, Settings())}
    store(tmp_path / "a-bag", made, (), info_about(deposit))
    assert [one.about for one in verified(tmp_path / "a-bag", check_scene).answers if not one.holds] == []
