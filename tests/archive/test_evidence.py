"""Files of the evidence: they go in byte for byte, and whatever cannot be taken is told, all at once."""

import errno
import io
import os
import unicodedata
from hashlib import sha512
from pathlib import Path

import pytest
from archive.deposits import FULL, NOTE, PHOTO, with_evidence
from builders import written
from recorded import a_recorded_scene

from routeviz.archive import evidence
from routeviz.archive.evidence import EvidenceError, copied, exhibits_of, names_in_bag
from routeviz.errors import SceneError
from routeviz.scene.reading import Reading, read_scene


def read(folder: Path, *files: str, kind: str = "photo") -> Reading:
    said = [{"file": file, "kind": kind, "caption": f"photo {k}"} for k, file in enumerate(files)]
    return read_scene(written(folder, a_recorded_scene(evidence=said)))


def problems(folder: Path, *files: str) -> list[str]:
    with pytest.raises(SceneError) as caught:
        exhibits_of(read(folder, *files))
    return [str(one) for one in caught.value.problems]


def line_of(folder: Path, word: str) -> int:
    lines = (folder / "scene.toml").read_text(encoding="utf-8").splitlines()
    return next(number for number, line in enumerate(lines, 1) if word in line)


def test_files_are_found_with_their_sums_and_copied_byte_for_byte(tmp_path):
    with_evidence(tmp_path)
    reading = read_scene(written(tmp_path, a_recorded_scene(**FULL)))
    photo, note = exhibits_of(reading)
    assert (photo.path, note.path) == ("evidence/photos/bass-end.jpg", "evidence/notes/page-1.txt")
    for exhibit, content in ((photo, PHOTO), (note, NOTE)):
        assert (exhibit.sum.size, exhibit.sum.sha512) == (len(content), sha512(content).hexdigest())
        file = io.BytesIO()
        copied(exhibit, file)
        assert file.getvalue() == content


def test_a_scene_without_a_record_has_none(tmp_path):
    assert exhibits_of(read_scene(written(tmp_path, "format = 1\ntitle = 'A'\nunits = 'mm'\n"))) == ()


def test_names_in_the_bag_are_told_apart(tmp_path):
    for name in ("a/x.jpg", "b/x.jpg"):
        (tmp_path / name).parent.mkdir()
        (tmp_path / name).write_bytes(name.encode())
    reading = read(tmp_path, "a/x.jpg", "b/x.jpg")
    assert reading.scene.record
    assert names_in_bag(reading.scene.record) == {
        "a/x.jpg": "evidence/photos/x.jpg",
        "b/x.jpg": "evidence/photos/x-2.jpg",
    }


def test_everything_that_cannot_be_taken_is_told_at_once_with_its_line_and_remedy(tmp_path):
    (tmp_path / "photos").mkdir()
    (tmp_path / "photos/bass.jpg").write_bytes(b"x")
    (tmp_path / "link.jpg").symlink_to("photos/bass.jpg")
    (tmp_path / "way").symlink_to("photos")
    os.mkfifo(tmp_path / "channel")
    said = problems(
        tmp_path, "photos/bas.jpg", "link.jpg", "way/bass.jpg", "photos", "channel", "photos/bass.jpg/x"
    )
    line = line_of(tmp_path, "photo 0")
    assert len(said) == 6
    assert all(one.startswith(f"{tmp_path}/scene.toml:{line}:") for one in said)
    assert all("record.evidence" in one and "\n  allowed: " in one and "\n  remedy: " in one for one in said)
    for part in (
        "no file 'photos/bas.jpg'",
        "did you mean 'bass.jpg'?",
        "'link.jpg' is a link",
        "'way' is a link",
        "a folder",
        "a device or a channel",
        "no file 'photos/bass.jpg/x'",
    ):
        assert any(part in one for one in said), part


