"""The command that plans, with a stand-in for the planner: what it says, writes, leaves; who takes it up."""

import fcntl
import json
import os
import pty
import signal
import struct
import subprocess
import sys
import termios
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest
from builders import a_scene, with_box, with_nipple, with_tube, written
from called import called
from planned import BOARD, CORNERS, HIGH, LOW, RADIUS, SCENE, UNDRAWN, a_plan, a_route, full, moved, planned
from verdicts import a_tube_up

from routeviz import laying
from routeviz.cabinet.solids import Cabinet
from routeviz.planning.steps import Step
from routeviz.tubes.plans import Plan, Run
from routeviz.tubes.routes import Tube
from routeviz.views import graphics, picture
from routeviz.views.listing import FINDINGS_SCHEMA

Capture = pytest.CaptureFixture[str]
RUN = Run(through=("board",), tubes=("a",), says="a past the board")
GOOD = a_plan(a_route(), runs=(RUN,))
INTO_WOOD = a_plan(a_route(corners=moved(CORNERS[1], (0, 0, 3))))


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def finds(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Let the planner find a plan, and then do something."""
    planning = laying.plan_scene

    def stand_in(plan: Plan | None, then: Callable[[], None] = lambda: None) -> None:
        def steps(
            _cabinets: Sequence[Cabinet], _tubes: Sequence[Tube], _before: Plan | None
        ) -> Iterator[Step]:
            yield Step(stage="spreading", done=1, of=1, plan=plan, mended=lambda _troubles: more())

        def more() -> Iterator[Step]:
            then()
            yield Step(stage="mending", done=1, of=1)

        monkeypatch.setattr(
            laying, "plan_scene", lambda scene, **more: planning(scene, planner=steps, **more)
        )

    return stand_in


# ── what it says ─────────────────────────────────────────────────────────────────────────────────
def test_a_plan_is_told_in_runs_checked_and_written(
    folder: Path, capsys: Capture, finds: Callable[..., None]
) -> None:
    written(folder, SCENE)
    finds(GOOD)
    left = called(capsys, "plan", "scene.toml")
    assert (left.code, left.err) == (0, "")
    assert left.out.startswith(
        "laid 1 of 1 tube:\n"
        "  a past the board\n"
        "\n"
        "no faults in 1 tube\n"
        "1 tube lies as planned in scene.plan.json\n"
        "\n"
        "What was proved, and what was not looked at:\n"
        "- 1 of 1 tubes were measured"
    )
    assert left.out.endswith(
        "\n\nwrote scene.plan.json\n\nnext: routeviz picture scene.toml  shows the case\n"
    )
    assert sorted(os.listdir(folder)) == ["scene.plan.json", "scene.toml"]


def test_after_an_earlier_plan_it_says_how_many_tubes_lie_as_they_lay(
    folder: Path, capsys: Capture, finds: Callable[..., None]
) -> None:
    """One of two tubes lies a tenth higher than before; what was changed of the scene concerns neither."""
    more = (
        with_nipple("deep", (0, 100, 0), "up", 4.5),
        with_nipple("side", (400, 100, 200), "left", 4.5),
        with_tube("deep 1", "side 1", name="b"),
    )
    changed = with_box("far off", (0, 900, 0), (10, 10, 10))
    level: list[tuple[float, float, float]] = [(0, 100, 0), (0, 100, 200), (400, 100, 200)]
    written(folder, a_scene(LOW, HIGH, BOARD, *more, UNDRAWN))
    finds(a_plan(a_route(), a_route("b", level)))
    told = [called(capsys, "plan", "scene.toml").out for _ in range(2)]
    written(folder, a_scene(LOW, HIGH, BOARD, *more, UNDRAWN, changed))
    finds(a_plan(a_route(), a_route("b", level, radii=[RADIUS + 0.1])))
    told.append(called(capsys, "plan", "--json", "scene.toml").out)
    finds(a_plan(a_route(radii=[RADIUS + 0.1]), a_route("b", level)))
    written(folder, a_scene(LOW, HIGH, BOARD, *more, UNDRAWN))
    told.append(called(capsys, "plan", "scene.toml").out)
    told.append(called(capsys, "plan", "--fresh", "scene.toml").out)
    planning = json.loads(told[2])["planning"]
    assert "\n\nkept 2 of 2 tubes as they lay\nwrote scene.plan.json\n" in told[1]
    assert (planning["kept"], planning["anew"]) == (1, 1)
    assert "\n\nkept 0 of 2 tubes as they lay, 2 laid anew\nwrote scene.plan.json\n" in told[3]
    assert not any("kept" in one for one in (told[0], told[4]))


def test_the_same_scene_gives_the_same_bytes(
    folder: Path, capsys: Capture, finds: Callable[..., None]
) -> None:
    written(folder, SCENE)
    finds(GOOD)
    called(capsys, "plan", "scene.toml")
    first = (folder / "scene.plan.json").read_bytes()
    called(capsys, "plan", "--fresh", "scene.toml")
    assert (folder / "scene.plan.json").read_bytes() == first


def test_what_could_not_be_laid_and_what_is_still_wrong_leave_1(
    folder: Path, capsys: Capture, finds: Callable[..., None]
) -> None:
    written(folder, SCENE)
    finds(a_plan(no_ways=(full("a"),)))
    left = called(capsys, "plan", "scene.toml")
    assert (left.code, left.err) == (1, "")
    assert left.out.startswith("laid 0 of 1 tube\n\nfault 1 no_way: a  scene.toml:")
    assert "\n  no way for a: bed hole is full: 3 tubes must go through, it holds at most 2\n" in left.out
    assert "\n  remedy: make bed hole larger, or send one of them another way\n" in left.out
    assert "routeviz explain no_way" in left.out
    finds(INTO_WOOD)
    left = called(capsys, "plan", "--fresh", "scene.toml")
    assert left.code == 1
    assert "\nfault 1 touch: a  scene.toml:" in left.out


def test_where_everything_is_drawn_it_says_so_and_writes_nothing(folder: Path, capsys: Capture) -> None:
    written(folder, a_scene(a_tube_up(long=100)))
    left = called(capsys, "plan", "scene.toml")
    assert (left.code, left.err) == (0, "")
    assert left.out.startswith(
        "there is nothing to plan: no tube with two known ends is without a route\n\nno faults in 1 tube\n"
    )
    assert os.listdir(folder) == ["scene.toml"]


def test_json_is_that_of_check_and_how_planning_ended(
    folder: Path, capsys: Capture, finds: Callable[..., None]
) -> None:
    written(folder, SCENE)
    finds(GOOD)
    left = called(capsys, "plan", "--json", "scene.toml")
    told = json.loads(left.out)
    jsonschema.validate(told, FINDINGS_SCHEMA, jsonschema.Draft202012Validator)
    assert (left.code, left.err) == (0, "")
    assert told.pop("planning") == {"ended": "found", "checked": 1, "kept": None, "anew": None}
    assert told["plan"] == {
        "file": "scene.plan.json",
        "stale": False,
        "laid": 1,
        "runs": [{"says": "a past the board", "through": ["board"], "tubes": ["a"]}],
        "places": [],
    }
    assert [tube["planned"] for tube in told["tubes"]] == [True]
    assert json.loads(called(capsys, "check", "--json", "scene.toml").out) == told


@pytest.mark.parametrize("seconds", ["0", "-1", "nan", "inf", "1e9", "soon"])
def test_seconds_that_are_none_are_refused(seconds: str, folder: Path, capsys: Capture) -> None:
    written(folder, SCENE)
    left = called(capsys, "plan", "scene.toml", "--seconds", seconds)
    assert (left.code, left.out) == (2, "")
    assert "Error: Invalid value for '--seconds'" in left.err
    assert os.listdir(folder) == ["scene.toml"]


def test_a_scene_that_cannot_be_used_leaves_2_and_writes_nothing(folder: Path, capsys: Capture) -> None:
    written(folder, "format = 1\n")
    left = called(capsys, "plan", "scene.toml")
    assert (left.code, left.out) == (2, "")
    assert "  remedy: " in left.err
    assert os.listdir(folder) == ["scene.toml"]


def test_a_plan_that_cannot_be_written_leaves_the_old_one(
    folder: Path, capsys: Capture, finds: Callable[..., None], monkeypatch: pytest.MonkeyPatch
) -> None:
    written(folder, SCENE)
    finds(GOOD)

    def full_disk(*_all: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full_disk)
    left = called(capsys, "plan", "scene.toml")
    assert (left.code, left.out) == (2, "")
    assert left.err.startswith("scene.plan.json: cannot be written (No space left on device)")
    assert os.listdir(folder) == ["scene.toml"]


def test_explain_tells_of_what_has_no_way_and_of_the_file(capsys: Capture) -> None:
    assert called(capsys, "explain", "no_way").out.startswith("no_way: no way was found for a tube.\n")
    schema = json.loads(called(capsys, "explain", "plan").out)
    assert schema["title"] == "A plan"


# ── cut short ────────────────────────────────────────────────────────────────────────────────────
def stop() -> None:
    raise KeyboardInterrupt


def test_an_interrupt_keeps_the_best_and_says_so(
    folder: Path, capsys: Capture, finds: Callable[..., None]
) -> None:
    written(folder, SCENE)
    finds(INTO_WOOD, stop)
    left = called(capsys, "plan", "scene.toml")
    assert (left.code, left.err) == (1, "")
    assert "\nwrote scene.plan.json; stopped: the best of one plan that could be checked\n" in left.out
    finds(INTO_WOOD, stop)
    told = json.loads(called(capsys, "plan", "--fresh", "--json", "scene.toml").out)
    jsonschema.validate(told, FINDINGS_SCHEMA, jsonschema.Draft202012Validator)
    assert told["planning"] == {"ended": "stopped", "checked": 1, "kept": None, "anew": None}


def test_a_deadline_keeps_the_best_within_half_a_second(
    folder: Path, capsys: Capture, finds: Callable[..., None]
) -> None:
    written(folder, SCENE)
    called(capsys, "check", "scene.toml")  # what is compiled once is not counted
    finds(INTO_WOOD, lambda: time.sleep(60))
    begun = time.monotonic()
    left = called(capsys, "plan", "--seconds", "1", "scene.toml")
    assert 1.0 <= time.monotonic() - begun <= 1.5
    assert left.code == 1
    assert "\nwrote scene.plan.json; time was up: the best of one plan that could be checked\n" in left.out


@pytest.mark.parametrize("more", [(), ("--json",)])
def test_without_time_for_a_check_nothing_is_claimed(
    more: tuple[str, ...],
    folder: Path,
    capsys: Capture,
    finds: Callable[..., None],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    written(folder, SCENE)
    called(capsys, "check", "scene.toml")
    finds(GOOD)
    monkeypatch.setattr(laying, "checked", lambda *_all: time.sleep(60))
    left = called(capsys, "plan", "--seconds", "0.5", "scene.toml", *more)
    assert (left.code, left.out) == (1, "")
    assert left.err == (
        "routeviz: time was up before the plan was checked; it was written all the same\n"
        "  remedy: give it more time, or see what it is worth: routeviz check scene.toml\n"
    )
    assert (folder / "scene.plan.json").exists()


def test_before_a_plan_is_found_nothing_is_written(
    folder: Path, capsys: Capture, finds: Callable[..., None]
) -> None:
    written(folder, SCENE)
    finds(None)
    left = called(capsys, "plan", "scene.toml")
    assert (left.code, left.out) == (1, "")
    assert left.err == (
        "routeviz: no plan was found; nothing was written\n"
        "  remedy: draw the tubes that matter most, and plan again\n"
    )
    assert os.listdir(folder) == ["scene.toml"]


SLOW = """
import sys, time
from routeviz import cli, laying
from routeviz.planning.steps import Step
def steps(cabinets, tubes, before):
    yield Step(stage="finding ways", done=0, of=1)
    yield Step(stage="spreading", part="2 of 3", done=0, of=1, seen=lambda: (0, -0.84))
    print("planning", flush=True)
    if sys.stderr.isatty():
        raise KeyboardInterrupt
    time.sleep(60)
planning = laying.plan_scene
laying.plan_scene = lambda scene, **more: planning(scene, planner=steps, **more)
cli.main(sys.argv[1:])
"""


def test_ctrl_c_before_a_plan_leaves_130_and_the_old_plan(folder: Path) -> None:
    planned(folder, SCENE, GOOD)
    (folder / "scene.toml").write_text(SCENE.replace("up = 205.28", "up = 206.28"))
    before = (folder / "scene.plan.json").read_bytes()
    words = [sys.executable, "-c", SLOW, "plan", "scene.toml"]
    with subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as running:
        assert running.stdout is not None
        assert running.stdout.readline() == "planning\n"
        running.send_signal(signal.SIGINT)
        out, err = running.communicate(timeout=30)
    assert (running.returncode, out) == (130, "")
    assert err.startswith("routeviz: stopped before a plan was found; nothing was written\n")
    assert (folder / "scene.plan.json").read_bytes() == before


# ── how far it has come ──────────────────────────────────────────────────────────────────────────
def on_a_terminal(folder: Path, **settings: str) -> str:
    """Everything that a command which is stopped while it plans writes on a screen of 60 columns."""
    child, screen = pty.fork()
    if child == 0:
        os.chdir(folder)
        environment = {k: v for k, v in os.environ.items() if k not in ("COLUMNS", "NO_COLOR")}
        words = [sys.executable, "-c", SLOW, "plan", "scene.toml"]
        os.execve(words[0], words, {**environment, "TERM": "xterm", **settings})
    fcntl.ioctl(screen, termios.TIOCSWINSZ, struct.pack("HHHH", 50, 60, 0, 0))
    shown = b""
    while True:
        try:
            more = os.read(screen, 65536)
        except OSError:
            break
        if not more:
            break
        shown += more
    os.close(screen)
    os.waitpid(child, 0)
    return shown.decode()


def test_a_terminal_shows_how_far_it_has_come_in_one_line_that_goes_away(folder: Path) -> None:
    written(folder, SCENE)
    shown = on_a_terminal(folder)
    assert f"\r{'finding ways for 1 tube':59}" in shown
    line = "spreading 2 of 3: 0 of 1 tube without trouble, worst clearance 0.8 mm less than asked for"[:59]
    assert f"\r{line}planning" in shown
    assert "\r" + " " * 59 + "\r" in shown
    assert "\x1b" not in shown


def test_a_screen_that_cannot_go_back_and_a_pipe_show_nothing_of_it(folder: Path) -> None:
    written(folder, SCENE)
    assert "finding ways" not in on_a_terminal(folder, TERM="dumb")


# ── taken up by the others ───────────────────────────────────────────────────────────────────────
STALE = (
    "stale plan: the scene was changed after scene.plan.json was made; 1 tube lies as it says\n"
    "  remedy: plan again: routeviz plan SCENE\n"
)


def stale(folder: Path) -> None:
    """A scene that was changed after it was planned, to no harm."""
    planned(folder, SCENE, replace(GOOD, no_ways=(full("a"),)))
    (folder / "scene.toml").write_text(SCENE.replace("up = 205.28", "up = 206.28"))


def test_check_says_what_is_planned_and_what_is_stale(folder: Path, capsys: Capture) -> None:
    planned(folder, SCENE, GOOD)
    left = called(capsys, "check", "scene.toml")
    assert left.out.startswith("no faults in 1 tube\n1 tube lies as planned in scene.plan.json\n\nWhat was")
    stale(folder)
    left = called(capsys, "check", "scene.toml")
    assert left.code == 0
    assert left.out.startswith(f"no faults in 1 tube\n{STALE}\nWhat was proved")
    told = json.loads(called(capsys, "check", "--json", "scene.toml").out)
    assert (told["plan"]["stale"], told["plan"]["laid"]) == (True, 1)


def test_pictures_are_drawn_of_the_planned_tubes_and_said_to_be_of_a_stale_plan(
    folder: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    stale(folder)
    drawn: list[Tube] = []

    def write_pictures(
        _cabinet: Cabinet, tubes: Sequence[Tube], *_lay: object, folder: Path, name: str
    ) -> list[Path]:
        drawn.extend(tubes)
        return [folder / f"{name}-overview.png"]

    monkeypatch.setattr(picture, "write_pictures", write_pictures)
    monkeypatch.setattr(graphics, "why_no_picture", lambda: None)
    left = called(capsys, "picture", "scene.toml")
    assert left.code == 0
    assert STALE in left.out
    assert [(tube.name, tube.planned, tube.curve is not None) for tube in drawn] == [("a", True, True)]


def test_the_window_is_opened_with_a_word_of_a_stale_plan(
    folder: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    from routeviz.views import window

    shown: list[str] = []
    monkeypatch.setattr(graphics, "why_no_window", lambda: None)
    monkeypatch.setattr(
        window, "show", lambda _cabinet, tubes, *_: shown.extend(t.name for t in tubes if t.planned)
    )
    planned(folder, SCENE, GOOD)
    assert called(capsys, "window", "scene.toml").out == ""
    stale(folder)
    assert called(capsys, "window", "scene.toml").out == STALE
    assert shown == ["a", "a"]


def test_a_plan_that_cannot_be_used_is_refused_by_all_but_the_command_that_replaces_it(
    folder: Path, capsys: Capture, finds: Callable[..., None], monkeypatch: pytest.MonkeyPatch
) -> None:
    written(folder, SCENE)
    (folder / "scene.plan.json").write_text('{"format": 1')
    for words in (["check", "scene.toml"], ["check", "--json", "scene.toml"], ["picture", "scene.toml"]):
        left = called(capsys, *words)
        assert (left.code, left.out) == (2, "")
        assert left.err.startswith("scene.plan.json:1:13: cut short, or no JSON: ")
        assert left.err.endswith("  remedy: plan again: routeviz plan SCENE; or take the plan away\n")
    finds(GOOD)
    assert called(capsys, "plan", "scene.toml").code == 0
    assert called(capsys, "check", "scene.toml").code == 0


def test_many_runs_are_told_in_a_few_lines(folder: Path, capsys: Capture, finds: Callable[..., None]) -> None:
    written(folder, a_scene(LOW, HIGH, BOARD, UNDRAWN, with_box("far", (900, 0, 0), (9, 9, 9))))
    finds(a_plan(a_route(), runs=tuple(replace(RUN, says=f"run {n}") for n in range(1, 31))))
    left = called(capsys, "plan", "scene.toml")
    head = left.out.split("\n\n")[0].splitlines()
    assert head[0] == "laid 1 of 1 tube, in 30 runs:"
    assert head[1:] == [f"  run {n}" for n in range(1, 21)] + ["  and 10 more"]
