import struct

import numpy as np
import pytest
from mesh_files import SIDES, ascii_ply, binary_ply, box, ply_header
from mesh_reading import corners, surface

from routeviz.cabinet.mesh_refusals import MeshError

BOX = box(120, 80, 30)
TEXT = ascii_ply(BOX, SIDES)
BINARY = binary_ply(BOX, SIDES)
POINTS = b"".join(struct.pack("<3d", *point) for point in BOX)


def refusal(data: bytes) -> MeshError:
    with pytest.raises(MeshError) as caught:
        surface(data, "ply")
    return caught.value


def is_the_box(data: bytes) -> bool:
    return corners(data, "ply") == BOX[SIDES].tolist()


def test_a_name_in_any_writing_may_stand_in_a_comment():
    for data in (TEXT, BINARY):
        assert is_the_box(data.replace(b"comment a box", b"comment b\xf6x"))


def test_line_ends_of_two_characters_are_read():
    assert is_the_box(TEXT.replace(b"\n", b"\r\n"))
    header = ply_header("binary_little_endian", 8, 12)
    assert is_the_box(header.replace(b"\n", b"\r\n") + BINARY[len(header) :])


@pytest.mark.parametrize("order", ["<", ">"])
def test_other_columns_of_every_kind_are_passed_over(order):
    form = "binary_little_endian" if order == "<" else "binary_big_endian"
    header = (
        f"ply\nformat {form} 1.0\nobj_info by hand\nelement vertex 8\nproperty uchar red\n"
        "property float32 x\nproperty int16 layer\nproperty float32 y\nproperty float z\n"
        "property double quality\nelement face 12\nproperty ushort flags\n"
        "property list uint8 uint32 vertex_index\nproperty float area\nend_header\n"
    )
    body = b"".join(struct.pack(order + "Bfhffd", 255, x, -7, y, z, 0.5) for x, y, z in BOX)
    body += b"".join(struct.pack(order + "HB3If", 9, 3, *face, 1.5) for face in SIDES)
    assert is_the_box(header.encode() + body)
    lines = [f"255 {x} -7 {y} {z} 0.5" for x, y, z in BOX] + [f"9 3 {a} {b} {c} 1.5" for a, b, c in SIDES]
    assert is_the_box(header.replace(form, "ascii").encode() + "\n".join(lines).encode())


@pytest.mark.parametrize(("vertices", "faces"), [(4_000_000_000, 12), (8, 4_000_000_000), (1_500_001, 1)])
def test_a_header_that_claims_too_much_is_refused_before_room_is_made(vertices, faces):
    for form in ("ascii", "binary_little_endian"):
        assert "at most" in refusal(ply_header(form, vertices, faces) + BINARY[-200:]).allowed


@pytest.mark.parametrize(("vertices", "faces"), [(9, 12), (8, 13), (1000, 12)])
def test_a_header_that_claims_more_than_the_file_holds_is_refused(vertices, faces):
    for form, whole in (("ascii", TEXT), ("binary_little_endian", BINARY)):
        body = whole.partition(b"end_header\n")[2]
        assert refusal(ply_header(form, vertices, faces) + body).remedy


@pytest.mark.parametrize("more", [b"0\n", b"3 0 1 3", b"\0" * 13])
def test_a_file_that_holds_more_than_its_header_claims_is_refused(more):
    assert "longer than it says" in refusal(BINARY + more).found
    if more[0]:
        assert "longer than it says" in refusal(TEXT + more).found


@pytest.mark.parametrize(
    ("place", "corners"), [(0, [0, 1]), (0, [0, 1, 3, 2]), (5, [0, 1]), (5, [0, 1, 3, 2]), (11, [0, 1, 3, 2])]
)
def test_faces_that_are_no_triangles_are_refused_with_their_number(place, corners):
    faces = [*SIDES[:place].tolist(), corners, *SIDES[place + 1 :].tolist()]
    for data in (binary_ply(BOX, faces), binary_ply(BOX, faces, order=">")):
        error = refusal(data)
        assert error.found == f"face {place + 1} has {len(corners)} corners"
        assert error.remedy == "write the file with its faces made into triangles"
    error = refusal(ascii_ply(BOX, faces))
    assert error.found == f"row {place + 9}: not understood: '{len(corners)} {' '.join(map(str, corners))}'"
    assert "made into triangles" in error.remedy


