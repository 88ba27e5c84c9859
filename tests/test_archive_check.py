"""A check of an archive as a user calls it: a report or a plain refusal, whatever a folder holds."""

import json
import os
import resource
import socket
import subprocess
import sys
import zipfile
from hashlib import sha512
from pathlib import Path

import pytest
from archive.archived import an_archive, sealed_as_it_lies
from archive.bags import by_bagit, files_of, put, sealed
from archive.tampering import altered
from called import Called, called, called_apart

from routeviz.archive import bag_opening

Capture = pytest.CaptureFixture[str]
DRAWERS = ("pyvista", "fpdf", "PIL", "ezdxf", "openpyxl", "bagit", "csvw")
HOLDS = (0, "")  # exit code, and what is told on the error stream


@pytest.fixture(scope="module")
def archive(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return an_archive(tmp_path_factory.mktemp("made"))


@pytest.fixture
def folder(archive: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy that may be changed, beside the call."""
    for path in files_of(archive):
        put(tmp_path / "old" / path.relative_to(archive), path.read_bytes())
    monkeypatch.chdir(tmp_path)
    return tmp_path / "old"


def checked(capsys: Capture, folder: Path | str) -> Called:
    return called(capsys, "archive", "--check", folder)


# ── what is said ─────────────────────────────────────────────────────────────────────────────────
def test_what_holds_is_said_question_by_question(folder: Path, capsys: Capture) -> None:
    left = checked(capsys, "old")
    assert (left.code, left.err) == HOLDS
    sealed_count = len(files_of(folder)) - 1
    assert f"fixity: {sealed_count} files, all as they were sealed\n" in left.out
    assert left.out.endswith("\nold holds\n")


def test_a_changed_byte_is_said_with_the_file_and_what_to_do(folder: Path, capsys: Capture) -> None:
    guide = folder / "data/README.txt"
    with altered(guide, guide.read_bytes()[:-1] + b"!"):
        left = checked(capsys, "old")
    assert (left.code, left.err) == (1, "")
    assert (
        "\n  data/README.txt: not as it was sealed: its sha512 is not the one listed in manifest-sha512.txt"
        in left.out
    )
    assert "    remedy: fetch the archive anew from where it came, or from another copy of it\n" in left.out
    assert "old does not hold: fixity" in left.out


def test_the_same_is_said_as_json(folder: Path, capsys: Capture) -> None:
    (folder / "data/README.txt").unlink()
    left = called(capsys, "archive", "--check", "old", "--json")
    told = json.loads(left.out)
    answers = {one["about"]: one for one in told["answers"]}
    assert (left.code, left.err, told["folder"], told["holds"]) == (1, "", "old", False)
    assert {one["file"] for one in answers["fixity"]["problems"]} == {"bag-info.txt", "data/README.txt"}
    assert list(answers) == [
        "bag",
        "fixity",
        "archive",
        "documents",
        "tables",
        "description",
        "recomputation",
    ]


def test_a_bag_of_another_program_has_its_fixity_told(tmp_path: Path, capsys: Capture) -> None:
    left = checked(capsys, by_bagit(tmp_path))
    assert left.code == 1
    assert "fixity: 9 files, all as they were sealed" in left.out  # five, and four tag files
    assert "a bag, but not a routeviz archive" in left.out


# ── what is no bag ───────────────────────────────────────────────────────────────────────────────
def test_what_is_no_archive_is_refused_in_one_message(folder: Path, tmp_path: Path, capsys: Capture) -> None:
    with zipfile.ZipFile(tmp_path / "old.zip", "w") as packed:
        packed.write(folder / "bagit.txt")
    (tmp_path / "empty").mkdir()
    for name, says in [
        (
            "old.zip",
            "old.zip: a zip file, not a folder\n  allowed: the folder of an archive\n  remedy: unpack it",
        ),
        ("nowhere", "nowhere: cannot be looked at: No such file or directory\n"),
        ("empty", "empty: not an archive: there is no bagit.txt, and no list of sums\n"),
        (".", "  remedy: did you mean old?\n"),
    ]:
        left = checked(capsys, name)
        assert (left.code, left.out) == (2, ""), name
        assert says in left.err
        assert left.err.count("remedy: ") == 1


# ── hostile folders ──────────────────────────────────────────────────────────────────────────────
def test_nothing_outside_is_read_written_or_asked_for(
    folder: Path, tmp_path: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    secret = put(tmp_path / "secret", b"secret")
    (folder / "data/pictures/link.png").symlink_to(secret)
    (folder / "data/drawings").rename(tmp_path / "drawings")
    (folder / "data/drawings").symlink_to(tmp_path / "drawings")
    os.mkfifo(folder / "data/source/pipe.toml")
    put(folder / "fetch.txt", b"https://example.org/a.txt 3 data/a.txt\n")
    before = {path: path.lstat() for path in tmp_path.rglob("*")}
    secret.chmod(0)

    def refuse(*_words: object, **_more: object) -> None:
        raise AssertionError("somebody was called")

    monkeypatch.setattr(socket, "socket", refuse)
    left = checked(capsys, "old")
    assert (left.code, left.err) == (1, "")
    assert left.out.count("a link to another place; it was not followed") == 2
    assert "data/source/pipe.toml: neither a file nor a folder" in left.out
    assert "nothing was fetched" in left.out
    same = {path: (now.st_mtime_ns, now.st_size) for path in tmp_path.rglob("*") for now in [path.lstat()]}
    assert same == {path: (was.st_mtime_ns, was.st_size) for path, was in before.items()}


def test_names_that_would_command_a_terminal_are_spelt_out(folder: Path, capsys: Capture) -> None:
    put(folder / "data/\x1b[31mred\n\u202e.txt", b"")
    put(Path(os.fsdecode(bytes(folder) + b"/data/\xff.txt")), b"")
    left = checked(capsys, "old")
    assert left.code == 1
    assert "data/\\x1b[31mred\\n\\u202e.txt: added" in left.out
    assert "data/\\udcff.txt: added" in left.out
    assert all(line.isprintable() for line in left.out.split("\n"))
    told = json.loads(called(capsys, "archive", "--check", "old", "--json").out)
    assert "data/\\udcff.txt" in [one["file"] for one in told["answers"][1]["problems"]]


def test_a_huge_file_that_was_sealed_is_read_but_never_held(tmp_path: Path) -> None:
    long = 400_000_000
    folder = sealed(tmp_path / "bag")
    whole = sha512()
    for _ in range(long // 1_000_000):
        whole.update(bytes(1_000_000))
    with (folder / "data/scan.e57").open("wb") as file:
        file.truncate(long)
    manifest = folder / "manifest-sha512.txt"
    manifest.write_text(f"{manifest.read_text()}{whole.hexdigest()}  data/scan.e57\n")
    octets = sum(path.stat().st_size for path in (folder / "data").rglob("*") if path.is_file())
    put(folder / "bag-info.txt", f"Payload-Oxum: {octets}.6\n".encode())
    (folder / "tagmanifest-sha512.txt").unlink()
    look = (
        "import sys; from pathlib import Path; from routeviz.archive.bag_opening import opened\n"
        "from routeviz.archive.fixity import fixity, form\n"
        "bag = opened(Path(sys.argv[1]), lambda one: False); print(form(bag).holds, fixity(bag).says)"
    )

    def little_memory() -> None:
        resource.setrlimit(resource.RLIMIT_AS, (long // 2, long // 2))

    left = subprocess.run(
        [sys.executable, "-c", look, folder],
        capture_output=True,
        text=True,
        check=False,
        preexec_fn=little_memory,
    )
    assert (left.stdout, left.stderr) == ("True 6 files, all as they were sealed\n", "")


def test_many_large_documents_are_not_all_held(
    folder: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(bag_opening, "MOST_HELD", 1_500_000)
    for number in range(3):
        put(folder / f"data/tables/{number}.json", b" " * 600_000 + b"{}")
    sealed_as_it_lies(folder)
    left = checked(capsys, "old")
    assert left.code == 1
    assert "MB, too large to be looked into" in left.out


def test_a_scene_that_cannot_be_taken_out_for_want_of_room_is_no_fault_of_the_archive(folder: Path) -> None:
    def no_room() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (100, 100))

    left = subprocess.run(
        [sys.executable, "-c", "from routeviz.cli import main; main()", "archive", "--check", folder],
        capture_output=True,
        text=True,
        check=False,
        preexec_fn=no_room,
    )
    assert (left.returncode, left.stdout) == (2, "")
    assert "cannot be written" in left.stderr


def test_an_archive_is_checked_in_a_process_of_its_own_without_what_draws(
    folder: Path, tmp_path: Path
) -> None:
    put(
        tmp_path / "sitecustomize.py",
        f"import sys; sys.modules.update(dict.fromkeys({DRAWERS}))".encode(),
    )
    left = called_apart("archive", "--check", folder, folder=tmp_path, settings={"PYTHONPATH": str(tmp_path)})
    assert (left.returncode, left.stderr) == (0, "")
