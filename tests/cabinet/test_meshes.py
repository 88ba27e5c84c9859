import struct
import subprocess
import sys

import numpy as np
import pytest
import trimesh
from mesh_files import SIDES, WRITERS, binary_ply, binary_stl, box, obj, volume
from mesh_reading import read_here

from routeviz.cabinet import meshes
from routeviz.cabinet.mesh_refusals import check_counts
from routeviz.cabinet.meshes import MeshData, MeshError, read_mesh
from routeviz.errors import RoutevizError

BOX = box(120, 80, 30)


@pytest.fixture(autouse=True)
def _in_this_process(monkeypatch):
    monkeypatch.setattr(meshes, "surface_apart", read_here)


def read(folder, data: bytes, name: str, *, unit_mm: float = 1.0) -> MeshData:
    (folder / name).write_bytes(data)
    return read_mesh(name, folder=folder, unit_mm=unit_mm)


def refusal(folder, data: bytes, name: str, *, unit_mm: float = 1.0) -> MeshError:
    with pytest.raises(MeshError) as caught:
        read(folder, data, name, unit_mm=unit_mm)
    return caught.value


@pytest.mark.parametrize("kind", WRITERS)
def test_a_box_comes_back_from_every_kind_of_file(tmp_path, kind):
    name, write = WRITERS[kind]
    mesh = read(tmp_path, write(BOX, SIDES), name)
    assert len(mesh.vertices_mm) == 8
    assert mesh.vertices_mm[mesh.triangles].tolist() == BOX[SIDES].tolist()
    assert mesh.watertight
    assert mesh.dropped == 0
    assert volume(mesh.vertices_mm, mesh.triangles) == pytest.approx(120 * 80 * 30)


@pytest.mark.parametrize("kind", WRITERS)
@pytest.mark.parametrize(("unit_mm", "scale"), [(1, 1), (10, 10), (1000, 1000), (25.4, 25.4), (304.8, 304.8)])
def test_the_callers_unit_alone_gives_the_size(tmp_path, kind, unit_mm, scale):
    name, write = WRITERS[kind]
    mesh = read(tmp_path, write(box(2, 1, 0.5), SIDES), name, unit_mm=unit_mm)
    assert mesh.sides_mm == pytest.approx([2 * scale, scale, 0.5 * scale], rel=1e-12)


@pytest.mark.parametrize("suffix", ["stl", "obj", "ply", "glb"])
@pytest.mark.parametrize("seed", range(3))
def test_files_that_trimesh_writes_give_the_triangles_it_wrote(tmp_path, suffix, seed):
    sphere = trimesh.creation.icosphere(subdivisions=2, radius=50)
    rng = np.random.default_rng(seed)
    sphere.vertices += rng.normal(0, 2, sphere.vertices.shape)
    sphere.export(tmp_path / f"lump.{suffix}")
    mesh = read_mesh(f"lump.{suffix}", folder=tmp_path, unit_mm=1.0)
    # Single precision carries 24 bits: at 60 mm steps of 4e-6 mm; OBJ is written with eight decimals.
    assert np.abs(mesh.vertices_mm[mesh.triangles] - sphere.triangles).max() < 4e-6
    assert mesh.watertight
    assert volume(mesh.vertices_mm, mesh.triangles) == pytest.approx(sphere.volume, rel=1e-6)


def test_a_size_is_told_in_millimetres_and_inches(tmp_path):
    mesh = read(tmp_path, obj(box(1270, 254, 12.7), SIDES), "box.obj")
    assert mesh.size_text == "1,270 x 254 x 12.7 mm (50 x 10 x 0.5 in)"


def test_a_message_has_three_lines_and_names_the_file(tmp_path):
    error = refusal(tmp_path, b"", "box.stl")
    assert isinstance(error, RoutevizError)
    assert str(error) == (
        "box.stl: an empty file\n"
        "  allowed: a mesh\n"
        "  remedy: write the file anew from the program that made it"
    )


@pytest.mark.parametrize("name", ["case.3mf", "case.gltf", "case", "case.stl.gz", "case.dae"])
def test_other_kinds_of_file_are_refused_by_name(tmp_path, name):
    error = refusal(tmp_path, obj(BOX, SIDES), name)
    assert error.found == f"{name}: not a known kind of mesh file"
    assert error.allowed == "names that end in .stl, .obj, .ply or .glb"


def test_capitals_in_the_ending_do_not_matter(tmp_path):
    assert read(tmp_path, obj(BOX, SIDES), "BOX.OBJ").watertight