def test_a_file_that_the_folder_spells_in_other_letters_is_found(tmp_path):
    parted = unicodedata.normalize("NFD", "höhe.jpg")
    (tmp_path / parted).write_bytes(b"x")
    (exhibit,) = exhibits_of(read(tmp_path, parted))
    assert exhibit.sum.size == 1
    assert exhibit.path == "evidence/photos/hohe.jpg"
    file = io.BytesIO()
    copied(exhibit, file)
    assert file.getvalue() == b"x"


def test_a_file_that_the_folder_spells_with_other_capitals_is_told(tmp_path):
    (tmp_path / "Bass.JPG").write_bytes(b"x")
    (said,) = problems(tmp_path, "bass.jpg")
    assert "no file 'bass.jpg'" in said
    assert "write 'Bass.JPG' as the folder spells it" in said


@pytest.mark.parametrize(
    "name", ["../x.jpg", "/etc/passwd", "a/../../x.jpg", "C:/x.jpg", "a\\..\\x.jpg", "~/x"]
)
def test_a_path_that_leads_out_of_the_folder_is_refused(tmp_path, name):
    with pytest.raises(SceneError) as caught:
        read(tmp_path, name)
    (problem,) = caught.value.problems
    assert problem.line == line_of(tmp_path, "photo 0")
    assert "record.evidence.1.file" in str(problem)


@pytest.mark.parametrize(
    "names",
    [
        ("x.jpg", "X.jpg"),
        (unicodedata.normalize("NFC", "é.jpg"), unicodedata.normalize("NFD", "é.jpg")),
        ("x", "x"),
    ],
)
def test_files_told_apart_by_case_or_form_of_letters_alone_are_refused(tmp_path, names):
    for name in names:
        (tmp_path / name).write_bytes(name.encode())
    with pytest.raises(SceneError, match=r"record.evidence.2.file"):
        read(tmp_path, *names)


def test_a_file_that_may_not_be_read_is_told(tmp_path, monkeypatch):
    (tmp_path / "x.jpg").write_bytes(b"x")
    opening = os.open

    def forbidden(path, *rest, **more):
        if str(path).endswith("x.jpg"):
            raise PermissionError(errno.EACCES, "Permission denied", str(path))
        return opening(path, *rest, **more)

    reading = read(tmp_path, "x.jpg")
    monkeypatch.setattr(evidence.os, "open", forbidden)
    with pytest.raises(SceneError, match="cannot be read: Permission denied"):
        exhibits_of(reading)


def test_a_file_that_changes_between_reading_and_copying_is_noticed(tmp_path):
    (tmp_path / "x.jpg").write_bytes(b"one")
    (exhibit,) = exhibits_of(read(tmp_path, "x.jpg"))
    (tmp_path / "x.jpg").write_bytes(b"two")
    with pytest.raises(EvidenceError, match=r"x\.jpg: was changed while it was copied"):
        copied(exhibit, io.BytesIO())


@pytest.mark.parametrize("in_its_place", ["nothing", "a link", "a channel"])
def test_a_file_that_is_replaced_meanwhile_is_not_followed(tmp_path, in_its_place):
    file = tmp_path / "x.jpg"
    file.write_bytes(b"one")
    (tmp_path / "secret").write_bytes(b"one")
    (exhibit,) = exhibits_of(read(tmp_path, "x.jpg"))
    file.unlink()
    if in_its_place == "a link":
        file.symlink_to("secret")
    elif in_its_place == "a channel":
        os.mkfifo(file)
    with pytest.raises(EvidenceError, match=r"x\.jpg: cannot be read any more"):
        copied(exhibit, io.BytesIO())


def test_a_large_file_is_read_in_pieces(tmp_path, monkeypatch):
    monkeypatch.setattr(evidence, "AT_ONCE", 1000)
    content = bytes(range(256)) * 40
    (tmp_path / "x.jpg").write_bytes(content)
    (exhibit,) = exhibits_of(read(tmp_path, "x.jpg"))
    lengths: list[int] = []

    class Counting(io.BytesIO):
        def write(self, piece):
            lengths.append(len(piece))
            return super().write(piece)

    copied(exhibit, Counting())
    assert exhibit.sum.sha512 == sha512(content).hexdigest()
    assert lengths == [1000] * 10 + [240]
