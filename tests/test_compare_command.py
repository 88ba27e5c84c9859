"""Comparing as a user calls it: what is told and written, of scenes, plans and archives, and of bad input."""

import csv
import io
import json
import shutil
from pathlib import Path

import jsonschema
import numpy as np
import pytest
from archive.archived import an_archive
from builders import a_scene, corners_of, with_box, with_nipple, with_row, with_tube, written
from called import called, called_apart
from PIL import Image
from planned import SCENE, a_plan, a_route, planned
from verdicts import a_tube_up

from routeviz.archive.changes import SAME_MM
from routeviz.archive.changes_json import CHANGES_SCHEMA
from routeviz.tubes.plan_file import plan_beside

Capture = pytest.CaptureFixture[str]

# A tube straight up, its wall 2.78 from its centreline; 2 mm are wanted to the board, and 1 mm is there.
FAULT = a_scene(a_tube_up("a", tag="1"), with_box("board", (3.78, -20, 100), (20, 40, 20)))
MENDED = a_scene(a_tube_up("a", at=(-4, 0, 0), tag="1"), with_box("board", (3.78, -20, 100), (20, 40, 20)))


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def states(folder: Path, before: str = FAULT, after: str = MENDED) -> tuple[str, str]:
    written(folder, before, "old.toml")
    written(folder, after, "new.toml")
    return "old.toml", "new.toml"


def test_what_was_mended_and_moved_is_told_in_sentences(folder: Path, capsys: Capture) -> None:
    left = called(capsys, "compare", *states(folder))
    assert (left.code, left.err) == (1, "")
    for words in (
        "before: old.toml, no record of what it shows, 1 tube, 1 fault",
        "after:  new.toml, no record of what it shows, 1 tube, no faults",
        "1 of 1 tube lies elsewhere; worst: a, 4.0 mm at",
        "faults: none new, 1 mended, none still there",
        "  fault a: touch, mended: comes within 1.0 mm of board",
        "  a low: stands elsewhere",
    ):
        assert words in left.out.replace("a low 1: stands", "a low: stands"), words


def test_a_state_and_itself_differ_in_nothing_and_leave_0(folder: Path, capsys: Capture) -> None:
    left = called(capsys, "compare", *states(folder, FAULT, FAULT))
    assert (left.code, left.err) == (0, "")
    assert left.out.endswith("nothing differs by more than 0.05 mm\n")


def test_json_fits_its_schema_and_holds_every_change(folder: Path, capsys: Capture) -> None:
    left = called(capsys, "compare", *states(folder), "--json")
    told = json.loads(left.out)
    schema = json.loads(called(capsys, "explain", "changes").out)
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(told, schema)
    assert schema == CHANGES_SCHEMA
    assert left.code == 1
    moved = [one for one in told["changes"] if one["what"] == "moved" and one["about"] == "tube"]
    assert [(one["name"], one["low"], one["high"]) for one in moved] == [("a", 4.0, 4.0)]
    mended = [one for one in told["changes"] if one["what"] == "mended"]
    assert [(one["value"], one["severity"]) for one in mended] == [("touch", "fault")]
    assert told["same_tubes"] == [{"before": "a", "after": "a", "by": "name"}]
    assert [one["number"] for one in told["changes"]] == list(range(1, len(told["changes"]) + 1))


def test_both_are_drawn_in_one_with_a_table_of_changes(folder: Path, capsys: Capture) -> None:
    left = called(capsys, "compare", *states(folder), "--into", "both")
    sides = [f"{side}.{end}" for end in ("png", "svg") for side in ("front", "side", "top")]
    names = {"new-changes.csv", "new-compared-overview.png", *(f"new-compared-{side}" for side in sides)}
    assert {path.name for path in Path("both").iterdir()} == names
    assert "wrote both/new-changes.csv; 3 drawings of both, 4 pictures of both" in left.out
    rows = list(csv.DictReader(io.StringIO(Path("both/new-changes.csv").read_text("utf-8-sig"))))
    assert [row["name"] for row in rows if row["what"] == "moved" and row["about"] == "tube"] == ["a"]
    shades = np.asarray(Image.open("both/new-compared-front.png").convert("RGB"), dtype=int)
    # Now is dark blue, before is orange: each fills some hundred dots.
    blue = (shades[..., 2] > shades[..., 0] + 60) & (shades.sum(axis=2) < 330)
    orange = (shades[..., 0] > 200) & (shades[..., 2] < 130)
    assert blue[60:930].sum() > 300
    assert orange[60:930].sum() > 300
    again = {path.name: path.read_bytes() for path in Path("both").iterdir()}
    called(capsys, "compare", *states(folder), "--into", "both")
    assert {path.name: path.read_bytes() for path in Path("both").iterdir()} == again