@pytest.mark.parametrize("kind", WRITERS)
def test_a_file_of_another_kind_under_the_name_is_refused(tmp_path, kind):
    name, _ = WRITERS[kind]
    others = [write(BOX, SIDES) for other, write in WRITERS.values() if other != name]
    for data in others:
        assert refusal(tmp_path, data, name).remedy


@pytest.mark.parametrize("kind", WRITERS)
def test_a_file_cut_anywhere_is_refused(tmp_path, kind):
    name, write = WRITERS[kind]
    data = write(BOX, SIDES)
    # A text is whole without its last line end, ASCII STL without its name. An OBJ file claims no count:
    # behind its first whole face it is right in itself wherever a line ends.
    last = {"ASCII STL": b" box\n", "ASCII PLY": b"\n", "OBJ": data[data.find(b"\nf 1 2 4") + 8 :]}.get(
        kind, b""
    )
    for length in range(0, len(data.removesuffix(last)), 1 + len(data) // 1000):
        assert refusal(tmp_path, data[:length], name).found


@pytest.mark.parametrize("kind", WRITERS)
def test_no_triangles_are_refused(tmp_path, kind):
    name, write = WRITERS[kind]
    error = refusal(tmp_path, write(BOX, SIDES[:0]), name)
    assert error.found.startswith(f"{name}: ")


@pytest.mark.parametrize("kind", WRITERS)
@pytest.mark.parametrize("value", [np.nan, np.inf, -np.inf])
def test_a_number_that_is_not_finite_is_refused(tmp_path, kind, value):
    name, write = WRITERS[kind]
    points = BOX.copy()
    points[5, 1] = value
    error = refusal(tmp_path, write(points, SIDES), name)
    assert "no finite numbers" in error.found or f"{value:g}" in error.found
    assert "finite" in error.allowed


@pytest.mark.parametrize("kind", ["binary STL", "little-endian PLY", "big-endian PLY", "GLB"])
def test_a_signalling_nan_is_refused_without_a_warning(tmp_path, kind):
    name, write = WRITERS[kind]
    quiet, signalling = {
        "little-endian PLY": (struct.pack("<d", 120), b"\1\0\0\0\0\0\xf0\x7f"),
        "big-endian PLY": (struct.pack(">d", 120), b"\x7f\xf0\0\0\0\0\0\1"),
    }.get(kind, (struct.pack("<f", 120), b"\1\0\x80\x7f"))
    data = write(BOX, SIDES)
    assert quiet in data
    assert "no finite numbers" in refusal(tmp_path, data.replace(quiet, signalling), name).found


@pytest.mark.parametrize("kind", ["OBJ", "ASCII PLY", "little-endian PLY", "big-endian PLY", "GLB"])
def test_a_corner_that_does_not_exist_is_refused(tmp_path, kind):
    name, write = WRITERS[kind]
    triangles = SIDES.copy()
    triangles[4, 2] = 8
    assert "triangle 5 names a vertex" in refusal(tmp_path, write(BOX, triangles), name).found


def test_the_first_triangle_with_a_corner_that_does_not_exist_is_named(tmp_path):
    triangles = SIDES.copy()
    triangles[4, 2] = -1
    error = refusal(tmp_path, binary_ply(BOX, triangles), "box.ply")
    assert error.found == "box.ply: triangle 5 names a vertex that is not among the 8 there are"


def test_triangles_without_area_are_left_out_and_counted(tmp_path):
    points = np.vstack([BOX, [60, 0, 0]])  # half way between corners 0 and 4
    triangles = np.vstack([SIDES, [[0, 8, 4], [1, 1, 2], [3, 3, 3]]])
    mesh = read(tmp_path, obj(points, triangles), "box.obj")
    assert (mesh.vertices_mm[mesh.triangles] == BOX[SIDES]).all()
    assert mesh.dropped == 3
    assert volume(mesh.vertices_mm, mesh.triangles) == pytest.approx(120 * 80 * 30)


def test_a_box_closed_by_a_triangle_without_area_counts_as_watertight(tmp_path):
    # Below, the edge from corner 0 to corner 4 is parted at its middle; in front it is not.
    points = np.vstack([BOX, [60, 0, 0]])
    below = [[0, 2, 8], [8, 2, 6], [8, 6, 4]]
    triangles = np.vstack([SIDES[:8], SIDES[10:], below])
    assert not read(tmp_path, obj(points, triangles), "open.obj").watertight
    mesh = read(tmp_path, obj(points, np.vstack([triangles, [[0, 8, 4]]])), "closed.obj")
    assert mesh.watertight
    assert mesh.dropped == 1
    assert volume(mesh.vertices_mm, mesh.triangles) == pytest.approx(120 * 80 * 30)


def test_a_sliver_is_kept_unless_it_is_lower_than_a_millionth_of_a_millimetre(tmp_path):
    for height, dropped in ((2e-6, 0), (0.5e-6, 1)):
        points = np.array([[0, 0, 0], [100, 0, 0], [50, 100, 0], [50, -height, 0]])
        mesh = read(tmp_path, obj(points, np.array([[0, 1, 2], [0, 3, 1]])), "sliver.obj")
        assert mesh.dropped == dropped


def test_a_mesh_of_nothing_but_triangles_without_area_is_refused(tmp_path):
    points = np.array([[0, 0, 0], [10, 10, 10], [20, 20, 20]])
    error = refusal(tmp_path, binary_stl(points, np.array([[0, 1, 2], [0, 0, 1]])), "line.stl")
    assert error.found == "line.stl: 2 triangles, none of which has an area"


def test_an_open_box_is_not_watertight(tmp_path):
    assert not read(tmp_path, binary_stl(BOX, SIDES[1:]), "open.stl").watertight


@pytest.mark.parametrize(("largest", "unit_mm", "fits"), [
    (1.99, 1, False), (2, 1, True), (4000, 1, True), (4001, 1, False),
    (0.078, 25.4, False), (0.08, 25.4, True), (157.4, 25.4, True), (157.5, 25.4, False),
])  # fmt: skip
def test_a_size_that_only_a_wrong_unit_explains_is_refused(tmp_path, largest, unit_mm, fits):
    data = obj(box(largest, largest / 2, largest / 4), SIDES)
    if fits:
        assert read(tmp_path, data, "box.obj", unit_mm=unit_mm).sides_mm[0] == pytest.approx(
            largest * unit_mm
        )
    else:
        assert "check the unit" in refusal(tmp_path, data, "box.obj", unit_mm=unit_mm).remedy


def test_a_wrong_unit_is_refused_with_the_size_in_every_unit(tmp_path):
    error = refusal(tmp_path, obj(box(1.4, 0.7, 1.2), SIDES), "case.obj")
    assert error.found == "case.obj: a size of 1.4 x 0.7 x 1.2 mm (0.05512 x 0.02756 x 0.04724 in)"
    assert error.allowed == "a largest side between 2 mm and 4 m"
    assert error.remedy == (
        "check the unit: the largest side would be "
        "1.4 mm if in mm, 14 mm if in cm, 35.56 mm if in in, 426.7 mm if in ft, 1,400 mm if in m"
    )


@pytest.mark.parametrize("unit_mm", [1.0, 1000.0])
def test_a_mesh_beyond_a_hundred_metres_from_its_origin_is_refused(tmp_path, unit_mm):
    near = box(99, 99, 99) / unit_mm * 10
    near[:, 0] += 99_000 / unit_mm
    assert read(tmp_path, obj(near, SIDES), "near.obj", unit_mm=unit_mm)
    far = near + np.array([1_001 / unit_mm, 0, 0])
    assert "m from the file's origin" in refusal(tmp_path, obj(far, SIDES), "far.obj", unit_mm=unit_mm).found


def test_a_number_too_large_for_its_unit_is_refused_without_overflow(tmp_path):
    data = obj(BOX, SIDES).replace(b"120", b"1e308")
    assert "m from the file's origin" in refusal(tmp_path, data, "far.obj", unit_mm=304.8).found
    data = obj(BOX, SIDES).replace(b"120", b"1e400")
    assert "no finite numbers" in refusal(tmp_path, data, "far.obj").found


def test_half_a_million_triangles_are_allowed_and_one_more_is_refused(tmp_path):
    check_counts(triangles=500_000, vertices=1_500_000)
    error = refusal(tmp_path, bytes(80) + (500_001).to_bytes(4, "little") + bytes(50 * 500_001), "more.stl")
    assert error.found == "more.stl: 500,001 triangles"
    assert error.allowed == "at most 500,000 triangles"
    assert error.remedy.startswith("simplify the mesh")


@pytest.mark.parametrize("unit_mm", [0.0, -1.0, float("nan"), float("inf")])
def test_a_unit_that_is_no_length_is_a_bug_of_the_caller(tmp_path, unit_mm):
    with pytest.raises(ValueError, match="unit_mm"):
        read_mesh("box.stl", folder=tmp_path, unit_mm=unit_mm)


def test_reading_a_mesh_loads_neither_vtk_nor_trimesh():
    names = ("vtk", "vtkmodules", "pyvista", "trimesh")
    code = f"import sys, routeviz.cabinet.meshes; sys.exit(any(n in sys.modules for n in {names}))"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
