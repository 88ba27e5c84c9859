"""The sheets as a user has them made: what is printed and written, whatever a scene or a disk lacks."""

import json
import os
import resource
import signal
from datetime import UTC, datetime
from pathlib import Path

import pytest
from builders import a_scene, with_box, with_nipple, with_tube, written
from called import called, called_apart
from printed import texts
from verdicts import a_tube_up

from routeviz import writing

# A tube straight up, 5.56 outside, so its wall is 2.78 from its centreline; the rail begins 3.78 from it:
# 1 mm is free, and 2 mm are wanted to what stands still. Held at both ends over 100 mm it hardly hangs.
FAULT = a_scene(a_tube_up(long=100), with_box("rail", (3.78, -20, 40), (10, 40, 20)))
CLEAN = a_scene(a_tube_up(long=100), with_box("rail", (33.78, -20, 40), (10, 40, 20)))
BROKEN = a_scene(a_tube_up(long=100), with_box("rail", (0, 0, 0), (-1, 1, 1)))
UNDRAWN = a_scene(
    with_nipple("low", (0, 0, 0), outside=4.5),
    with_nipple("high", (0, 0, 300), "down", outside=4.5),
    with_tube("low 1", "high 1"),
)
PDF = "scene-sheets/scene-sheets.pdf"

Capture = pytest.CaptureFixture[str]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)
    return tmp_path


def contents(folder: Path) -> dict[str, bytes]:
    """All files of a folder, with what they hold."""
    return {one.name: one.read_bytes() for one in folder.iterdir()}


def test_a_set_is_written_into_a_folder_beside_the_call_and_said(folder: Path, capsys: Capture) -> None:
    written(folder, CLEAN)
    left = called(capsys, "sheets", "scene.toml")
    size = round((folder / PDF).stat().st_size / 1000)
    count = len(os.listdir(folder / "scene-sheets")) - 1
    assert (left.code, left.err) == (0, "")
    assert left.out == (
        "no faults in 1 tube\n"
        f"wrote {PDF} ({size} kB), and {count} tables and drawings\n"
        "print it at 100 %, not fitted to the paper, and measure the 100 mm line\n"
    )
    assert texts((folder / PDF).read_bytes())[0].startswith("Before you begin A small case")
    assert sorted(os.listdir(folder)) == ["scene-sheets", "scene.toml"]


def test_a_tube_at_fault_is_on_the_list_marked_and_the_code_says_so(folder: Path, capsys: Capture) -> None:
    written(folder, FAULT)
    left = called(capsys, "sheets", "scene.toml", "--into", "there")
    assert left.code == 1
    assert "1 tube stands on the lists marked: not to be laid or at fault\n" in left.out
    assert "routeviz explain touch" in left.out
    pages = texts((folder / "there" / "scene-sheets.pdf").read_bytes())
    (listed,) = [page for page in pages if page.startswith("Tube list")]
    assert "fault 1" in listed
    assert "One fault was found" in pages[0]


def test_the_same_scene_makes_the_same_files_in_another_process(folder: Path) -> None:
    written(folder, FAULT)
    made = []
    for seed in (
        "1",
        "4",
    ):  # with these a set of kinds of things in a drawing is gone through in another order
        called_apart("sheets", "scene.toml", folder=folder, settings={"PYTHONHASHSEED": seed})
        made.append(contents(folder / "scene-sheets"))
    assert made[0] == made[1]
    assert len(made[0]) > 10


def test_the_date_of_the_environment_is_printed(
    folder: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    written(folder, CLEAN)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", str(int(datetime(2026, 3, 14, 12, tzinfo=UTC).timestamp())))
    called(capsys, "sheets", "scene.toml")
    assert "2026-03-14" in texts((folder / PDF).read_bytes())[0]
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "yesterday")
    left = called(capsys, "sheets", "scene.toml")
    assert left.code == 2
    assert left.err == (
        "routeviz: SOURCE_DATE_EPOCH: 'yesterday'\n  allowed: whole seconds since 1970\n"
        "  remedy: correct it, or leave it out\n"
    )


def test_what_was_written_is_told_to_a_machine(folder: Path, capsys: Capture) -> None:
    written(folder, FAULT)
    left = called(capsys, "sheets", "scene.toml", "--json")
    said = json.loads(left.out)
    assert left.code == 1
    assert {one["name"]: one["bytes"] for one in said["files"]} == {
        name: len(content) for name, content in contents(folder / said["folder"]).items()
    }
    assert [(one["tube"], one["because"].split(":")[0]) for one in said["marked"]] == [("a", "fault 1")]
    assert said["tubes"] == 1


@pytest.mark.parametrize(
    ("words", "wide"),
    [(["--paper", "a4"], 210.0), (["--paper", "letter"], 215.9), (["--paper", "LETTER"], 215.9)],
)
def test_paper_is_chosen(words: list[str], wide: float, folder: Path, capsys: Capture) -> None:
    from printed import MM, opened

    written(folder, CLEAN)
    assert called(capsys, "sheets", "scene.toml", *words).code == 0
    page = opened((folder / PDF).read_bytes())[0]
    assert page.get_size()[0] * MM == pytest.approx(wide, abs=0.01)


