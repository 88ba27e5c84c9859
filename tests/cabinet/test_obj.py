import numpy as np
import pytest
from mesh_files import SIDES, box, obj

from routeviz.cabinet.mesh_refusals import MeshError
from routeviz.cabinet.obj import read_obj

BOX = box(120, 80, 30)
TEXT = obj(BOX, SIDES)
THREE = b"v 0 0 0\nv 9 0 0\nv 0 9 0\n"


def refusal(data: bytes) -> MeshError:
    with pytest.raises(MeshError) as caught:
        read_obj(data)
    return caught.value


@pytest.mark.parametrize(
    "text",
    [
        TEXT.replace(b"\n", b"\r\n"),
        TEXT.replace(b"\n", b"\r"),
        TEXT.replace(b" ", b"\t  ").replace(b"\n", b"  # said\n\n"),
        TEXT.replace(b"f ", b"s off\ng side\nusemtl ../../etc/passwd\nf "),
        b"mtllib /etc/passwd\no box\nvt 0 0\nvn 0 0 1\n" + TEXT,
    ],
)
def test_lines_that_carry_no_shape_do_not_matter(text):
    points, triangles = read_obj(text)
    assert points.tolist() == BOX.tolist()
    assert triangles.tolist() == SIDES.tolist()


@pytest.mark.parametrize(
    "face", [b"1 2 3", b"1/1 2/1 3/1", b"1//1 2//1 3//1", b"1/1/1 2/1/1 3/1/1", b"-3 -2 -1"]
)
def test_a_corner_is_the_first_number_of_its_group(face):
    assert read_obj(THREE + b"f " + face)[1].tolist() == [[0, 1, 2]]


def test_a_relative_corner_counts_from_the_vertices_so_far():
    assert read_obj(THREE + b"f -3 -2 -1\n" + THREE + b"f -3 -2 -1\n")[1].tolist() == [[0, 1, 2], [3, 4, 5]]


@pytest.mark.parametrize("more", [b" 1.0", b" 0.5 0.5 0.25"])
def test_a_weight_of_one_or_a_colour_behind_a_vertex_is_passed_over(more):
    points, _ = read_obj(THREE.replace(b"\n", more + b"\n") + b"f 1 2 3")
    assert points.tolist() == [[0, 0, 0], [9, 0, 0], [0, 9, 0]]


@pytest.mark.parametrize(
    ("line", "found"),
    [
        (b"f 1 2 3 1", "line 4: a face with 4 corners"),
        (b"f 1 2", "line 4: a face with 2 corners"),
        (b"f 0 1 2", "line 4: a face names vertex 0"),
        (b"f -4 1 2", "line 4: a face names vertex -4"),
        (b"f 1 2 3.0", "line 4: '3.0' in a face"),
        (b"f 1 2 99999999999", "line 4: '99999999999' in a face"),
        (b"f 1 2 1_0", "line 4: '1_0' in a face"),
        (b"f 1 2 /3", "line 4: '/3' in a face"),
        (b"f 1 2 \xb2", "line 4: '\\xb2' in a face"),
        (b"v 1 2", "line 4: a vertex of 2 numbers"),
        (b"v 1 2 3 0.5", "line 4: a vertex of 4 numbers"),
        (b"v 1 2 3 4 5 6 7", "line 4: a vertex of 7 numbers"),
        (b"v 1 2 x", "vertex 4: 'x' where a number belongs"),
        (b"v 1 2 1-2", "vertex 4: '1-2' where a number belongs"),
        (b"v 1 2 1.0.2", "vertex 4: '1.0.2' where a number belongs"),
        (b"l 1 2", "line 4: 'l'"),
        (b"p 1", "line 4: 'p'"),
        (b"call other.obj", "line 4: 'call'"),
        (b"curv 0 1 1 2", "line 4: 'curv'"),
        (b"\x1b[2Jevil", "line 4: '\\x1b[2Jevil'"),
        (b"# " + b"x" * 4096, "line 4: 4,098 characters"),
    ],
)
def test_a_line_that_cannot_be_read_is_named(line, found):
    assert refusal(THREE + line).found == found


def test_a_face_with_four_corners_says_what_to_do():
    assert refusal(THREE + b"f 1 2 3 1").remedy == "write the file with its faces made into triangles"


def test_a_file_without_faces_gives_no_triangles():
    points, triangles = read_obj(THREE)
    assert points.shape == (3, 3)
    assert triangles.shape == (0, 3)
    assert read_obj(b"# nothing")[0].shape == (0, 3)


def test_numbers_are_the_nearest_doubles():
    rng = np.random.default_rng(11)
    values = rng.normal(size=300) * 10.0 ** rng.integers(-30, 30, 300)
    lines = "\n".join(f"v {a!r} {b!r} {c!r}" for a, b, c in values.reshape(-1, 3).tolist())
    assert read_obj(lines.encode())[0].ravel().tolist() == values.tolist()
