"""The command that shows what routeviz does, with a stand-in for the planner and for the drawing.

What the planner makes of the case is tried in every_scene/, how pictures are drawn in views/.
"""

import os
import signal
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from called import called
from taken_apart import Page

from routeviz import laying
from routeviz.cabinet.solids import Cabinet
from routeviz.planning.steps import Step
from routeviz.scene.catalogue import scene_file
from routeviz.tubes.plan_file import plan_beside, read_plan
from routeviz.tubes.plans import Plan
from routeviz.tubes.routes import Tube
from routeviz.views import picture

Capture = pytest.CaptureFixture[str]
CASE = scene_file("thistledown")
COPY = Path("routeviz-demo", "thistledown.toml")
PAGE = Path("routeviz-demo", "thistledown-page.html")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def drawn(monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, str]]:
    """What pictures would have been written: folder and name."""
    asked: list[tuple[str, str]] = []

    def write_pictures(*_lay: object, folder: Path, name: str) -> tuple[Path, ...]:
        asked.append((str(folder), name))
        return (folder / f"{name}-overview.png",)

    monkeypatch.setattr(picture, "write_pictures", write_pictures)
    return asked


@pytest.fixture
def finds(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Let the planner find a plan, and then do something."""
    planning = laying.plan_scene

    def stand_in(plan: Plan, then: Callable[[], None] = lambda: None) -> None:
        def steps(
            _cabinets: Sequence[Cabinet], _tubes: Sequence[Tube], _before: Plan | None
        ) -> Iterator[Step]:
            yield Step(stage="spreading", done=81, of=81, plan=plan)
            then()

        monkeypatch.setattr(
            laying, "plan_scene", lambda scene, **more: planning(scene, planner=steps, **more)
        )

    return stand_in


def kept() -> Plan:
    """The plan that lies beside the built-in case."""
    plan = read_plan(plan_beside(CASE))
    assert plan is not None
    return plan


def test_one_case_is_planned_checked_and_drawn_and_another_looked_at(
    folder: Path, capsys: Capture, drawn: list[tuple[str, str]], finds: Callable[..., None]
) -> None:
    finds(kept())
    left = called(capsys, "demo")
    assert (left.code, left.err) == (0, "")
    assert drawn == [("routeviz-demo", "thistledown"), ("routeviz-demo", "as_found")]
    first, _, second = left.out.partition("(as_found.toml)\n")
    assert first.startswith(f"wrote {COPY}: a case whose tubes nobody has drawn; they are planned now\n")
    assert f"\n== Thistledown cabinet piano ({COPY})\n\nlaid 81 of 81 tubes, in " in first
    assert "\nno faults" in first
    assert "\nwrote routeviz-demo/thistledown.plan.json\n" in first
    assert "\nfault 1 " in second
    assert left.out.endswith(
        f"\n\nnext: routeviz window {COPY}  shows the planned case on the screen\n"
        "      routeviz new my_piano.toml                      begins a scene of your own\n"
        f"\nOpen {PAGE} in any browser: the planned case in 3D, each tube, and the work at the bench.\n"
    )
    assert COPY.read_bytes() == CASE.read_bytes()
    names = ["thistledown-page.html", "thistledown.plan.json", "thistledown.toml"]
    assert sorted(os.listdir(COPY.parent)) == names


def test_the_page_that_is_named_shows_the_planned_case(
    folder: Path, capsys: Capture, drawn: list[tuple[str, str]], finds: Callable[..., None]
) -> None:
    finds(kept())
    left = called(capsys, "demo")
    assert f"\nwrote {PAGE} (" in left.out
    data = Page(PAGE.read_bytes()).data()
    assert data["scene"] == COPY.name
    assert {tube["name"] for tube in data["tubes"] if tube["planned"]} == {tube.name for tube in kept().tubes}


def test_it_can_be_called_again_and_into_another_folder(
    folder: Path, capsys: Capture, drawn: list[tuple[str, str]], finds: Callable[..., None]
) -> None:
    finds(kept())
    first = called(capsys, "demo", "--into", "my demo")
    again = called(capsys, "demo", "--into", "my demo")
    assert (first.code, first.out) == (again.code, again.out)
    assert "next: routeviz window 'my demo/thistledown.toml'" in again.out
    assert {where for where, _ in drawn} == {"my demo"}


def test_a_fault_in_the_planned_case_is_told_and_leaves_1(
    folder: Path, capsys: Capture, drawn: list[tuple[str, str]], finds: Callable[..., None]
) -> None:
    plan = kept()
    finds(replace(plan, tubes=plan.tubes[1:]))
    left = called(capsys, "demo")
    assert left.code == 1
    assert "\nlaid 80 of 81 tubes" in left.out
    assert "\nfault 1 unconnected: tracker bar 4  " in left.out.partition("(as_found.toml)")[0]
    assert len(drawn) == 2


def test_a_case_that_somebody_has_changed_is_left_alone(
    folder: Path, capsys: Capture, drawn: list[tuple[str, str]]
) -> None:
    COPY.parent.mkdir()
    COPY.write_text("mine")
    left = called(capsys, "demo")
    assert (left.code, left.out) == (2, "")
    assert left.err.startswith(f"{COPY}: is there already, and was left as it is\n  remedy: ")
    assert COPY.read_text() == "mine"
    assert drawn == []


def test_ctrl_c_while_it_plans_leaves_130_and_the_best_plan(
    folder: Path, capsys: Capture, drawn: list[tuple[str, str]], finds: Callable[..., None]
) -> None:
    finds(kept(), lambda: signal.raise_signal(signal.SIGINT))
    left = called(capsys, "demo")
    assert left.code == 130
    assert left.err.startswith("routeviz: stopped")
    assert drawn == []
    assert plan_beside(COPY).exists()
