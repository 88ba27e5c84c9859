import numpy as np
import pytest
from mesh_files import SIDES, ascii_stl, binary_stl, box
from mesh_reading import corners, surface

from routeviz.cabinet.mesh_refusals import MeshError

BOX = box(120, 80, 30)
TEXT = ascii_stl(BOX, SIDES)


def refusal(data: bytes) -> MeshError:
    with pytest.raises(MeshError) as caught:
        surface(data, "stl")
    return caught.value


def test_a_binary_file_whose_header_reads_solid_is_read_as_binary():
    assert (
        corners(binary_stl(BOX, SIDES, header=b"solid made by a careless program"), "stl")
        == BOX[SIDES].tolist()
    )


@pytest.mark.parametrize("claimed", [13, 1_000, 2_000_000_000, 2**32 - 1])
def test_a_header_that_claims_more_than_the_file_holds_is_refused(claimed):
    for header in (b"", b"solid"):
        error = refusal(binary_stl(BOX, SIDES, header=header, claimed=claimed))
        claim = f"{claimed:,} triangles (there is room for 12)"
        assert error.found == f"the file is cut short: its header claims {claim}, and less follows"


@pytest.mark.parametrize("claimed", [0, 1, 11])
def test_a_header_that_claims_less_than_the_file_holds_is_refused(claimed):
    error = refusal(binary_stl(BOX, SIDES, claimed=claimed))
    assert error.found.startswith("the file is longer than it says: its header claims")
    assert error.allowed == "exactly what the header claims"


def test_random_bytes_are_refused():
    data = np.random.default_rng(7).bytes(10_000)
    assert "cut short" in refusal(data).found or "longer" in refusal(data).found
    assert refusal(data[:50]).found == "50 bytes, which is neither a binary nor an ASCII STL file"


@pytest.mark.parametrize(
    "text",
    [
        TEXT.replace(b"\n", b"\r\n"),
        TEXT.replace(b"  ", b"\t").replace(b" ", b" \t "),
        TEXT.replace(b"\n", b"\n\n  \n"),
        b"\n".join(line.strip() for line in TEXT.splitlines()),
        b"  \n" + TEXT + b"\n\n\t ",
        TEXT.rstrip(),
        TEXT.upper(),
        ascii_stl(BOX, SIDES, name=""),
        ascii_stl(BOX, SIDES, name="facet of a solid, 3 x vertex"),
        ascii_stl(BOX, SIDES[:5]) + ascii_stl(BOX, SIDES[5:], name="second"),
        TEXT.replace(b"normal 0 0 0", b"normal nan -nan(ind) 1e999"),
        TEXT.replace(b"120", b"+1.2E+02"),
    ],
)
def test_odd_but_lawful_text_is_read(text):
    assert corners(text, "stl") == BOX[SIDES].tolist()


@pytest.mark.parametrize(
    ("text", "found"),
    [
        (TEXT[:-20], "line 85: not understood: 'en'"),
        (TEXT[:-40], "line 83: not understood: 'vertex 0 80'"),
        (TEXT.replace(b"endloop", b"vertex 0 0 0\nendloop", 1), "line 7: not understood: 'vertex 0 0 0'"),
        (TEXT.replace(b"endsolid box\n", b""), "line 86: the file ends too soon"),
        (TEXT + b"trailing", "line 87: not understood: 'trailing'"),
        (TEXT.replace(b"\n", b" "), "line 1: not understood: 'solid box   facet normal"),
        (TEXT.replace(b"\n", b"\r"), "line 1: not understood: 'solid box"),
        (b"solid\nendsolid\n", "line 2: not understood: 'endsolid'"),
        (b"solid one\ntwo\n" + TEXT[9:], "line 2: not understood: 'two'"),
        (b"solid vertex 1 2 3\n" + TEXT, "line 2: not understood: 'solid box'"),
        (TEXT.replace(b"vertex 0 0 0", b"vertex 0 0", 1), "line 4: not understood: 'vertex 0 0'"),
        (TEXT.replace(b"120", b"1_20"), "line 18: not understood: 'vertex 1_20 0 0'"),
        (TEXT.replace(b"120", b"0x12"), "line 18: not understood: 'vertex 0x12 0 0'"),
        (TEXT.replace(b"120", b"12,0"), "line 18: not understood: 'vertex 12,0 0 0'"),
        (TEXT.replace(b"120", b"1" * 41), "line 18: not understood: 'vertex 111"),
        (TEXT.replace(b"120", b"nan"), "line 18: not understood: 'vertex nan 0 0'"),
        (TEXT.replace(b"120", "१२०".encode()), "line 18: not understood: 'vertex \\xe0"),
    ],
)
def test_damaged_text_is_refused(text, found):
    assert found in refusal(text).found


def test_a_name_that_reads_like_shape_is_read_right_or_refused():
    name = "vertex 1 2 3"
    assert "triangles" in refusal(ascii_stl(BOX, SIDES, name=f"{name} {name} {name}")).found
    assert "not understood" in refusal(ascii_stl(BOX, SIDES, name="vertex 1 2 x")).found
    assert corners(ascii_stl(BOX, SIDES, name="b\xf6x \u0130"), "stl") == BOX[SIDES].tolist()
