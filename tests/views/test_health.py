"""What the doctor looks at, on a machine that has it and on one that has not."""

import builtins
import subprocess
import sys
import tomllib
from importlib.metadata import PackageNotFoundError
from pathlib import Path

import pytest

from routeviz.views import health
from routeviz.views.graphics import REMEDY
from routeviz.views.health import Health, examine, packages_needed

ROOT = Path(__file__).parents[2]


@pytest.fixture
def here(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whether this machine can draw is looked at in test_graphics.py; asking takes its time."""
    monkeypatch.setattr(health, "why_no_picture", lambda: None)
    monkeypatch.setattr(health, "has_screen", lambda: True)


def look(what: str) -> Health:
    (one,) = [one for one in examine() if one.what == what]
    return one


@pytest.mark.usefixtures("here")
def test_a_machine_that_has_everything_is_well_and_needs_no_remedy() -> None:
    assert [(one.what, one.well, one.remedy) for one in examine()] == [
        ("Python", True, ""),
        ("packages", True, ""),
        ("models of parts and tubing", True, ""),
        ("measuring code", True, ""),
        ("pictures", True, ""),
        ("screen", True, ""),
    ]


def test_the_packages_looked_at_are_those_that_the_project_asks_for(monkeypatch: pytest.MonkeyPatch) -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    wanted = project["dependencies"]
    for_tests = [f'{text} ; extra == "test"' for text in project["optional-dependencies"]["test"]]
    monkeypatch.setattr(health, "requires", lambda _name: [*wanted, *for_tests])
    assert list(packages_needed()) == [text.partition(">=")[0] for text in wanted]


@pytest.mark.usefixtures("here")
def test_a_missing_package_is_told_with_the_call_that_installs_it(monkeypatch: pytest.MonkeyPatch) -> None:
    known = health.version

    def version(name: str) -> str:
        if name == "shapely":
            raise PackageNotFoundError(name)
        return known(name)

    monkeypatch.setattr(health, "version", version)
    one = look("packages")
    assert (one.well, one.needed, one.state) == (False, True, "without shapely")
    assert one.remedy == f"{sys.executable} -m pip install shapely"


@pytest.mark.usefixtures("here")
def test_missing_models_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    from routeviz.scene import catalogue

    def none(_group: str) -> dict[str, Path]:
        raise FileNotFoundError("models")

    monkeypatch.setattr(catalogue, "models_of", none)
    one = look("models of parts and tubing")
    assert (one.well, one.needed, one.state) == (False, True, "none found")
    assert one.remedy == "install routeviz again: its models are missing"


@pytest.mark.usefixtures("here")
def test_measuring_code_that_cannot_be_loaded_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    real = builtins.__import__

    def without_numba(name: str, *rest: object) -> object:
        if name == "routeviz.geometry.compiled":
            raise ImportError("No module named 'numba'")
        return real(name, *rest)  # type: ignore[arg-type]

    monkeypatch.setattr(builtins, "__import__", without_numba)
    one = look("measuring code")
    assert (one.well, one.needed) == (False, True)
    assert one.state == "cannot be loaded (No module named 'numba')"
    assert one.remedy == "install what is missing above"


def test_graphics_libraries_that_are_missing_are_told_and_not_needed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(health, "why_no_picture", lambda: f"no picture can be drawn\n  remedy: {REMEDY}")
    one = look("pictures")
    assert (one.well, one.needed) == (False, False)
    assert one.state == "no picture can be drawn; sheets, page and archive are made without"
    assert one.remedy == REMEDY


def test_a_screen_that_is_missing_is_told_and_not_needed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(health, "why_no_picture", lambda: None)
    monkeypatch.setattr(health, "has_screen", lambda: False)
    one = look("screen")
    assert (one.well, one.needed) == (False, False)
    assert one.state == "there is none: `routeviz window` cannot be used"
    assert one.remedy == "use `routeviz picture`, or call from a desktop; the rest needs no screen"


def test_the_doctor_can_be_asked_where_nothing_else_works() -> None:
    asked = "import sys, routeviz.views.health; print(sorted({'numpy', 'numba', 'pyvista', 'pydantic'} & set(sys.modules)))"  # noqa: E501
    answered = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    assert answered.stdout == "[]\n"
