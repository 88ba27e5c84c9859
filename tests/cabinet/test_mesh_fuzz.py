"""Whatever the bytes, a mesh file is read or refused: no other error, no warning, no long wait.

tests/experiments/fuzz_meshes.py does the same guided by coverage, as long as wanted.
"""

import time

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from mesh_files import SIDES, WRITERS, box
from mesh_reading import surface

from routeviz.cabinet.meshes import CLAIMS, MeshError, plain, read_mesh

BOX = box(120, 80, 30)
FILES = {kind: (name, write(BOX, SIDES)) for kind, (name, write) in WRITERS.items()}
SECONDS = 5.0  # a file of a few kilobytes takes milliseconds

# What headers, counts and numbers are made of.
WORDS = [
    b"\xff\xff\xff\xff", b"\0\0\0\0", b"\0\0\xc0\x7f", b"\0\0\x80\x7f", b"\1\0\x80\x7f", b"nan",
    b"-1", b"1e999", b"4294967295", b"\n", b" ", b"/", b"#", b"f 1 2 3\n", b"v 1 2 3\n",
    b"facet normal", b"endsolid", b"solid ", b"element face 9\n",
    b"property list uchar int vertex_index\n", b"end_header\n", b"null", b"[]", b"{}", b'"mesh":0',
    b"9" * 60,
]  # fmt: skip


@st.composite
def damaged(draw, data: bytes) -> bytes:
    """A file with pieces overwritten, inserted, cut out or doubled."""
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, len(data)))
        piece = draw(st.sampled_from(WORDS) | st.binary(max_size=8))
        to = min(len(data), at + draw(st.integers(0, 40)))
        change = draw(st.sampled_from(["overwrite", "insert", "cut", "double"]))
        behind = {"overwrite": at + len(piece), "insert": at, "cut": to, "double": at}[change]
        between = {"overwrite": piece, "insert": piece, "cut": b"", "double": data[at:to]}[change]
        data = data[:at] + between + data[behind:]
    return data


def is_read_or_refused(suffix: str, data: bytes) -> bool:
    """Whether a file is read; what it holds then is checked here."""
    start = time.perf_counter()
    try:
        mesh = surface(data, suffix)
    except MeshError as error:
        mesh, refusal = None, error
    assert time.perf_counter() - start < SECONDS
    if mesh is None:
        assert all(text and text.isprintable() for text in (refusal.found, refusal.allowed, refusal.remedy))
        return False
    assert np.isfinite(mesh.vertices_mm).all()
    assert 0 < len(mesh.triangles) <= 500_000
    assert set(mesh.triangles.ravel().tolist()) <= set(range(len(mesh.vertices_mm)))
    return True


@pytest.mark.parametrize("kind", FILES)
def test_every_example_is_read_undamaged(kind):
    name, data = FILES[kind]
    assert is_read_or_refused(name[-3:], data)


@pytest.mark.parametrize("suffix", [suffix[1:] for suffix in CLAIMS])
@given(data=st.binary(max_size=400))
@example(data=b"")
@settings(max_examples=50, deadline=None)
def test_random_bytes_are_refused(suffix, data):
    assert not is_read_or_refused(suffix, data)


@pytest.mark.parametrize("kind", FILES)
@given(draw=st.data())
@settings(max_examples=100, deadline=None)
def test_damaged_files_are_read_or_refused(kind, draw):
    name, data = FILES[kind]
    is_read_or_refused(name[-3:], draw.draw(damaged(data)))


@pytest.mark.parametrize("kind", ["ASCII STL", "OBJ", "ASCII PLY"])
@given(
    lines=st.lists(st.lists(st.sampled_from(WORDS) | st.text("0123456789.-+e /", max_size=6).map(str.encode)))
)
@settings(max_examples=50, deadline=None)
def test_text_of_the_formats_own_words_is_read_or_refused(kind, lines):
    name, data = FILES[kind]
    body = b"\n".join(b" ".join(line) for line in lines)
    is_read_or_refused(name[-3:], data[: len(data) // 2] + b"\n" + body)


@given(path_text=st.text() | st.text("./\\:~abc\0\n"))
@example(path_text="..")
@settings(max_examples=200, deadline=None)
def test_no_text_for_a_path_does_anything_but_name_a_missing_file(path_text, tmp_path_factory):
    folder = tmp_path_factory.getbasetemp()
    with pytest.raises(MeshError) as caught:
        read_mesh(path_text + ".stl", folder=folder, unit_mm=1.0)
    assert caught.value.found.startswith(plain(path_text + ".stl"))
    assert caught.value.found.isprintable()