def test_inches_first_trim_and_side_are_heard(folder: Path, capsys: Capture) -> None:
    written(folder, CLEAN)
    words = ["--units", "in", "--trim", "1 in", "--worker", "back"]
    assert called(capsys, "sheets", "scene.toml", *words).code == 0
    pages = texts((folder / PDF).read_bytes())
    (listed,) = [page for page in pages if page.startswith("Tube list")]
    # 100 mm, 11 mm over each of two nipples, 25.4 mm of trim: 147.4 mm or 5.803 in, up to the next 1/16.
    assert "5 13/16 148" in listed
    assert any("Seen from the back" in page for page in pages)


def test_a_scene_in_inches_has_inches_first(folder: Path, capsys: Capture) -> None:
    written(folder, CLEAN.replace('units = "mm"', 'units = "in"'))
    called(capsys, "sheets", "scene.toml")
    pages = texts((folder / PDF).read_bytes())
    (listed,) = [page for page in pages if page.startswith("Tube list")]
    assert listed.index("length, in") < listed.index("length, mm")


def test_everything_that_is_wrong_with_a_call_is_said_at_once(folder: Path, capsys: Capture) -> None:
    written(folder, CLEAN)
    left = called(capsys, "sheets", "scene.toml", "--paper", "a3", "--trim", "long", "--worker", "leaned")
    assert (left.code, left.out) == (2, "")
    for option in ("routeviz: --paper: ", "routeviz: --trim: ", "routeviz: --worker: "):
        assert left.err.count(option) == 1
    assert not (folder / "scene-sheets").exists()


# ── scenes that are not ready ────────────────────────────────────────────────────────────────────
def test_without_a_plan_the_command_to_run_is_said(folder: Path, capsys: Capture) -> None:
    written(folder, UNDRAWN)
    left = called(capsys, "sheets", "scene.toml")
    assert (left.code, left.out) == (2, "")
    assert "remedy: routeviz plan scene.toml\n" in left.err
    assert os.listdir(folder) == ["scene.toml"]


def test_a_stale_plan_is_refused_and_an_old_set_stays(folder: Path, capsys: Capture) -> None:
    written(folder, UNDRAWN)
    called(capsys, "plan", "scene.toml")
    assert called(capsys, "sheets", "scene.toml").code == 0
    before = contents(folder / "scene-sheets")
    written(folder, UNDRAWN.replace("least_bend = 22.0", "least_bend = 23.0"))
    left = called(capsys, "sheets", "scene.toml")
    assert left.code == 2
    assert "stale" in left.err
    assert "remedy: routeviz plan scene.toml\n" in left.err
    assert contents(folder / "scene-sheets") == before


def test_the_survey_form_of_a_scene_without_a_plan_is_made_alone(folder: Path, capsys: Capture) -> None:
    written(folder, UNDRAWN)
    left = called(capsys, "sheets", "scene.toml", "--survey")
    assert os.listdir(folder / "scene-sheets") == ["scene-survey.pdf"]
    assert "wrote scene-sheets/scene-survey.pdf" in left.out
    assert texts((folder / "scene-sheets" / "scene-survey.pdf").read_bytes())[0].startswith("Survey form")


def test_a_scene_that_cannot_be_used_is_told_as_check_does(folder: Path, capsys: Capture) -> None:
    written(folder, BROKEN)
    left, checked = called(capsys, "sheets", "scene.toml"), called(capsys, "check", "scene.toml")
    assert (left.code, left.out, left.err) == (2, "", checked.err)


# ── writing that fails ───────────────────────────────────────────────────────────────────────────
@pytest.mark.parametrize("step", ["write", "fsync", "replace", "fsync late"])
def test_a_set_that_cannot_be_written_leaves_the_old_one_whole(
    step: str, folder: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    written(folder, CLEAN)
    called(capsys, "sheets", "scene.toml")
    before = contents(folder / "scene-sheets")
    written(folder, FAULT)
    calls = []

    def fail(*_anything: object) -> None:
        calls.append(step)
        if step != "fsync late" or len(calls) > 9:
            raise OSError(28, "No space left on device")

    old, heard = resource.getrlimit(resource.RLIMIT_FSIZE), signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    if step == "write":
        resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, old[1]))
    else:
        monkeypatch.setattr(writing.os, step.split()[0], fail)
    try:
        left = called(capsys, "sheets", "scene.toml")
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, old)
        signal.signal(signal.SIGXFSZ, heard)
    assert left.code == 2
    assert "cannot be written" in left.err
    assert "nothing was changed" in left.err
    assert contents(folder / "scene-sheets") == before


def test_a_folder_that_is_a_file_and_a_file_that_is_a_folder_are_refused(
    folder: Path, capsys: Capture
) -> None:
    written(folder, CLEAN)
    (folder / "file").write_text("dear to someone")
    left = called(capsys, "sheets", "scene.toml", "--into", "file")
    assert left.code == 2
    assert (folder / "file").read_text() == "dear to someone"
    (folder / "scene-sheets" / "scene-tags.csv").mkdir(parents=True)
    left = called(capsys, "sheets", "scene.toml")
    assert left.code == 2
    assert left.err.startswith("scene-sheets/scene-tags.csv: a folder stands in the place of a file")
    assert os.listdir(folder / "scene-sheets") == ["scene-tags.csv"]
