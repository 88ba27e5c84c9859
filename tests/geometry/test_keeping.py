"""What was found once is not found again, unless something that it depends on has changed."""

from pathlib import Path

import pytest

from routeviz.geometry import keeping
from routeviz.geometry.keeping import kept


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(keeping, "cache_folder", lambda: tmp_path / "kept")
    return tmp_path / "kept"


def test_the_same_input_is_asked_once(folder: Path):
    asked: list[str] = []

    def found() -> bytes:
        asked.append("asked")
        return b"answer"

    assert [kept("routes", b"input", found) for _ in range(3)] == [b"answer"] * 3
    assert asked == ["asked"]


def test_another_input_and_another_kind_have_answers_of_their_own(folder: Path):
    assert kept("routes", b"input", lambda: b"one") == b"one"
    assert kept("routes", b"inputs", lambda: b"two") == b"two"
    assert kept("meshes", b"input", lambda: b"three") == b"three"


def test_a_failure_is_not_kept(folder: Path):
    def fails() -> bytes:
        raise ValueError("no")

    with pytest.raises(ValueError, match="no"):
        kept("routes", b"input", fails)
    assert kept("routes", b"input", lambda: b"answer") == b"answer"


def test_where_nothing_can_be_kept_it_is_found_each_time(folder: Path):
    folder.write_text("a file where a folder is wanted")
    assert kept("routes", b"input", lambda: b"one") == b"one"
    assert kept("routes", b"input", lambda: b"two") == b"two"
