import os

import pytest
from mesh_files import SIDES, binary_stl, box
from mesh_reading import read_here

from routeviz.cabinet import meshes
from routeviz.cabinet.meshes import MeshError, read_mesh

DATA = binary_stl(box(120, 80, 30), SIDES)


@pytest.fixture(autouse=True)
def _in_this_process(monkeypatch):
    monkeypatch.setattr(meshes, "surface_apart", read_here)


@pytest.fixture
def folder(tmp_path):
    """A scene's folder with a mesh in it, one below, and one outside."""
    home = tmp_path / "scene"
    (home / "parts").mkdir(parents=True)
    for place in (home, home / "parts", tmp_path):
        (place / "box.stl").write_bytes(DATA)
    return home


def refusal(path_text, folder) -> MeshError:
    with pytest.raises(MeshError) as caught:
        read_mesh(path_text, folder=folder, unit_mm=1.0)
    return caught.value


@pytest.mark.parametrize(
    "path_text", ["box.stl", "./box.stl", "parts/box.stl", "parts\\box.stl", "parts//box.stl"]
)
def test_a_file_in_the_folder_or_below_is_read(folder, path_text):
    assert read_mesh(path_text, folder=folder, unit_mm=1.0).watertight


def test_a_folder_given_by_a_relative_path_is_the_same(folder, monkeypatch):
    monkeypatch.chdir(folder.parent)
    relative = type(folder)("scene")
    assert read_mesh("box.stl", folder=relative, unit_mm=1.0).watertight


@pytest.mark.parametrize(
    "path_text",
    [
        "../box.stl", "parts/../../box.stl", "parts/../box.stl", "..\\box.stl", "/box.stl",
        "//server/share/box.stl",
        "\\\\server\\share\\box.stl", "\\box.stl", "C:\\box.stl", "C:box.stl", "c:/box.stl", "box:stream.stl",
        "\\\\?\\C:\\box.stl", "file://box.stl", "http://box.stl",
    ],
)  # fmt: skip
def test_a_path_out_of_the_folder_is_refused_on_every_system(folder, path_text):
    error = refusal(path_text, folder)
    assert error.found == f"{path_text}: a path that leads out of the scene's folder"
    assert error.allowed == "a path within the scene's own folder, such as meshes/case.stl"
    assert error.remedy == "put the mesh file beside the scene file and name it from there"


def test_an_absolute_path_into_the_folder_is_refused_too(folder):
    assert "leads out" in refusal(str(folder / "box.stl"), folder).found


def test_a_link_within_the_folder_is_followed(folder):
    (folder / "link.stl").symlink_to(folder / "parts" / "box.stl")
    assert read_mesh("link.stl", folder=folder, unit_mm=1.0).watertight


def test_a_folder_that_is_itself_a_link_is_followed(folder):
    (folder.parent / "linked").symlink_to(folder)
    assert read_mesh("box.stl", folder=folder.parent / "linked", unit_mm=1.0).watertight


def test_links_out_of_the_folder_are_refused(folder):
    (folder / "link.stl").symlink_to(folder.parent / "box.stl")
    (folder / "up").symlink_to(folder.parent)
    (folder / "beside.stl").symlink_to("../scene2/box.stl")
    for path_text in ("link.stl", "up/box.stl", "beside.stl"):
        assert refusal(path_text, folder).found == f"{path_text}: a link that leads out of the scene's folder"


def test_a_folder_whose_name_only_begins_alike_is_outside(folder):
    other = folder.parent / "scene2"
    other.mkdir()
    (other / "box.stl").write_bytes(DATA)
    (folder / "link.stl").symlink_to(other / "box.stl")
    assert "leads out" in refusal("link.stl", folder).found


def test_a_link_to_itself_is_refused(folder):
    (folder / "ring.stl").symlink_to(folder / "ring.stl")
    assert "cannot be read" in refusal("ring.stl", folder).found


def test_a_missing_file_is_named(folder):
    error = refusal("bix.stl", folder)
    assert error.found == "bix.stl: no such file"
    assert error.remedy == "correct the name, or add the file"


@pytest.mark.parametrize("path_text", ["box\0.stl", "a" * 5000 + ".stl", "\ud800.stl", "box.stl/box.stl"])
def test_a_name_that_no_system_knows_is_refused(folder, path_text):
    assert len(refusal(path_text, folder).found.splitlines()) == 1


def test_control_characters_in_a_name_do_not_reach_the_message(folder):
    assert refusal("a\x1b[2J\n\u202e.stl", folder).found == "a\\x1b[2J\\n\\u202e.stl: no such file"


def test_a_folder_or_a_queue_under_the_name_is_refused_and_not_waited_for(folder):
    (folder / "inner.stl").mkdir()
    os.mkfifo(folder / "queue.stl")
    for path_text in ("inner.stl", "queue.stl"):
        assert refusal(path_text, folder).found == f"{path_text}: not a file"


def test_an_empty_name_is_refused(folder):
    assert "not a known kind" in refusal("", folder).found


def test_more_than_64_mb_are_refused_unread(folder):
    with (folder / "big.stl").open("wb") as file:
        file.truncate(64 * 2**20 + 1)
    error = refusal("big.stl", folder)
    assert error.found == "big.stl: 64.0 MB"
    assert error.allowed == "at most 64 MB"
