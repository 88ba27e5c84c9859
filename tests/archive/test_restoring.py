"""A scene comes out of an archive as it went in: every file under its own name, byte by byte."""

from pathlib import Path

import pytest
from archive.deposits import MOMENT, filed
from builders import place, with_nipple, with_part, written
from mesh_files import SIDES, binary_stl, box
from recorded import a_recorded_scene

from routeviz.archive.bag_info import info_about
from routeviz.archive.deposit import deposited
from routeviz.archive.restoring import restored, restored_scene
from routeviz.archive.storing import store
from routeviz.archive.verifying import verified
from routeviz.errors import SceneError
from routeviz.pipeline import check_scene

TABLE, MESH = "Lists/Tubes (old).csv", "Meshes/Lump Ä.STL"
BYTES = {
    TABLE: b"from;to;tubing\r\nlow 1;high 1;note\r\n",
    MESH: binary_stl(box(9, 9, 9), SIDES),
}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a scene that needs other files, and its archive."""
    folder = tmp_path_factory.mktemp("made")
    for name, content in BYTES.items():
        (folder / name).parent.mkdir()
        (folder / name).write_bytes(content)
    scene = a_recorded_scene(
        with_part("lump", kind="mesh", file=MESH.replace("/", "\\"), unit="mm", at=place(200, 0, 0)),
        with_nipple("low", (60, 0, 0), outside=4.5),
        with_nipple("high", (60, 0, 300), "down", outside=4.5),
    )
    lay = check_scene(written(folder, f"wiring = '{TABLE}'\n{scene}"))
    deposit = deposited(lay, MOMENT, ())
    store(
        folder / "archive",
        {path: one.content for path, one in filed(deposit).items()},
        (),
        info_about(deposit),
    )
    return folder


def test_every_file_of_a_scene_comes_out_under_its_own_name_with_its_own_bytes(
    made: Path, tmp_path: Path
) -> None:
    scene = restored_scene(made / "archive", tmp_path)
    assert scene == tmp_path / "scene.toml"
    out = {
        path.relative_to(tmp_path).as_posix(): path.read_bytes()
        for path in tmp_path.rglob("*")
        if path.is_file()
    }
    assert out == {**BYTES, "scene.toml": (made / "scene.toml").read_bytes()}


def test_the_scene_that_came_out_is_checked_as_the_one_that_went_in(made: Path, tmp_path: Path) -> None:
    first, second = check_scene(made / "scene.toml"), check_scene(restored_scene(made / "archive", tmp_path))
    assert [one.says for one in second.findings] == [one.says for one in first.findings]
    assert [tube.name for tube in second.tubes] == [tube.name for tube in first.tubes]
    assert not verified(made / "archive", check_scene).fails


def test_a_folder_that_is_no_archive_gives_no_scene(tmp_path: Path) -> None:
    with pytest.raises(SceneError, match=r"data/tables/files.csv: there is no such file"):
        restored_scene(tmp_path, tmp_path)


@pytest.mark.parametrize(
    ("first", "second"), [("a", "a/b.stl"), ("a/b.stl", "A"), ("a/b.stl", "a\\B.STL"), ("../a", "b.stl")]
)
def test_names_that_cannot_stand_in_one_folder_are_refused(first: str, second: str, tmp_path: Path) -> None:
    listing = f"file,was\r\nsource/s.toml,s.toml\r\nsource/1,{first}\r\nsource/2,{second}\r\n".encode()
    with pytest.raises(SceneError, match="was called"):
        restored(lambda path: listing if path == "tables/files.csv" else b"", tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_nothing_that_is_there_already_is_written_over(made: Path, tmp_path: Path) -> None:
    (tmp_path / "scene.toml").write_text("mine")
    with pytest.raises(Exception, match="is there already"):
        restored_scene(made / "archive", tmp_path)
    assert (tmp_path / "scene.toml").read_text() == "mine"
