"""The first run is helped by a child process; later runs start none."""

import subprocess

import pytest

from routeviz.errors import SceneError
from routeviz.geometry import warming


def test_what_is_compiled_beside_measures_rightly():
    """A tube of radius 1 passes a box 6 away from its face: 5 are free."""
    assert warming.warm() == pytest.approx(5.0, abs=0.011)


class Child:
    """Stands for the child process, and notes what is done with it."""

    def __init__(self) -> None:
        self.done: list[str] = []

    def kill(self) -> None:
        self.done.append("kill")

    def wait(self) -> None:
        self.done.append("wait")


@pytest.fixture
def child(monkeypatch: pytest.MonkeyPatch) -> Child:
    made = Child()
    monkeypatch.setattr(warming, "is_first_run", lambda: True)
    monkeypatch.setattr(subprocess, "Popen", lambda *_, **__: made)
    return made


def test_the_child_of_a_first_run_is_waited_for(child: Child):
    with warming.first_run_helped() as first:
        assert first
        assert child.done == []
    assert child.done == ["wait"]


def test_the_child_is_ended_where_the_scene_cannot_be_used(child: Child):
    with pytest.raises(SceneError), warming.first_run_helped():
        raise SceneError(())
    assert child.done == ["kill", "wait"]


def test_a_later_run_starts_no_child(child: Child, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(warming, "is_first_run", lambda: False)
    with warming.first_run_helped() as first:
        assert not first
    assert child.done == []
