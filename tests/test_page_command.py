"""The page as a user has it made: what is printed and written, whatever a scene lacks or says."""

import json
import os
import resource
import signal
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from builders import (
    a_scene,
    a_table,
    corners_of,
    place,
    with_board,
    with_keep_clear,
    with_row,
    with_stage,
    with_tube,
    with_tubing,
    written,
)
from called import called, called_apart
from taken_apart import Page
from tube_by_rail import BROKEN, CLEAN, FAULT, RAIL, UNDRAWN
from verdicts import a_tube_up

from routeviz import writing

Capture = pytest.CaptureFixture[str]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def page_in(file: Path) -> Page:
    """The page that a file holds."""
    return Page(file.read_bytes())


# ── what is written ──────────────────────────────────────────────────────────────────────────────
def test_the_page_is_written_where_the_call_is_made_and_says_what_was_found(
    folder: Path, capsys: Capture
) -> None:
    (folder / "case").mkdir()
    written(folder / "case", FAULT, "mine.toml")
    left = called(capsys, "page", "case/mine.toml")
    size = round((folder / "mine-page.html").stat().st_size / 1000)
    assert (left.code, left.err) == (1, "")
    assert left.out == (
        "1 fault in 1 tube\n"
        f"wrote mine-page.html ({size} kB); open it in any browser, it needs nothing else\n"
        "\n"
        "next: routeviz explain touch                tells what a rule holds and how to mend it\n"
        "      routeviz page case/mine.toml --watch  shows each change that you save\n"
    )
    data = page_in(folder / "mine-page.html").data()
    assert data["counts"] == {"fault": 1, "caution": 0, "note": 0}
    assert [tube["name"] for tube in data["tubes"]] == ["a"]
    assert sorted(os.listdir(folder)) == ["case", "mine-page.html"]


def test_a_scene_without_faults_leaves_0(folder: Path, capsys: Capture) -> None:
    written(folder, CLEAN)
    left = called(capsys, "page", "scene.toml", "--into", "other.html")
    assert (left.code, left.err) == (0, "")
    assert left.out.startswith("no faults in 1 tube\nwrote other.html (")
    assert page_in(folder / "other.html").data()["findings"] == []


def test_the_same_scene_makes_the_same_bytes_in_another_process(folder: Path) -> None:
    written(folder, FAULT)
    pages = []
    for seed in ("1", "2"):
        called_apart("page", "scene.toml", folder=folder, settings={"PYTHONHASHSEED": seed})
        pages.append((folder / "scene-page.html").read_bytes())
    assert pages[0] == pages[1]


def test_the_model_for_other_programs_is_written_when_it_is_asked_for(folder: Path, capsys: Capture) -> None:
    written(folder, FAULT)
    assert "scene.glb" in called(capsys, "page", "scene.toml", "--glb").out
    assert "my.glb" in called(capsys, "page", "scene.toml", "--glb", "my.glb").out
    content = (folder / "scene.glb").read_bytes()
    assert content[:4] == b"glTF"  # the format's own mark
    assert (folder / "my.glb").read_bytes() == content
    assert sorted(os.listdir(folder)) == ["my.glb", "scene-page.html", "scene.glb", "scene.toml"]


# ── scenes that lack something ───────────────────────────────────────────────────────────────────
def test_tubes_that_nobody_has_drawn_and_no_plan_are_told_and_the_page_is_made(
    folder: Path, capsys: Capture
) -> None:
    written(folder, UNDRAWN)
    left = called(capsys, "page", "scene.toml")
    assert left.code == 1
    assert (
        "no plan: 1 tube that nobody has drawn cannot be shown\n  remedy: routeviz plan scene.toml\n"
        in left.out
    )
    data = page_in(folder / "scene-page.html").data()
    assert data["plan"] is None
    assert data["tubes"][0]["corners"] is None


def test_a_stale_plan_is_told_and_the_page_is_made(folder: Path, capsys: Capture) -> None:
    written(folder, UNDRAWN)
    called(capsys, "plan", "scene.toml")
    written(folder, UNDRAWN.replace("least_bend = 22.0", "least_bend = 23.0"))
    left = called(capsys, "page", "scene.toml")
    assert (
        "stale plan: the scene was changed after scene.plan.json was made; 1 tube lies as it says\n"
        in left.out
    )
    data = page_in(folder / "scene-page.html").data()
    assert data["plan"]["stale"] is True
    assert data["tubes"][0]["corners"] is not None


@pytest.mark.parametrize("scene", [a_scene(), a_scene(RAIL), CLEAN], ids=["nothing", "no tube", "one tube"])
def test_a_scene_of_little_has_a_page(scene: str, folder: Path, capsys: Capture) -> None:
    written(folder, scene)
    left = called(capsys, "page", "scene.toml", "--glb")
    assert (left.code, left.err) == (0, "")
    assert len(page_in(folder / "scene-page.html").data()["tubes"]) == (scene == CLEAN)


