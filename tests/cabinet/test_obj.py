import numpy as np
import pytest
from mesh_files import SIDES, box, obj
from mesh_reading import corners, surface

from routeviz.cabinet.mesh_refusals import MeshError

BOX = box(120, 80, 30)
TEXT = obj(BOX, SIDES)
THREE = b"v 0 0 0\nv 9 0 0\nv 0 9 0\n"


def refusal(data: bytes) -> MeshError:
    with pytest.raises(MeshError) as caught:
        surface(data, "obj")
    return caught.value


@pytest.mark.parametrize(
    "text",
    [
        TEXT.replace(b"\n", b"\r\n"),
        TEXT.replace(b" ", b"  ").replace(b"\n", b"  \n\n"),
        TEXT.replace(b"f ", b"s off\ng side\nusemtl ../../etc/passwd\nf "),
        b"mtllib /etc/passwd\no box\nvt 0 0\nvn 0 0 1\n" + TEXT,
        "# b\xf6x\no usemtl f 1 2 3\n".encode("latin-1") + TEXT,
    ],
)
def test_lines_that_carry_no_shape_do_not_matter(text):
    assert corners(text, "obj") == BOX[SIDES].tolist()


@pytest.mark.parametrize("face", [b"1 2 3", b"1/1 2/1 3/1", b"1//1 2//1 3//1", b"1/1/1 2/1/1 3/1/1"])
@pytest.mark.parametrize("more", [b"", b"vt 0 0\nvn 0 0 1\n"])
def test_a_corner_is_the_first_number_of_its_group(face, more):
    assert corners(THREE + more + b"f " + face, "obj") == [[[0, 0, 0], [9, 0, 0], [0, 9, 0]]]


def test_faces_of_several_kinds_and_materials_are_all_read_in_place():
    text = (
        THREE
        + b"f 1/1 2/1 3/1\nusemtl a\nf 3 2 1\nusemtl b\nf 2//1 3//1 1//1\nusemtl a\nf 1/1/1 3/1/1 2/1/1\n"
    )
    a, b, c = [0, 0, 0], [9, 0, 0], [0, 9, 0]
    assert sorted(corners(text, "obj")) == sorted([[a, b, c], [c, b, a], [b, c, a], [a, c, b]])


@pytest.mark.parametrize("more", [b" 1.0", b" 0.5 0.5 0.25"])
def test_a_weight_of_one_or_a_colour_behind_a_vertex_is_passed_over(more):
    text = THREE.replace(b"\n", more + b"\n") + b"f 1 2 3"
    assert corners(text, "obj") == [[[0, 0, 0], [9, 0, 0], [0, 9, 0]]]


@pytest.mark.parametrize(
    "line",
    [
        b"f 1 2 3 1", b"f 1 2", b"f 0 1 2", b"f -3 -2 -1", b"f 1 2 3.0", b"f 1 2 99999999999", b"f 1 2 1_0",
        b"f 1 2 /3", b"f 1 2 \xb2", b"f 1/1 2 3", b"f 1/1/1 2/2/2 3//3", b"f 1 2 3 # said",
        b"v 1 2", b"v 1 2 3 2", b"v 1 2 3 4 5", b"v 1 2 3 4 5 6 7", b"v 1 2 x", b"v 1 2 1-2", b"v 1 2 1.0.2",
        b"v 1 2 nan", b"v\t1 2 3", b" v 1 2 3", b" f 1 2 3",
        b"l 1 2", b"p 1", b"call other.obj", b"curv 0 1 1 2", b"\x1b[2Jevil",
    ],
)  # fmt: skip
def test_a_line_that_cannot_be_read_for_certain_is_shown(line):
    error = refusal(THREE + line + b"\nf 1 2 3\n")
    shown = line.strip().decode("ascii", "backslashreplace").replace("\x1b", "\\x1b").replace("\t", "\\t")
    assert error.found == f"line 4: not understood: '{shown}'"
    assert "three corners counted from 1" in error.allowed
    assert "made into triangles, without lines, points and curves" in error.remedy


@pytest.mark.parametrize("ending", [b"\\\n", b"\\\r\n"])
def test_a_line_that_swallows_the_next_is_refused(ending):
    assert refusal(b"# C:" + ending + THREE + b"f 1 2 3").found == "a line that goes on behind a backslash"


def test_a_face_that_names_a_later_vertex_is_read():
    assert corners(b"f 1 2 3\n" + THREE, "obj") == [[[0, 0, 0], [9, 0, 0], [0, 9, 0]]]


def test_a_file_without_faces_is_refused():
    assert refusal(THREE).found == "no triangles"
    assert refusal(b"# nothing").found == "no triangles"


def test_numbers_are_the_nearest_doubles():
    rng = np.random.default_rng(11)
    values = rng.normal(size=300) * 10.0 ** rng.integers(-6, 4, 300)
    lines = "\n".join(f"v {a!r} {b!r} {c!r}" for a, b, c in values.reshape(-1, 3).tolist())
    faces = "\n".join(f"f {3 * k + 1} {3 * k + 2} {3 * k + 3}" for k in range(33))
    read = corners(f"{lines}\n{faces}".encode(), "obj")
    assert read == values[:297].reshape(-1, 3, 3).tolist()
