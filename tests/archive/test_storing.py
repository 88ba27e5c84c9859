"""A bag comes to be on the disk whole or not at all, never over what stands there; nothing is left behind."""

import errno
import os
import resource
import signal
import stat
import subprocess
import sys
import textwrap
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import bagit
import pytest
from archive.deposits import FULL, NOTE, PHOTO, with_evidence
from builders import written
from recorded import a_recorded_scene

from routeviz.archive import storing
from routeviz.archive.evidence import EvidenceError, exhibits_of
from routeviz.archive.storing import refuse_what_is_there, store
from routeviz.scene.reading import read_scene
from routeviz.writing import WritingError

MADE = {"README.txt": b"Read this.\n", "tables/tubes.csv": b"name\r\na\r\n", "models/case.glb": bytes(5000)}
INFO = (("External-Identifier", "TM 1"),)


def exhibits(folder: Path):
    with_evidence(folder)
    return exhibits_of(read_scene(written(folder, a_recorded_scene(**FULL))))


def left_in(folder: Path) -> list[str]:
    return sorted(os.listdir(folder))


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """An empty folder in which a bag may be put."""
    (tmp_path / "there").mkdir()
    return tmp_path / "there"


def test_a_bag_is_whole_and_evidence_in_it_is_untouched(tmp_path, place):
    payload = store(place / "a-bag", MADE, exhibits(tmp_path), INFO)
    bagit.Bag(str(place / "a-bag")).validate()
    inside = place / "a-bag" / "data"
    assert {path: (inside / path).read_bytes() for path in payload} == {
        **MADE,
        "evidence/photos/bass-end.jpg": PHOTO,
        "evidence/notes/page-1.txt": NOTE,
    }
    assert left_in(place) == ["a-bag"]


def test_folders_above_are_made_and_rights_are_those_of_new_files(place):
    before = os.umask(0o027)
    try:
        store(place / "x" / "y" / "a-bag", MADE, (), INFO)
    finally:
        os.umask(before)
    bag = place / "x" / "y" / "a-bag"
    assert bag.stat().st_mode & 0o777 == 0o750
    assert (bag / "bagit.txt").stat().st_mode & 0o777 == 0o640


def in_place_of_a_bag(folder: Path, what: str) -> None:
    if what == "an empty folder":
        folder.mkdir()
    elif what == "a file":
        folder.write_bytes(b"dear")
    elif what == "a link that leads nowhere":
        folder.symlink_to("nowhere")
    else:
        folder.mkdir()
        (folder / "dear.txt").write_bytes(b"dear")


@pytest.mark.parametrize("what", ["an empty folder", "a folder", "a file", "a link that leads nowhere"])
def test_what_is_there_is_never_written_over(place, what):
    in_place_of_a_bag(place / "a-bag", what)
    before = os.lstat(place / "a-bag")
    for refused in (
        lambda: refuse_what_is_there(place / "a-bag"),
        lambda: store(place / "a-bag", MADE, (), INFO),
    ):
        with pytest.raises(WritingError, match="is there already, and was left as it is") as caught:
            refused()
        assert "--into" in str(caught.value)
    assert os.lstat(place / "a-bag") == before
    assert left_in(place) == ["a-bag"]


@pytest.mark.parametrize("what", ["an empty folder", "a folder", "a file", "a link that leads nowhere"])
def test_what_comes_there_meanwhile_is_not_written_over_either(place, what, monkeypatch):
    naming = storing._named

    def late(aside: Path, folder: Path) -> None:
        in_place_of_a_bag(folder, what)
        naming(aside, folder)

    monkeypatch.setattr(storing, "_named", late)
    with pytest.raises(WritingError, match="is there already, and was left as it is"):
        store(place / "a-bag", MADE, (), INFO)
    assert left_in(place) == ["a-bag"]
    assert not (place / "a-bag" / "bagit.txt").exists()


