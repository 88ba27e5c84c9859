"""Pictures in an archive: PNG files of the whole, bare of anything else; or a sentence that says why none."""

import io
import re
import struct
import zlib
from pathlib import Path

import numpy as np
import pytest
from builders import a_scene, with_box, written
from PIL import Image, PngImagePlugin
from verdicts import a_tube_up

from routeviz.archive.pictures import SIZE, Pictures, bared, pictures_of
from routeviz.lay import Lay
from routeviz.pipeline import check_scene


@pytest.fixture(scope="module")
def lay(tmp_path_factory: pytest.TempPathFactory) -> Lay:
    box = with_box("board", (0, 200, 0), (300, 20, 100))
    return check_scene(
        written(tmp_path_factory.mktemp("case"), a_scene(box, a_tube_up(), title="A small case"))
    )


@pytest.fixture(scope="module")
def pictures(lay: Lay) -> Pictures:
    return pictures_of(lay)


def chunks(content: bytes) -> list[tuple[bytes, bytes]]:
    """The pieces of a PNG file (ISO/IEC 15948, 5.3), each with its check sum tried."""
    found, at = [], 8
    while at < len(content):
        (length,) = struct.unpack_from(">I", content, at)
        kind, data = content[at + 4 : at + 8], content[at + 8 : at + 8 + length]
        assert zlib.crc32(kind + data) == struct.unpack_from(">I", content, at + 8 + length)[0]
        found.append((kind, data))
        at += length + 12
    return found


def test_the_whole_is_shown_from_two_sides_each_with_a_caption(pictures: Pictures) -> None:
    assert list(pictures.files) == ["overview.png", "front.png"]
    assert pictures.captions["front.png"] == "A small case. From the front."
    assert pictures.captions.keys() == pictures.files.keys()
    assert pictures.missing == ""
    for content in pictures.files.values():
        image = Image.open(io.BytesIO(content))
        assert image.size == SIZE
        assert (np.asarray(image.convert("L")) < 250).mean() > 0.02  # something is drawn


def test_a_picture_holds_nothing_but_itself_and_is_the_same_each_time(lay: Lay, pictures: Pictures) -> None:
    assert pictures_of(lay).files == pictures.files
    for content in pictures.files.values():
        assert {kind for kind, _ in chunks(content)} == {b"IHDR", b"IDAT", b"IEND"}


def test_what_a_file_tells_beside_its_picture_is_left_out() -> None:
    told, file = PngImagePlugin.PngInfo(), io.BytesIO()
    told.add_text("Author", "somebody at some machine")
    image = Image.fromarray(np.arange(300, dtype=np.uint8).reshape(10, 10, 3))
    image.save(file, "png", pnginfo=told, dpi=(300, 300))
    bare = bared(file.getvalue())
    assert b"somebody" in file.getvalue()
    assert [kind for kind, _ in chunks(bare)] == [b"IHDR", b"IDAT", b"IEND"]
    assert np.array_equal(np.asarray(Image.open(io.BytesIO(bare))), np.asarray(image))


def test_where_no_picture_can_be_drawn_a_sentence_says_so(
    lay: Lay, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("__EGL_VENDOR_LIBRARY_FILENAMES", str(tmp_path / "none"))
    monkeypatch.setenv("VTK_DEFAULT_OPENGL_WINDOW", "vtkEGLRenderWindow")
    none = pictures_of(lay)
    assert (none.files, none.captions) == ({}, {})
    assert re.fullmatch(r"[A-Z].*\bcould not draw pictures\b.*\.", none.missing)
