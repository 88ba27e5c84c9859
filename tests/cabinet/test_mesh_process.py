"""The process that reads: it is started here once for each behaviour, as a start takes about a second."""

import pytest
from mesh_files import SIDES, WRITERS, binary_ply, box, glb, glb_file, gltf_document, obj

from routeviz.cabinet import meshes
from routeviz.cabinet.meshes import MeshError, read_mesh
from routeviz.geometry import keeping

BOX = box(120, 80, 30)


@pytest.fixture(autouse=True)
def _nothing_kept(tmp_path, monkeypatch):
    monkeypatch.setattr(keeping, "cache_folder", lambda: tmp_path / "kept")


@pytest.fixture
def refusal(tmp_path):
    def of(data: bytes, name: str) -> MeshError:
        (tmp_path / name).write_bytes(data)
        with pytest.raises(MeshError) as caught:
            read_mesh(name, folder=tmp_path, unit_mm=1.0)
        return caught.value

    return of


@pytest.mark.parametrize("kind", ["binary STL", "GLB"])
def test_a_box_comes_back_from_another_process(tmp_path, kind):
    name, write = WRITERS[kind]
    (tmp_path / name).write_bytes(write(BOX, SIDES))
    mesh = read_mesh(name, folder=tmp_path, unit_mm=2.0)
    assert (mesh.vertices_mm[mesh.triangles] == 2 * BOX[SIDES]).all()
    assert mesh.watertight
    assert mesh.dropped == 0
    with pytest.raises(ValueError, match="read-only"):
        mesh.vertices_mm[0, 0] = 1
    with pytest.raises(ValueError, match="read-only"):
        mesh.triangles[0, 0] = 1


def test_what_the_process_refuses_is_told(refusal):
    error = refusal(binary_ply(BOX, SIDES - [[1, 0, 0]]), "box.ply")
    assert error.found == "box.ply: triangle 1 names a vertex that is not among the 8 there are"
    assert error.remedy == "write the file anew from the program that made it"


def test_a_process_that_takes_too_long_is_ended(refusal, monkeypatch):
    monkeypatch.setattr(meshes, "MOST_SECONDS", 0.01)
    assert refusal(obj(BOX, SIDES), "box.obj").found == "box.obj: takes too long to read"


def test_a_process_that_ends_without_an_answer_is_a_refusal(refusal, monkeypatch):
    monkeypatch.setattr(meshes, "READER", "routeviz.cabinet.no_such_reader")
    error = refusal(glb(BOX, SIDES), "box.glb")
    assert "the reader ended with code 1" in error.found
    assert "no_such_reader" in error.found


def test_a_file_that_makes_the_process_ask_for_too_much_memory_is_a_refusal(refusal):
    document, binary = gltf_document(BOX, SIDES)
    # Zeros that nothing in the scene needs: 4 billion rows of 16 numbers.
    document["accessors"].append({"componentType": 5126, "count": 4_000_000_000, "type": "MAT4"})
    assert "Memory" in refusal(glb_file(document, binary), "box.glb").found


def test_what_was_read_once_is_kept_for_these_bytes_and_this_unit(tmp_path, monkeypatch):
    (tmp_path / "box.stl").write_bytes(WRITERS["binary STL"][1](BOX, SIDES))
    first = read_mesh("box.stl", folder=tmp_path, unit_mm=1.0)
    monkeypatch.setattr(meshes, "READER", "routeviz.cabinet.no_such_reader")
    again = read_mesh("box.stl", folder=tmp_path, unit_mm=1.0)
    assert (again.vertices_mm == first.vertices_mm).all()
    with pytest.raises(MeshError, match="no_such_reader"):
        read_mesh("box.stl", folder=tmp_path, unit_mm=2.0)
    (tmp_path / "box.stl").write_bytes(WRITERS["binary STL"][1](box(120, 80, 31), SIDES))
    with pytest.raises(MeshError, match="no_such_reader"):
        read_mesh("box.stl", folder=tmp_path, unit_mm=1.0)


def test_where_nothing_can_be_kept_it_is_read_each_time(tmp_path, monkeypatch):
    (tmp_path / "box.stl").write_bytes(WRITERS["binary STL"][1](BOX, SIDES))
    (tmp_path / "kept").write_text("a file where a folder is wanted")
    assert read_mesh("box.stl", folder=tmp_path, unit_mm=1.0).watertight