def test_where_no_picture_can_be_drawn_the_table_is_written_and_it_is_said(
    folder: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("__EGL_VENDOR_LIBRARY_FILENAMES", str(folder / "none"))
    monkeypatch.setenv("VTK_DEFAULT_OPENGL_WINDOW", "vtkEGLRenderWindow")
    left = called(capsys, "compare", *states(folder), "--into", "both")
    assert {path.suffix for path in Path("both").iterdir()} == {".csv", ".svg"}
    assert "no picture can be drawn here" in left.out
    assert left.code == 1


def test_no_cell_of_the_table_is_taken_for_a_formula(folder: Path, capsys: Capture) -> None:
    labelled = a_scene(a_tube_up("a", label="=cmd()"))
    called(capsys, "compare", *states(folder, a_scene(a_tube_up("a")), labelled), "--into", "x")
    rows = list(csv.reader(io.StringIO(Path("x/new-changes.csv").read_text("utf-8-sig"))))
    assert any("'=cmd()" in row for row in rows)
    assert all(not cell.startswith(("=", "+", "@")) for row in rows for cell in row)


def test_a_plan_is_compared_as_its_scene_is_laid_by_it(folder: Path, capsys: Capture) -> None:
    path = planned(folder, SCENE, a_plan(a_route()))
    copied = folder / "first.plan.json"
    shutil.copy(plan_beside(path), copied)
    planned(folder, SCENE, a_plan(a_route(radii=[60.0])))
    refused = called(capsys, "compare", "first.plan.json", "scene.plan.json")
    assert refused.code == 2
    assert "its scene first.toml does not lie beside it" in refused.err
    assert "--scene SCENE" in refused.err
    left = called(capsys, "compare", "first.plan.json", "scene.plan.json", "--scene", "scene.toml", "--json")
    moved = [one for one in json.loads(left.out)["changes"] if one["what"] == "moved"]
    # Two arcs that touch the legs of one corner: (60 - 30) (sqrt 2 - 1) apart.
    assert [one["low"] <= 30 * (2**0.5 - 1) <= one["high"] for one in moved] == [True]
    same = called(capsys, "compare", "scene.toml", "scene.plan.json")
    assert same.code == 0


def test_an_archive_is_compared_as_the_scene_in_it_is_found_today(folder: Path, capsys: Capture) -> None:
    archive = an_archive(folder)
    (scene,) = folder.glob("*.toml")
    assert called(capsys, "compare", archive, scene).code == 0
    text = scene.read_text(encoding="utf-8")
    changed = text + "\n[practice]\non_nipple = 9\n"
    assert "[practice]" not in text
    scene.write_text(changed, encoding="utf-8")
    left = called(capsys, "compare", archive, scene)
    assert left.code == 1
    assert "practice.on_nipple: on nipple: 9 mm, was 11 mm" in left.out
    assert "/tmp" not in left.out.replace(str(folder), "")


def test_an_archive_in_which_one_stands_gives_files_its_name(
    folder: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    archive = an_archive(folder)
    (scene,) = folder.glob("*.toml")
    monkeypatch.chdir(archive)
    assert called(capsys, "compare", scene, ".", "--into", folder / "both").code == 0
    assert [one.name for one in (folder / "both").iterdir()] == ["archive-changes.csv"]


def test_two_instruments_without_a_tube_in_common_are_said_to_be_two(folder: Path, capsys: Capture) -> None:
    left = called(
        capsys, "compare", *states(folder, a_scene(a_tube_up("a")), a_scene(a_tube_up("b", at=(99, 0, 0))))
    )
    assert left.code == 1
    assert "none is in both: these are hardly two states of one instrument" in left.out
    assert "a low" not in left.out


def test_a_scene_without_tubes_is_compared_by_what_stands_in_it(folder: Path, capsys: Capture) -> None:
    boxes = [a_scene(with_box("box", (right, 0, 0), (10, 10, 10))) for right in (0, 2)]
    left = called(capsys, "compare", *states(folder, *boxes))
    assert "1 part not where or as it was; worst: box, 2.0 mm" in left.out
    assert "box: stands elsewhere, 2.0 mm off (2.0 mm to the right)" in left.out


def test_many_nipples_of_one_part_are_told_in_a_line(folder: Path, capsys: Capture) -> None:
    rows = [with_row("bar", "1..5", (50 + aside, 0, 0), (90 + aside, 0, 0)) for aside in (0, 6)]
    left = called(capsys, "compare", *states(folder, *map(a_scene, rows)))
    assert "bar: 5 nipples stand elsewhere, 6.0 mm off at most" in left.out


# ── bad input ────────────────────────────────────────────────────────────────────────────────────
@pytest.mark.parametrize("order", [(0, 1), (1, 0)], ids=["first", "second"])
@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("nothing.toml", "nothing.toml: there is no such file or folder"),
        ("gone.plan.json", "gone.plan.json: there is no such file"),
        ("empty", "empty: a folder, but no archive: there is no bagit.txt in it"),
        ("bare", "bare: the scene in it cannot be used"),
        ("broken.toml", "broken.toml:1:"),
        ("torn.plan.json", "torn.plan.json:1:1"),
    ],
)
def test_what_cannot_be_compared_is_told_with_what_can(
    name: str, words: str, order: tuple[int, int], folder: Path, capsys: Capture
) -> None:
    (folder / "empty").mkdir()
    (folder / "bare").mkdir()
    (folder / "bare/bagit.txt").write_text("BagIt-Version: 1.0\n")
    written(folder, "not a scene", "broken.toml")
    written(folder, FAULT, "torn.toml")
    written(folder, "torn", "torn.plan.json")
    pair = (name, written(folder, FAULT, "sound.toml").name)
    left = called(capsys, "compare", *(pair[k] for k in order), "--into", "out")
    assert (left.code, left.out) == (2, "")
    assert words in left.err
    assert "remedy: " in left.err
    assert "Traceback" not in left.err
    assert not Path("out").exists()


