"""The first run is helped by a child process; later runs start none."""

import subprocess
import sys

import pytest

from routeviz.geometry import warming


def test_what_is_compiled_beside_measures_rightly():
    """A tube of radius 1 passes a box 6 away from its face: 5 are free."""
    assert warming.warm() == pytest.approx(5.0, abs=0.011)


@pytest.mark.parametrize("first", [True, False])
def test_a_child_is_started_on_the_first_run_only(first: bool, monkeypatch: pytest.MonkeyPatch):
    started: list[list[str]] = []
    monkeypatch.setattr(warming, "is_first_run", lambda: first)
    monkeypatch.setattr(subprocess, "Popen", lambda command, **_: started.append(command))
    assert warming.help_first_run() is first
    assert started == ([[sys.executable, "-P", "-m", "routeviz.geometry.warming"]] if first else [])


def test_a_machine_that_starts_no_child_compiles_by_itself(monkeypatch: pytest.MonkeyPatch):
    def refused(*_: object, **__: object) -> None:
        raise OSError

    monkeypatch.setattr(warming, "is_first_run", lambda: True)
    monkeypatch.setattr(subprocess, "Popen", refused)
    assert warming.help_first_run()
