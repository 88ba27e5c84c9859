"""Files are written whole or not at all: who kills the writer finds the old content or the new, no half."""

import errno
import os
import random
import resource
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from routeviz.writing import WritingError, made_folder, write_whole

OLD, NEW = b"old\n" * 10_000, b"new\n" * 200_000


def test_a_file_is_written_with_the_rights_that_any_new_file_gets(tmp_path: Path) -> None:
    path = tmp_path / "plan.txt"
    old_mask = os.umask(0o027)
    try:
        write_whole(path, NEW)
    finally:
        os.umask(old_mask)
    assert path.read_bytes() == NEW
    assert path.stat().st_mode & 0o777 == 0o640
    assert os.listdir(tmp_path) == ["plan.txt"]


def test_an_old_file_is_replaced_unless_it_is_to_be_kept(tmp_path: Path) -> None:
    path = tmp_path / "plan.txt"
    path.write_bytes(OLD)
    with pytest.raises(WritingError) as refused:
        write_whole(path, NEW, keep_old=True)
    assert str(refused.value) == (
        f"{path}: is there already, and was left as it is\n  remedy: choose another name, or move it away"
    )
    assert path.read_bytes() == OLD
    write_whole(path, NEW)
    assert path.read_bytes() == NEW
    assert os.listdir(tmp_path) == ["plan.txt"]


def test_a_new_file_is_alone_in_its_folder_also_where_an_old_one_would_be_kept(tmp_path: Path) -> None:
    path = tmp_path / "plan.txt"
    write_whole(path, NEW, keep_old=True)
    assert path.read_bytes() == NEW
    assert os.listdir(tmp_path) == ["plan.txt"]


def test_a_new_file_is_written_where_files_can_have_one_name_only(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(*_names: object) -> None:
        raise OSError(errno.EPERM, "Operation not permitted")

    monkeypatch.setattr(os, "link", refused)  # as on the file systems of memory sticks
    path = tmp_path / "plan.txt"
    write_whole(path, OLD, keep_old=True)
    with pytest.raises(WritingError, match="is there already"):
        write_whole(path, NEW, keep_old=True)
    assert path.read_bytes() == OLD
    assert os.listdir(tmp_path) == ["plan.txt"]


@pytest.mark.parametrize("step", ["write", "fsync", "replace"])
def test_a_step_that_fails_leaves_the_old_file_and_nothing_beside_it(
    step: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_anything: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    path = tmp_path / "plan.txt"
    path.write_bytes(OLD)
    content: bytes = NEW
    if step == "write":
        old = resource.getrlimit(resource.RLIMIT_FSIZE)
        before = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (1000, old[1]))
    else:
        monkeypatch.setattr(os, step, fail)
    try:
        with pytest.raises(WritingError) as told:
            write_whole(path, content)
    finally:
        if step == "write":
            resource.setrlimit(resource.RLIMIT_FSIZE, old)
            signal.signal(signal.SIGXFSZ, before)
    reason = "File too large" if step == "write" else "No space left on device"
    assert str(told.value) == (
        f"{path}: cannot be written ({reason}); nothing was changed\n"
        "  remedy: choose a folder that you may write to, with room on its disk"
    )
    assert path.read_bytes() == OLD
    assert os.listdir(tmp_path) == ["plan.txt"]


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    path = tmp_path / "benches" / "plan.txt"
    with pytest.raises(WritingError) as told:
        write_whole(path, NEW)
    assert str(told.value) == (
        f"{path}: there is no folder {path.parent}\n  remedy: make it first, or choose another"
    )


def test_a_folder_in_which_nothing_can_be_made_is_told() -> None:
    path = Path("/proc/plan.txt")
    with pytest.raises(WritingError, match=r"^/proc/plan\.txt: cannot be written \("):
        write_whole(path, NEW)


def test_a_folder_is_made_with_those_above_it_and_may_be_there(tmp_path: Path) -> None:
    folder = tmp_path / "a" / "b"
    assert made_folder(folder) == folder
    assert made_folder(folder).is_dir()


def test_a_file_in_the_place_of_a_folder_is_told_and_left(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(OLD)
    with pytest.raises(WritingError, match="is there already, and was left as it is"):
        made_folder(tmp_path / "a")
    with pytest.raises(WritingError, match="cannot be written"):
        made_folder(tmp_path / "a" / "b")
    assert (tmp_path / "a").read_bytes() == OLD


WRITER = """
import sys
from pathlib import Path
from routeviz.writing import write_whole
print("ready", flush=True)
while True:
    for content in (b"old\\n" * 10_000, b"new\\n" * 200_000):
        write_whole(Path(sys.argv[1]), content)
"""


def test_a_writer_that_is_killed_leaves_the_old_file_or_the_new_one(tmp_path: Path) -> None:
    path = tmp_path / "plan.txt"
    path.write_bytes(OLD)
    moments = random.Random(11)
    seen = set()
    for _ in range(12):
        with subprocess.Popen([sys.executable, "-c", WRITER, str(path)], stdout=subprocess.PIPE) as writer:
            assert writer.stdout is not None
            assert writer.stdout.readline() == b"ready\n"
            time.sleep(moments.uniform(0.0, 0.05))
            writer.kill()
        content = path.read_bytes()
        assert content in (OLD, NEW)
        seen.add(content)
    assert seen == {OLD, NEW}


def test_a_folder_that_may_not_be_written_is_told(tmp_path: Path) -> None:
    """Rights do not bind the superuser, so the writer gives up its own first where it has them."""
    folder = tmp_path / "locked"
    folder.mkdir()
    (folder / "plan.txt").write_bytes(OLD)
    folder.chmod(0o555)
    call = """
import os, sys
from pathlib import Path
from routeviz.writing import WritingError, write_whole
if os.geteuid() == 0:
    os.setgid(65534)
    os.setuid(65534)
try:
    write_whole(Path("plan.txt"), b"new")
except WritingError as error:
    print(error)
"""
    tmp_path.chmod(0o755)
    told = subprocess.run(
        [sys.executable, "-c", call], cwd=folder, capture_output=True, text=True, check=False
    )
    folder.chmod(0o755)
    assert told.stderr == ""
    assert told.stdout == (
        "plan.txt: cannot be written (Permission denied); nothing was changed\n"
        "  remedy: choose a folder that you may write to, with room on its disk\n"
    )
    assert os.listdir(folder) == ["plan.txt"]
