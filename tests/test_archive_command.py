"""The archive as a user has it made: what is printed and written, whatever a scene or a disk lacks."""

import json
import os
from datetime import UTC, datetime
from pathlib import Path

import bagit
import pytest
from builders import a_scene, with_box, with_nipple, with_tube, written
from called import called
from recorded import a_recorded_scene, with_record
from verdicts import a_tube_up

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