def test_all_faces_as_squares_are_refused():
    assert refusal(binary_ply(BOX, np.array([[0, 1, 3, 2]] * 6))).found == "face 1 has 4 corners"


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (b"ply\n", b"plx\n"), (b"end_header", b"end_heeder"), (b"format ascii", b"format binary"),
        (b"ascii 1.0", b"ascii 2.0"), (b"property double x", b"property list uchar double x"),
        (b"double z", b"long z"), (b"element vertex 8", b"element vertex -8"),
        (b"element vertex 8", b"element vertex 8.0"), (b"vertex 8", b"vertex " + b"9" * 5000),
        (b"element vertex 8", b"element point 8"), (b"face 12", b"face 12\nproperty int a\nelement edge 3"),
        (b"element face", b"element tristrips"), (b"element vertex 8\n", b""),
        (b"vertex_indices", b"corners"),
        (b"list uchar int vertex_indices", b"int vertex_indices"),
        (b"list uchar int vertex_indices", b"list uchar float vertex_indices"),
        (b"vertex_indices\n", b"vertex_indices\nproperty list uchar float texcoord\n"),
        (b"comment a box", b"comment a end_header"),
    ],
)  # fmt: skip
def test_a_header_of_anything_but_vertices_and_triangles_is_refused(before, after):
    assert before in TEXT
    error = refusal(TEXT.replace(before, after, 1))
    assert error.found.startswith("no PLY header, or one for more than a mesh: 'pl")
    assert error.allowed.startswith("vertices, then faces with one list, vertex_indices, of whole numbers")


@pytest.mark.parametrize(("before", "after"), [(b"double x", b"double u"), (b"double y", b"double x")])
def test_vertices_need_three_different_coordinates(before, after):
    error = refusal(TEXT.replace(before, after, 1))
    assert error.found == "vertices without x, y and z, or with a name twice"


@pytest.mark.parametrize(
    "row",
    [
        b"3 0 1 3.5",
        b"3 0 1 1e300",
        b"-3 0 1 3",
        b"1e999 0 1 3",
        b"3 0 1 3;",
        b"3 0 1 -3",
        b"30 1 3",
        b"3 0 1",
    ],
)
def test_a_damaged_row_is_shown(row):
    assert refusal(TEXT.replace(b"3 0 1 3", row, 1)).found == f"row 9: not understood: '{row.decode()}'"


def test_faces_of_one_length_with_another_before_them_are_not_taken_for_triangles():
    # Both rows are four numbers long; only the first number tells.
    assert refusal(TEXT.replace(b"3 0 3 2", b"2 0 3 2", 1)).found == "row 10: not understood: '2 0 3 2'"
    damaged = BINARY.replace(struct.pack("<B3i", 3, 0, 3, 2), struct.pack("<B3i", 2, 0, 3, 2))
    assert refusal(damaged).found == "face 2 has 2 corners"


def test_texture_coordinates_of_vertices_change_nothing():
    columns = b"property double z\nproperty float s\nproperty float t\n"
    text = TEXT.replace(b"property double z\n", columns)
    for point in BOX:
        row = " ".join(f"{v:.17g}" for v in point).encode()
        text = text.replace(b"\n" + row + b"\n", b"\n" + row + b" 0.5 0.5\n", 1)
    assert is_the_box(text)


def test_a_list_with_an_absurd_length_makes_no_room():
    header = ply_header("binary_little_endian", 8, 12).replace(b"list uchar", b"list uint")
    body = POINTS + struct.pack("<I3i", 2**32 - 1, 0, 1, 3)
    assert refusal(header + body).found == "face 1 has 4,294,967,295 corners"


def test_a_header_without_end_is_refused_soon():
    assert "no PLY header" in refusal(b"ply\nformat ascii 1.0\n" + b"comment\n" * 1_000_000).found