def test_a_scene_that_cannot_be_used_is_told_and_the_old_page_stays(folder: Path, capsys: Capture) -> None:
    written(folder, BROKEN)
    (folder / "scene-page.html").write_text("the old page")
    left = called(capsys, "page", "scene.toml")
    checked = called(capsys, "check", "scene.toml")
    assert (left.code, left.out) == (2, "")
    assert "part.rail.size.wide" in left.err
    assert left.err == checked.err
    assert (folder / "scene-page.html").read_text() == "the old page"


# ── writing that fails, and calls that cannot be meant ───────────────────────────────────────────
@pytest.mark.parametrize("step", ["write", "fsync", "replace"])
def test_a_page_that_cannot_be_written_leaves_the_old_one(
    step: str, folder: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_anything: object) -> None:
        raise OSError(28, "No space left on device")

    written(folder, CLEAN)
    (folder / "scene-page.html").write_text("the old page")
    old, before = resource.getrlimit(resource.RLIMIT_FSIZE), signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    if step == "write":
        resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, old[1]))
    else:
        monkeypatch.setattr(writing.os, step, fail)
    try:
        left = called(capsys, "page", "scene.toml")
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, old)
        signal.signal(signal.SIGXFSZ, before)
    reason = "File too large" if step == "write" else "No space left on device"
    assert left.code == 2
    assert left.err == (
        f"scene-page.html: cannot be written ({reason}); nothing was changed\n"
        "  remedy: choose a folder that you may write to, with room on its disk\n"
    )
    assert (folder / "scene-page.html").read_text() == "the old page"
    assert sorted(os.listdir(folder)) == ["scene-page.html", "scene.toml"]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (
            ["--into", "no/p.html"],
            "no/p.html: there is no folder no\n  remedy: make it first, or choose another\n",
        ),
        (
            ["--into", "sub"],
            "routeviz: --into sub: a folder\n  allowed: a file\n"
            "  remedy: name the file that is to be in it\n",
        ),
        (
            ["--into", "scene.toml"],
            "routeviz: --into scene.toml: another kind of file\n  allowed: a name that ends in .html\n"
            "  remedy: choose such a name\n",
        ),
        (
            ["--glb", "scene.toml"],
            "routeviz: --glb scene.toml: another kind of file\n  allowed: a name that ends in .glb\n"
            "  remedy: choose such a name\n",
        ),
    ],
)  # fmt: skip
def test_a_file_that_cannot_be_meant_is_refused_and_nothing_is_written_over(
    words: list[str], told: str, folder: Path, capsys: Capture
) -> None:
    written(folder, CLEAN)
    (folder / "sub").mkdir()
    left = called(capsys, "page", "scene.toml", *words)
    assert (left.code, left.err) == (2, told)
    assert (folder / "scene.toml").read_text() == CLEAN
    assert sorted(os.listdir(folder)) == ["scene.toml", "sub"]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--watch", "--into", "a.html"], "--watch writes no file"),
        (["--watch", "--glb"], "--watch writes no file"),
        (["--port", "8000"], "--port is of use with --watch only"),
        (["--watch", "--port", "0"], "0 is not in the range 1<=x<=65535"),
        (["--watch", "--port", "65536"], "65536 is not in the range 1<=x<=65535"),
    ],
)
def test_options_that_do_not_go_together_are_refused(
    words: list[str], told: str, folder: Path, capsys: Capture
) -> None:
    written(folder, CLEAN)
    left = called(capsys, "page", "scene.toml", *words)
    assert (left.code, left.out) == (2, "")
    assert told in left.err
    assert os.listdir(folder) == ["scene.toml"]


# ── names ────────────────────────────────────────────────────────────────────────────────────────
HOSTILE = "</script><img src=x onerror=alert(1)>"


