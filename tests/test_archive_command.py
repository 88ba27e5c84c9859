"""The archive as a user has it made: what is printed and written, whatever a scene or a disk lacks."""

import json
import os
import re
import resource
import signal
import socket
import sys
from datetime import UTC, datetime
from hashlib import sha512
from pathlib import Path

import bagit
import pytest
from builders import a_scene, with_box, with_nipple, with_tube, written
from called import called, called_apart
from recorded import a_recorded_scene, with_record
from verdicts import a_tube_up

from routeviz.archive import contents as contents_of_archives

Capture = pytest.CaptureFixture[str]
FOLDER = "scene-archive"
CLEAN = a_recorded_scene()
# A tube straight up, 5.56 outside, so its wall is 2.78 from its centreline; the rail begins 3.78 from it.
FAULT = a_scene(a_tube_up(long=100), with_box("rail", (3.78, -20, 40), (10, 40, 20)), with_record())
UNDRAWN = [
    with_nipple("low", (0, 0, 0), outside=4.5),
    with_nipple("high", (0, 0, 300), "down", outside=4.5),
    with_tube("low 1", "high 1"),
]
MOMENT = datetime(2026, 11, 3, 12, tzinfo=UTC)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", str(int(MOMENT.timestamp())))
    return tmp_path


def contents(folder: Path) -> dict[str, bytes]:
    """All files of a folder and below, with what they hold."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()
    }


def test_an_archive_is_written_beside_the_call_and_said(folder: Path, capsys: Capture) -> None:
    written(folder, CLEAN)
    left = called(capsys, "archive", "scene.toml")
    files = [path for path in contents(folder / FOLDER) if path.startswith("data/")]
    size = sum((folder / FOLDER / path).stat().st_size for path in files) / 1e6
    assert (left.code, left.err) == (0, "")
    assert left.out == (
        "no faults in 1 tube\n"
        f"wrote {FOLDER}: {len(files)} files, {size:.1f} MB; begin with {FOLDER}/data/README.txt\n"
        f"\nnext: routeviz archive --check {FOLDER}  tells whether it is as it was made\n"
    )
    assert sorted(os.listdir(folder)) == [FOLDER, "scene.toml"]


def test_another_reader_takes_it_for_a_whole_bag(folder: Path, capsys: Capture) -> None:
    written(folder, CLEAN)
    called(capsys, "archive", "scene.toml")
    bag = bagit.Bag(FOLDER)
    bag.validate()
    info = bag.info
    assert info["External-Identifier"] == "TM 1926.12"
    assert info["Contact-Name"] == "A. Finder"
    assert info["Bagging-Date"] == "2026-11-03"
    assert info["State-Shown"] == "as found"
    assert (folder / FOLDER / "data/source/scene.toml").read_text(encoding="utf-8") == CLEAN


def test_a_fault_is_recorded_and_stops_nothing(folder: Path, capsys: Capture) -> None:
    written(folder, FAULT)
    left = called(capsys, "archive", "scene.toml")
    assert left.code == 1
    assert "next: routeviz explain touch" in left.out
    bagit.Bag(FOLDER).validate()


def test_what_was_written_is_told_to_a_machine(folder: Path, capsys: Capture) -> None:
    written(folder, FAULT)
    left = called(capsys, "archive", "scene.toml", "--into", "there", "--json")
    said = json.loads(left.out)
    there = contents(folder / "there")
    assert {one["name"]: one["bytes"] for one in said["files"]} == {
        path: len(content) for path, content in there.items() if path.startswith("data/")
    }
    assert (said["folder"], said["shows"], said["object"]) == ("there", "as found", "TM 1926.12")
    assert (said["faults"], said["tubes"]) == (1, 1)


# ── what is missing, and what does not go together ───────────────────────────────────────────────
def test_a_scene_without_a_record_is_told_the_lines_to_add_and_they_do(folder: Path, capsys: Capture) -> None:
    text = a_scene(a_tube_up(long=100))
    written(folder, text)
    left = called(capsys, "archive", "scene.toml")
    assert left.code == 2
    assert left.err.count("remedy:") == 1
    assert "no [record]: nobody says what it shows" in left.err
    lines = [line[4:] for line in left.err.splitlines() if line.startswith("    ")]
    assert [line.split(" ")[0] for line in lines] == [
        "[record]",
        "shows",
        "on",
        "by",
        "why",
        "object",
        "rights",
    ]
    assert not (folder / FOLDER).exists()
    filled = {"shows": "as found", "on": "2026-05", "by": "A", "why": "B", "object": "C", "rights": "D"}
    told = "\n".join(lines)
    for name, words in filled.items():
        told = re.sub(rf'^({name} *= )"\.\.\."', rf'\1"{words}"', told, flags=re.MULTILINE)
    written(folder, f"{text}\n{told}")
    assert called(capsys, "archive", "scene.toml").code == 0


def test_a_line_that_nobody_filled_in_says_nothing(folder: Path, capsys: Capture) -> None:
    written(folder, a_recorded_scene(why="...", by=["A. Finder", "..."]))
    left = called(capsys, "archive", "scene.toml")
    assert left.code == 2
    assert "the record does not say by, why\n" in left.err


def test_all_that_a_record_does_not_say_is_told_at_once_with_its_line(folder: Path, capsys: Capture) -> None:
    written(folder, a_recorded_scene(shows=None, rights=None, by=None))
    left = called(capsys, "archive", "scene.toml")
    assert left.code == 2
    lines = (folder / "scene.toml").read_text(encoding="utf-8").splitlines()
    assert left.err.startswith(
        f"scene.toml:{lines.index('[record]') + 1}:2: record: the record does not say shows, by, rights\n"
    )
    assert "why" not in "".join(line for line in left.err.splitlines() if line.startswith("    "))


@pytest.mark.parametrize("shows", ["proposed", "hypothetical"])
def test_what_is_proposed_needs_a_plan(folder: Path, capsys: Capture, shows: str) -> None:
    written(folder, a_scene(*UNDRAWN, with_record(shows=shows)))
    left = called(capsys, "archive", "scene.toml")
    assert (left.code, left.out) == (2, "")
    assert left.err == (
        "scene.toml: 1 tube awaits a route, and there is no plan\n"
        "  allowed: a scene whose tubes are all drawn or taped, or one with a plan of it as it is now\n"
        "  remedy: routeviz plan scene.toml\n"
    )
    assert os.listdir(folder) == ["scene.toml"]


def test_what_is_found_is_recorded_though_nobody_knows_how_a_tube_runs(folder: Path, capsys: Capture) -> None:
    written(folder, a_scene(*UNDRAWN, with_record(shows="as found")))
    assert called(capsys, "archive", "scene.toml").code == 1
    bagit.Bag(FOLDER).validate()


def test_a_stale_plan_is_refused(folder: Path, capsys: Capture) -> None:
    written(folder, a_scene(*UNDRAWN, with_record(shows="proposed")))
    called(capsys, "plan", "scene.toml")
    assert called(capsys, "archive", "scene.toml", "--into", "fresh").code == 0
    plan = (folder / "fresh/data/source/scene.plan.json").read_bytes()
    assert plan == (folder / "scene.plan.json").read_bytes()
    moved = [with_nipple("low", (1, 0, 0), outside=4.5), *UNDRAWN[1:]]
    written(folder, a_scene(*moved, with_record(shows="proposed")))
    left = called(capsys, "archive", "scene.toml", "--into", "stale")
    assert left.code == 2
    assert "is stale" in left.err
    assert "remedy: routeviz plan scene.toml" in left.err
    assert not (folder / "stale").exists()


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ([], "Name a SCENE to be archived"),
        (["scene.toml", "--check", "there"], "leave out SCENE"),
        (["--check", "there", "--into", "here"], "leave out SCENE"),
        (["--check", "there", "--supersedes", "here"], "leave out SCENE"),
    ],
)
def test_what_does_not_go_together_is_refused(
    folder: Path, capsys: Capture, words: list[str], says: str
) -> None:
    written(folder, CLEAN)
    left = called(capsys, "archive", *words)
    assert left.code == 2
    assert says in left.err


def test_a_folder_that_is_there_is_refused_before_anything_is_reckoned(folder: Path, capsys: Capture) -> None:
    (folder / FOLDER).mkdir()
    left = called(capsys, "archive", "no such scene.toml", "--into", FOLDER)
    assert left.code == 2
    assert f"{FOLDER}: is there already, and was left as it is" in left.err
    assert os.listdir(folder / FOLDER) == []


def test_a_scene_that_changes_meanwhile_is_noticed(
    folder: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = written(folder, CLEAN)
    drawing = contents_of_archives.drawings_for

    def meanwhile(*arguments: object) -> object:
        path.write_text(CLEAN + "# more\n", encoding="utf-8")
        return drawing(*arguments)

    monkeypatch.setattr(contents_of_archives, "drawings_for", meanwhile)
    left = called(capsys, "archive", "scene.toml")
    assert left.code == 2
    assert "scene.toml: was changed while the archive was made; nothing was written" in left.err
    assert os.listdir(folder) == ["scene.toml"]


# ── older archives ───────────────────────────────────────────────────────────────────────────────
def test_an_older_archive_is_named_with_the_sum_of_its_manifest(folder: Path, capsys: Capture) -> None:
    written(folder, CLEAN)
    called(capsys, "archive", "scene.toml", "--into", "old")
    written(folder, a_recorded_scene(shows="as restored", on="2026-09-01"))
    assert called(capsys, "archive", "scene.toml", "--into", "new", "--supersedes", "old").code == 0
    manifest = sha512((folder / "old/manifest-sha512.txt").read_bytes()).hexdigest()
    info = bagit.Bag("new").info
    assert info["Supersedes-Manifest-SHA512"] == manifest
    assert (info["Supersedes-Identifier"], info["Supersedes-State-Shown"]) == ("TM 1926.12", "as found")
    assert info["Supersedes-Bagging-Date"] == "2026-11-03"
    for file in ("ro-crate-metadata.json", "ro-crate-preview.html", "tables/record.csv", "metadata/dc.xml"):
        assert manifest in (folder / "new/data" / file).read_text(encoding="utf-8"), file


def test_an_older_archive_that_is_not_as_it_was_sealed_is_refused(folder: Path, capsys: Capture) -> None:
    written(folder, CLEAN)
    called(capsys, "archive", "scene.toml", "--into", "old")
    (folder / "old/data/README.txt").write_bytes(b"other")
    left = called(capsys, "archive", "scene.toml", "--into", "new", "--supersedes", "old")
    assert left.code == 2
    assert "old: not as it was sealed, so nothing can take its place" in left.err
    assert "data/README.txt" in left.err
    assert "routeviz archive --check old" in left.err
    left = called(capsys, "archive", "scene.toml", "--into", "new", "--supersedes", "nowhere")
    assert left.code == 2
    assert not (folder / "new").exists()


# ── checked, the same again, and bare of the machine ─────────────────────────────────────────────
def test_an_archive_is_checked_and_a_changed_byte_is_told(folder: Path, capsys: Capture) -> None:
    written(folder, FAULT)
    called(capsys, "archive", "scene.toml")
    left = called(capsys, "archive", "--check", FOLDER)
    assert (left.code, left.err) == (0, "")
    assert left.out.endswith(f"\n{FOLDER} holds\n")
    table = folder / FOLDER / "data/tables/tubes.csv"
    table.write_bytes(table.read_bytes() + b"x")
    left = called(capsys, "archive", "--check", FOLDER)
    assert left.code == 1
    assert "data/tables/tubes.csv" in left.out
    assert f"{FOLDER} does not hold: " in left.out
    said = json.loads(called(capsys, "archive", "--check", FOLDER, "--json").out)
    assert not said["holds"]
    assert {one["about"]: one["answer"] for one in said["answers"]}["fixity"] == "fails"
    left = called(capsys, "archive", "--check", "nowhere")
    assert left.code == 2


def test_the_same_scene_and_date_make_the_same_bytes_in_another_process_and_place(folder: Path) -> None:
    made = []
    for seed, place in (("1", "here"), ("4", "over there")):
        (folder / place).mkdir()
        written(folder / place, FAULT)
        called_apart("archive", "scene.toml", folder=folder / place, settings={"PYTHONHASHSEED": seed})
        made.append(contents(folder / place / FOLDER))
    assert list(made[0]) != []
    assert [path for path in made[0] if made[0][path] != made[1].get(path)] == []
    assert made[0].keys() == made[1].keys()


def test_nothing_in_an_archive_tells_of_the_machine(tmp_path: Path) -> None:
    place = tmp_path / "secretplace"
    place.mkdir()
    written(place, FAULT)
    machine = {"USER": "secretuser", "LOGNAME": "secretuser", "HOSTNAME": "secrethost"}
    called_apart("archive", place / "scene.toml", "--into", place / FOLDER, folder=tmp_path, settings=machine)
    words = ("secret", str(tmp_path), str(Path.home()), socket.gethostname(), sys.prefix)
    for path, content in contents(place / FOLDER).items():
        for word in (word for word in words if len(word) > 3):  # shorter ones come by themselves
            assert word.encode() not in content, (path, word)


@pytest.mark.parametrize(
    ("name", "becomes"),
    [
        ("Größe =1+1 'x'; <b>.toml", "grosse-1-1-x-b.toml"),
        ("CON.toml", "con_.toml"),
    ],
)
def test_a_scene_may_be_called_anything(folder: Path, capsys: Capture, name: str, becomes: str) -> None:
    written(folder, CLEAN, name)
    assert called(capsys, "archive", name, "--into", "there").code == 0
    bagit.Bag("there").validate()
    assert (folder / "there/data/source" / becomes).read_text(encoding="utf-8") == CLEAN
    assert called(capsys, "archive", "--check", "there").code == 0


@pytest.mark.parametrize("name", ["right\u202eto left.toml", os.fsdecode(b"no\xfftext.toml"), "a\nb.toml"])
def test_a_name_that_no_table_could_hold_is_told(folder: Path, capsys: Capture, name: str) -> None:
    written(folder, CLEAN, name)
    left = called(capsys, "archive", name, "--into", "there")
    assert left.code == 2
    assert "has signs that cannot be printed" in left.err
    assert "remedy: rename the file" in left.err
    assert os.listdir(folder) == [name]


@pytest.mark.parametrize(("terminal", "told"), [("xterm", True), ("dumb", False)])
def test_progress_is_told_on_a_terminal_alone_and_taken_away(
    folder: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch, terminal: str, told: bool
) -> None:
    written(folder, CLEAN)
    capsys.readouterr()
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    monkeypatch.setenv("TERM", terminal)
    err = called(capsys, "archive", "scene.toml").err
    assert ("making tables, drawings and pictures" in err) == told
    assert err.rpartition("\r")[2] == ""
    assert all(not part.strip() for part in err.split("\r")[-2:])


# ── what ends it ─────────────────────────────────────────────────────────────────────────────────
def test_a_full_disk_leaves_nothing_and_is_told(folder: Path, capsys: Capture) -> None:
    written(folder, CLEAN)
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    handled = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (50_000, before[1]))
    try:
        left = called(capsys, "archive", "scene.toml")
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
        signal.signal(signal.SIGXFSZ, handled)
    assert left.code == 2
    assert f"{FOLDER}: cannot be written (File too large); nothing is left of it" in left.err
    assert os.listdir(folder) == ["scene.toml"]


def test_an_interrupt_leaves_nothing(folder: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch) -> None:
    written(folder, CLEAN)

    def interrupted(_handle: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupted)
    left = called(capsys, "archive", "scene.toml")
    assert (left.code, left.out) == (130, "")
    assert os.listdir(folder) == ["scene.toml"]
