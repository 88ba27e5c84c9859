import struct

import numpy as np
import pytest
from mesh_files import SIDES, ascii_ply, binary_ply, box, ply_header

from routeviz.cabinet.mesh_refusals import MeshError
from routeviz.cabinet.ply import read_ply

BOX = box(120, 80, 30)
TEXT = ascii_ply(BOX, SIDES)
BINARY = binary_ply(BOX, SIDES)
POINTS = b"".join(struct.pack("<3d", *point) for point in BOX)


def refusal(data: bytes) -> MeshError:
    with pytest.raises(MeshError) as caught:
        read_ply(data)
    return caught.value


def is_the_box(data: bytes) -> bool:
    points, triangles = read_ply(data)
    return points.tolist() == BOX.tolist() and triangles.tolist() == SIDES.tolist()


def test_line_ends_of_every_system_are_read():
    assert is_the_box(TEXT.replace(b"\n", b"\r\n"))
    assert is_the_box(TEXT.replace(b"\n", b"\r").replace(b"\rend_header\r", b"\nend_header\r"))
    header = ply_header("binary_little_endian", 8, 12)
    assert is_the_box(header.replace(b"\n", b"\r\n") + BINARY[len(header) :])


@pytest.mark.parametrize("order", ["<", ">"])
def test_other_columns_of_every_kind_are_passed_over(order):
    form = "binary_little_endian" if order == "<" else "binary_big_endian"
    header = (
        f"ply\nformat {form} 1.0\nobj_info by hand\nelement vertex 8\nproperty uchar red\n"
        "property float32 x\nproperty int16 layer\nproperty float32 y\nproperty float z\n"
        "property double quality\nelement face 12\nproperty ushort flags\n"
        "property list uint8 uint32 vertex_index\nproperty list uchar float texcoord\n"
        "property float area\nelement edge 0\nproperty int a\nend_header\n"
    )
    body = b"".join(struct.pack(order + "Bfhffd", 255, x, -7, y, z, 0.5) for x, y, z in BOX)
    body += b"".join(struct.pack(order + "HB3IB6ff", 9, 3, *face, 6, *range(6), 1.5) for face in SIDES)
    assert is_the_box(header.encode() + body)


def test_text_may_be_set_over_lines_in_any_way():
    head, _, body = TEXT.partition(b"end_header\n")
    assert is_the_box(head + b"end_header\n" + b"\n".join(body.split()))


@pytest.mark.parametrize(("vertices", "faces"), [(4_000_000_000, 12), (8, 4_000_000_000), (1_500_001, 1)])
def test_a_header_that_claims_too_much_is_refused_before_room_is_made(vertices, faces):
    for form in ("ascii", "binary_little_endian"):
        assert "at most" in refusal(ply_header(form, vertices, faces) + BINARY[-200:]).allowed


@pytest.mark.parametrize(("vertices", "faces"), [(9, 12), (8, 13), (1000, 12)])
def test_a_header_that_claims_more_than_the_file_holds_is_refused(vertices, faces):
    for form, whole in (("ascii", TEXT), ("binary_little_endian", BINARY)):
        body = whole.partition(b"end_header\n")[2]
        assert refusal(ply_header(form, vertices, faces) + body).remedy


@pytest.mark.parametrize("more", [b"0", b"0 ", b"\0" * 13])
def test_a_file_that_holds_more_than_its_header_claims_is_refused(more):
    assert "longer than it says" in refusal(BINARY + more).found
    if more[0]:
        assert "longer than it says" in refusal(TEXT + more).found


@pytest.mark.parametrize(
    ("place", "corners"), [(0, [0, 1]), (0, [0, 1, 3, 2]), (5, [0, 1]), (5, [0, 1, 3, 2]), (11, [0, 1, 3, 2])]
)
def test_faces_that_are_no_triangles_are_refused_with_their_number(place, corners):
    faces = [*SIDES[:place].tolist(), corners, *SIDES[place + 1 :].tolist()]
    found = (
        f"face 1 has {len(corners)} corners"
        if place == 0
        else f"face {place + 1} has another number of corners"
    )
    for data in (ascii_ply(BOX, faces), binary_ply(BOX, faces), binary_ply(BOX, faces, order=">")):
        error = refusal(data)
        assert error.found == found
        assert error.remedy == "write the file with its faces made into triangles"


def test_all_faces_as_squares_are_refused():
    assert refusal(binary_ply(BOX, np.array([[0, 1, 3, 2]] * 6))).found == "face 1 has 4 corners"


@pytest.mark.parametrize(
    ("before", "after", "found"),
    [
        (b"ply\n", b"plx\n", "no PLY header"),
        (b"end_header", b"end_heeder", "no PLY header"),
        (b"format ascii", b"format binary", "no known format on the second line"),
        (b"ascii 1.0", b"ascii 2.0", "no known format on the second line"),
        (b"double x", b"double u", "vertices with u, y, z"),
        (b"property double x", b"property list uchar double x", "vertices with y, z"),
        (b"double y", b"double x", "property 'x' once more"),
        (b"double z", b"long z", "'property_long_z' in the header"),
        (b"element vertex 8", b"element vertex -8", "'element_vertex_-8' in the header"),
        (b"element vertex 8", b"element vertex 8.0", "'element_vertex_8.0' in the header"),
        (b"vertex 8", b"vertex " + b"9" * 5000, f"'element_vertex_{25 * '9'}' in the header"),
        (b"element vertex 8", b"element point 8", "the elements 'point, face'"),
        (b"face 12", b"face 12\nproperty int a\nelement edge 3", "the elements 'vertex, face, edge'"),
        (b"element face", b"element tristrips", "the elements 'vertex, tristrips'"),
        (b"element vertex 8\n", b"", "'property_double_x' in the header"),
        (b"vertex_indices", b"corners", "faces without a list of vertices"),
        (b"list uchar int vertex_indices", b"int vertex_indices", "faces without a list of vertices"),
        (b"\n3 0 1 3", b"\n3 0 1 3.5", "a vertex number with a fraction"),
        (b"\n3 0 1 3", b"\n3 0 1 1e300", "a vertex number with a fraction"),
        (b"\n3 0 1 3", b"\n-3 0 1 3", "a face with a list of -3 numbers"),
        (b"\n3 0 1 3", b"\n1e999 0 1 3", "a face with a list of inf numbers"),
        (b"\n3 0 1 3", b"\n3 0 1 3;", "line after the header 9: '3;' where a number belongs"),
    ],
)  # fmt: skip
def test_a_damaged_text_is_refused(before, after, found):
    assert before in TEXT
    assert refusal(TEXT.replace(before, after, 1)).found == found


def test_a_list_with_an_absurd_length_makes_no_room():
    header = ply_header("binary_little_endian", 8, 12).replace(b"list uchar", b"list uint")
    body = POINTS + struct.pack("<I3i", 2**32 - 1, 0, 1, 3)
    assert refusal(header + body).found == "a face with a list of 4,294,967,295 numbers"


def test_a_header_without_end_is_refused_soon():
    assert refusal(b"ply\nformat ascii 1.0\n" + b"comment\n" * 1_000_000).found == "no PLY header"


def test_a_header_of_many_properties_is_refused():
    columns = "".join(f"property float p{k}\n" for k in range(100)).encode()
    assert (
        "property 'p61' once more" in refusal(TEXT.replace(b"element face", columns + b"element face")).found
    )
