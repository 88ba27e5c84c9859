"""The first run is helped by child processes; later runs start none; changed sources are compiled anew."""

import gc
import re
import subprocess
from pathlib import Path

import pytest

from routeviz.errors import SceneError
from routeviz.geometry import compiled, warming


def test_what_is_compiled_beside_measures_rightly():
    """A tube of radius 1 passes a box 6 away from its face: 5 are free."""
    assert warming.warm() == pytest.approx(5.0, abs=0.011)


def test_what_laying_takes_is_compiled_beside_and_right():
    """One corner draws a quarter turn; 3 above a face a tube of radius 1 may fall 2, less 0.5 to spare."""
    corners, fall, off = warming.warm_merging()
    assert corners == 3
    assert fall == pytest.approx(1.5, abs=0.011)
    assert off == pytest.approx(3.0)


@pytest.mark.parametrize("folder", ["geometry", "planning"])
def test_another_source_is_another_stamp(folder: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    for name in ("geometry", "planning"):
        (tmp_path / name).mkdir()
        (tmp_path / name / "hot.py").write_text("SIDE = 1\n")
    monkeypatch.setattr(compiled, "PACKAGE", tmp_path)
    before = compiled.stamp()
    assert compiled.stamp() == before
    (tmp_path / folder / "hot.py").write_text("SIDE = 2\n")
    assert compiled.stamp() != before


def test_every_folder_with_hot_loops_is_stamped():
    package = Path(compiled.__file__).parents[1]
    importing = {
        file.relative_to(package).parts[0]
        for file in package.rglob("*.py")
        if re.search(r"geometry.compiled import .*\b(compiled|inner)\b", file.read_text(encoding="utf-8"))
    }
    assert importing <= set(compiled.LOOPING)


def test_a_number_written_out_is_compiled_for_once():
    @compiled.inner
    def doubled(number: int) -> int:
        return 2 * number

    @compiled.compiled
    def total(number: int) -> int:
        return doubled(3) + doubled(number) + doubled(4)

    assert total(5) == 24
    assert len(doubled.signatures) == 1


def test_a_module_is_on_its_first_run_until_something_of_it_is_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path))
    (tmp_path / "geometry").mkdir()
    (tmp_path / "geometry" / "halving.sweep-35.py311.nbi").touch()
    assert compiled.is_first_run("merging")
    assert not compiled.is_first_run("halving")


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
    monkeypatch.setattr(warming, "is_first_run", lambda _module: True)
    monkeypatch.setattr(subprocess, "Popen", lambda *_, **__: made)
    return made


def test_the_child_of_a_first_run_is_waited_for(child: Child):
    with warming.first_run_helped() as first:
        assert first
        assert child.done == []
    assert child.done == ["wait"]


def test_memory_is_looked_through_less_often_while_a_first_run_compiles(child: Child):
    usual = gc.get_threshold()
    with warming.first_run_helped():
        assert gc.get_threshold()[0] > 100 * usual[0]
    assert gc.get_threshold() == usual


def test_the_child_is_ended_where_the_scene_cannot_be_used(child: Child):
    with pytest.raises(SceneError), warming.first_run_helped():
        raise SceneError(())
    assert child.done == ["kill", "wait"]


def test_a_later_run_starts_no_child(child: Child, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(warming, "is_first_run", lambda _module: False)
    with warming.first_run_helped() as first:
        assert not first
    assert child.done == []


def test_laying_leaves_to_children_what_is_not_compiled(child: Child, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(warming, "is_first_run", lambda module: module == "merging")
    with warming.first_run_helped(warming.LAYING) as first:
        assert first
    assert child.done == ["wait"]