def hostile_scene() -> str:
    """A scene that says the same hostile words wherever it may say words: names differ by one more."""
    return a_scene(
        with_tubing(
            f"{HOSTILE} rubber",
            describes=HOSTILE,
            material=HOSTILE,
            source={"bore": HOSTILE, HOSTILE: HOSTILE},
        ),
        with_stage(f"{HOSTILE} early"),
        with_stage(f"{HOSTILE} late"),
        a_table(f'zero."{HOSTILE} bed"', at=place(0, 0, 0)),
        with_board(
            f"{HOSTILE} shelf",
            (-50, -50, 140),
            (100, 100, 20),
            zero=f"{HOSTILE} bed",
            describes=HOSTILE,
            source={"size": HOSTILE},
            opening={f"{HOSTILE} slot": {"at": place(20, 20, 0), "size": {"wide": 60, "deep": 60}}},
        ),
        with_keep_clear(f"{HOSTILE} hand", (-3, -3, 200), (6, 6, 6), HOSTILE),
        with_row(f"{HOSTILE} low", "1..2", (0, 0, 0), (9, 0, 0)),
        with_row(f"{HOSTILE} high", "1..2", (0, 0, 300), (9, 0, 300), faces="down"),
        with_tube(
            f"{HOSTILE} low 1",
            f"{HOSTILE} high 1",
            tubing=f"{HOSTILE} rubber",
            name=f"{HOSTILE} one",
            tag=f"{HOSTILE} tag",
            label=HOSTILE,
            note=HOSTILE,
            corners=corners_of((0, 0, 100), (2, 0, 180)),
            ties=[{"along": 60, "to": f"{HOSTILE} shelf"}],
            stage=f"{HOSTILE} late",
        ),
        with_tube(f"{HOSTILE} low 2", "loose", tubing=f"{HOSTILE} rubber", waits_for=HOSTILE, hidden=HOSTILE),
        title=HOSTILE,
        top=f"about = {json.dumps(HOSTILE)}",
    )


def texts_in(data: Any) -> Iterator[str]:
    """Every text in a JSON value, keys too."""
    if isinstance(data, str):
        yield data
    elif isinstance(data, dict):
        for key, value in data.items():
            yield from (key, *texts_in(value))
    elif isinstance(data, list):
        for value in data:
            yield from texts_in(value)


def test_words_that_would_be_markup_stay_words_wherever_a_scene_says_them(
    folder: Path, capsys: Capture
) -> None:
    written(folder, hostile_scene())
    written(folder, CLEAN, "plain.toml")
    left = called(capsys, "page", "scene.toml")
    called(capsys, "page", "plain.toml")
    assert left.code in (0, 1), left.err
    content = (folder / "scene-page.html").read_bytes()
    assert b"<img" not in content
    page, plain = Page(content), page_in(folder / "plain-page.html")
    assert [tag for tag, _, _ in page.elements] == [tag for tag, _, _ in plain.elements]
    data = page.data()
    assert page.texts("title") == [data["title"]]
    assert data["title"].startswith(f"{HOSTILE} ")  # and the stage
    assert data["tubes"][0]["tag"] == f"{HOSTILE} tag"
    assert {part["name"] for part in data["parts"]} >= {f"{HOSTILE} shelf", f"{HOSTILE} low"}
    assert len([text for text in texts_in(data) if HOSTILE in text]) > 20


def test_plates_that_show_hostile_names_hold_no_element_but_their_own(folder: Path, capsys: Capture) -> None:
    written(folder, hostile_scene())
    called(capsys, "page", "scene.toml")
    (passage,) = page_in(folder / "scene-page.html").data()["passages"]
    plate = Page(passage["plate"].encode())
    assert {tag for tag, _, _ in plate.elements} <= {
        "svg",
        "g",
        "path",
        "circle",
        "line",
        "text",
        "title",
        "desc",
        "rect",
        "polygon",
        "polyline",
        "tspan",
    }
    assert not [name for _, attributes, _ in plate.elements for name in attributes if name.startswith("on")]


def test_a_name_too_long_for_a_tag_is_refused_and_a_long_title_is_not(folder: Path, capsys: Capture) -> None:
    written(folder, a_scene(a_tube_up(name="x" * 1000, long=100)))
    left = called(capsys, "page", "scene.toml")
    assert (left.code, left.out) == (2, "")
    assert "allowed: 1 to 60 letters, digits and signs on one line" in left.err
    written(folder, a_scene(a_tube_up(long=100), title="x" * 1000))
    assert called(capsys, "page", "scene.toml").code == 0
    assert page_in(folder / "scene-page.html").data()["title"] == "x" * 1000


def test_names_in_letters_that_run_from_the_right_are_kept_as_they_are(folder: Path, capsys: Capture) -> None:
    written(folder, a_scene(a_tube_up(name="צינור", long=100), title="אבג"))
    assert called(capsys, "page", "scene.toml").code == 0
    page = page_in(folder / "scene-page.html")
    assert (page.texts("title"), page.data()["tubes"][0]["name"]) == (["אבג"], "צינור")


def test_a_file_whose_name_is_no_text_has_a_page_too(folder: Path, capsys: Capture) -> None:
    name = os.fsdecode(b"caf\xe9.toml")
    written(folder, CLEAN, name)
    left = called_apart("page", name, folder=folder)
    assert (left.returncode, left.stderr) == (0, "")
    page = page_in(folder / os.fsdecode(b"caf\xe9-page.html"))
    assert page.data()["scene"].encode("utf-8", "surrogateescape").endswith(b"caf\xe9.toml")