@pytest.mark.parametrize(
    ("call", "time"),
    [("fsync", 1), ("fsync", 4), ("fsync", 9), ("rename", 1), ("mkdir", 2), ("mkdir", 3), ("mkdir", 5)],
)
def test_whatever_fails_leaves_nothing_behind(place, monkeypatch, call, time):
    real, calls = getattr(os, call), []

    def failing(*arguments, **more):
        calls.append(arguments)
        if len(calls) == time:
            raise OSError(errno.ENOSPC, "No space left on device")
        return real(*arguments, **more)

    monkeypatch.setattr(os, call, failing)
    with pytest.raises(WritingError, match="No space left on device") as caught:
        store(place / "a-bag", MADE, (), INFO)
    assert "nothing is left of it" in str(caught.value)
    assert left_in(place) == []


@contextmanager
def room_for(size: int) -> Iterator[None]:
    """Let no file become larger, as on a full disk."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    handled = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
        signal.signal(signal.SIGXFSZ, handled)


def test_a_disk_that_forces_no_folders_takes_a_bag_too(place, monkeypatch):
    whole = os.fsync

    def files_alone(handle: int) -> None:
        if stat.S_ISDIR(os.fstat(handle).st_mode):
            raise OSError(errno.EINVAL, "Invalid argument")
        whole(handle)

    monkeypatch.setattr(os, "fsync", files_alone)
    store(place / "a-bag", MADE, (), INFO)
    bagit.Bag(str(place / "a-bag")).validate()
    assert left_in(place) == ["a-bag"]


def test_a_disk_without_room_leaves_nothing_behind(place):
    with room_for(4000), pytest.raises(WritingError, match="File too large"):
        store(place / "a-bag", MADE, (), INFO)
    assert left_in(place) == []


def test_evidence_that_changes_meanwhile_leaves_nothing_behind(tmp_path, place):
    some = exhibits(tmp_path)
    (tmp_path / "notes/page 1.txt").write_bytes(b"other")
    with pytest.raises(EvidenceError):
        store(place / "a-bag", MADE, some, INFO)
    assert left_in(place) == []


def test_a_folder_that_may_not_be_written_is_told(place, monkeypatch):
    def forbidden(path, *rest, **more):
        raise PermissionError(errno.EACCES, "Permission denied", str(path))

    monkeypatch.setattr(os, "mkdir", forbidden)
    with pytest.raises(WritingError, match="Permission denied") as caught:
        store(place / "a-bag", MADE, (), INFO)
    assert "choose with --into a place that you may write to" in str(caught.value)


def test_an_interrupt_leaves_nothing_behind(place, monkeypatch):
    def interrupted(_handle):
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupted)
    with pytest.raises(KeyboardInterrupt):
        store(place / "a-bag", MADE, (), INFO)
    assert left_in(place) == []


KILLED = """
    import os, sys, time
    from pathlib import Path
    from routeviz.archive import storing
    forced = []
    def late(handle):
        forced.append(handle)
        if len(forced) == 3:
            print("writing", flush=True)
            time.sleep(60)
    os.fsync = late
    storing.store(Path(sys.argv[1]), {f"a{k}.txt": bytes(1000) for k in range(5)}, (), ())
"""


@pytest.mark.parametrize("ended_by", [signal.SIGKILL, signal.SIGINT])
def test_what_is_ended_from_outside_leaves_no_half_bag(place, ended_by):
    words = [sys.executable, "-c", textwrap.dedent(KILLED), str(place / "a-bag")]
    with subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True) as running:
        assert running.stdout is not None
        assert running.stdout.readline() == "writing\n"
        running.send_signal(ended_by)
    assert not (place / "a-bag").exists()
    hidden = left_in(
        place
    )  # what is killed has no time to take away what it began; it is no bag, and is hidden
    assert (
        (len(hidden) == 0)
        if ended_by == signal.SIGINT
        else all(name.startswith(".a-bag-") for name in hidden)
    )
    store(place / "a-bag", MADE, (), INFO)
    bagit.Bag(str(place / "a-bag")).validate()
