import numpy as np
import pytest
from mesh_files import SIDES, ascii_stl, binary_stl, box

from routeviz.cabinet.mesh_refusals import MeshError
from routeviz.cabinet.stl import read_stl

BOX = box(120, 80, 30)
TEXT = ascii_stl(BOX, SIDES)


def corners(data: bytes) -> list:
    points, triangles = read_stl(data)
    return points[triangles].tolist()


def refusal(data: bytes) -> MeshError:
    with pytest.raises(MeshError) as caught:
        read_stl(data)
    return caught.value


def test_a_binary_file_whose_header_reads_solid_is_read_as_binary():
    assert corners(binary_stl(BOX, SIDES, header=b"solid made by a careless program")) == BOX[SIDES].tolist()


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
        TEXT.replace(b"\n", b"\r"),
        TEXT.replace(b"  ", b"\t").replace(b" ", b" \t "),
        TEXT.replace(b"\n", b"\n\n  \n"),
        b"  \n" + TEXT + b"\n\n\t ",
        TEXT.rstrip(),
        TEXT.replace(b"\n", b" "),
        TEXT.upper(),
        ascii_stl(BOX, SIDES, name=""),
        ascii_stl(BOX, SIDES, name="facet of a solid, 3 x vertex"),
        ascii_stl(BOX, SIDES[:5]) + ascii_stl(BOX, SIDES[5:], name="second"),
        TEXT.replace(b"normal 0 0 0", b"normal nan -nan(ind) 1e999"),
        TEXT.replace(b"120", b"+1.2E+02"),
    ],
)
def test_odd_but_lawful_text_is_read(text):
    assert corners(text) == BOX[SIDES].tolist()


@pytest.mark.parametrize(
    ("text", "found"),
    [
        (TEXT[:-20], "cut short or damaged: after 11 whole facets comes 'facet'"),
        (TEXT.replace(b"endloop", b"vertex 0 0 0\nendloop", 1), "after 0 whole facets comes 'facet'"),
        (TEXT.replace(b"endsolid box\n", b""), "after 12 whole facets comes 'the end of the file'"),
        (TEXT + b"trailing", "'trailing' opens no solid with facets"),
        (TEXT.replace(b"\n", b" ") * 2, "after 12 whole facets comes 'endsolid'"),
        (b"solid\nendsolid\n", "'solid' opens no solid with facets"),
        (b"solid one\ntwo\n" + TEXT[9:], "'solid' opens no solid with facets"),
        (TEXT.replace(b"vertex 0 0 0", b"vertex 0 0", 1), "after 0 whole facets"),
        (TEXT.replace(b"120", b"1_20"), "facet 3: '1_20' where a number belongs"),
        (TEXT.replace(b"120", b"0x12"), "facet 3: '0x12' where a number belongs"),
        (TEXT.replace(b"120", b"12,0"), "facet 3: '12,0' where a number belongs"),
        (TEXT.replace(b"120", b"1" * 41), "where a number belongs"),
        (TEXT.replace(b"120", b"nan"), "facet 3: 'nan' where a number belongs"),
        (TEXT.replace(b"120", "१२०".encode()), "where a number belongs"),
    ],
)
def test_damaged_text_is_refused(text, found):
    assert found in refusal(text).found