def test_a_call_without_two_states_is_refused(folder: Path, capsys: Capture) -> None:
    left = called(capsys, "compare", states(folder)[0])
    assert left.code == 2
    assert "Missing argument 'B'" in left.err


def test_a_folder_that_cannot_be_made_is_told(folder: Path, capsys: Capture) -> None:
    (folder / "file").write_text("in the way")
    left = called(capsys, "compare", *states(folder), "--into", "file/sub")
    assert left.code == 2
    assert "cannot be written" in left.err


def test_how_it_compares_is_explained(folder: Path, capsys: Capture) -> None:
    told = called(capsys, "explain", "compare")
    assert (told.code, told.err) == (0, "")
    assert told.out.startswith("compare: what is not as it was")
    assert f"no more than {SAME_MM} mm" in told.out
    # What it says of a tube that is longer at its end: 340 instead of 300.
    left = called(
        capsys,
        "compare",
        *states(folder, a_scene(a_tube_up("a")), a_scene(a_tube_up("a", long=340))),
        "--json",
    )
    moved = [
        one for one in json.loads(left.out)["changes"] if one["what"] == "moved" and one["about"] == "tube"
    ]
    assert [(one["low"], one["high"]) for one in moved] == [(40.0, 40.0)]


def test_help_is_there_at_once() -> None:
    left = called_apart("compare", "--help", folder=Path.cwd())
    assert left.returncode == 0
    assert "A and B are each a scene, a plan" in left.stdout


def test_a_bent_tube_that_only_runs_the_other_way_lies_where_it_lay(folder: Path, capsys: Capture) -> None:
    ends = [
        with_nipple("low", (0, 0, 0), faces="up", outside=4.5),
        with_nipple("high", (200, 0, 200), faces="left", outside=4.5),
    ]
    bend = corners_of((0, 0, 200), radius=40)
    runs = [
        a_scene(*ends, with_tube(start, end, name="a", corners=bend))
        for start, end in (("low 1", "high 1"), ("high 1", "low 1"))
    ]
    left = called(capsys, "compare", *states(folder, *runs))
    assert "none of 1 tube lies elsewhere" in left.out
    assert "ends: from high 1 to low 1, was from low 1 to high 1" in left.out
