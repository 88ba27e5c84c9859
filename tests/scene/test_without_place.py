"""A tee or coupler without a place: what may be said of it, and of tubes to it."""

from pathlib import Path
from typing import Any

import pytest
from builders import a_scene, place, read, with_nipple, with_part, with_tube, written

from routeviz.errors import SceneError
from routeviz.scene.reading import read_scene


def refusal_of(folder: Path, *pieces: str) -> str:
    """What is said of a scene of these pieces, without the file and the line."""
    path = written(folder, a_scene(*pieces))
    with pytest.raises(SceneError) as caught:
        read_scene(path)
    (problem,) = caught.value.problems
    assert problem.line > 0
    return f"{problem.key}: {problem.found}\n  allowed: {problem.allowed}\n  remedy: {problem.remedy}"


@pytest.mark.parametrize("word", ["corners", "measured"])
def test_a_tube_is_not_drawn_to_a_tee_without_a_place(tmp_path: Path, word: str) -> None:
    low = with_nipple("low", (0, 0, 0))
    tube = with_tube("low 1", "tee 1", **{word: [place(0, 0, 50), place(0, 0, 90)]})
    assert refusal_of(tmp_path, low, with_part("tee", kind="tee", outside=4), tube) == (
        f"tubes.1.{word}: {word} of a tube to 'tee', which has no place yet\n"
        "  allowed: routes between ends with a place\n"
        f"  remedy: write at for 'tee', or leave {word} out and let routeviz plan find both"
    )


def test_a_tee_may_be_left_without_a_place(tmp_path: Path) -> None:
    tubes = [with_tube("low 1", "tee 1"), with_tube("tee 2..3", "loose")]
    reading = read(tmp_path, with_nipple("low", (0, 0, 0)), with_part("tee", kind="tee", outside=4), *tubes)
    assert reading.scene.part["tee"].at is None
    assert [(wire.start.nipple, wire.end.nipple) for wire in reading.wires] == [
        ("low 1", "tee 1"), ("tee 2", None), ("tee 3", None)
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("word", "value"),
    [
        ("runs", "up"),
        ("branches", "back"),
        ("turned", {"about": "up", "by": 90}),
        ("repeat", {"count": 2, "step": place(50, 0, 0)}),
        ("zero", "case"),
    ],
)
def test_its_way_is_not_said_without_its_place(tmp_path: Path, word: str, value: Any) -> None:
    assert refusal_of(tmp_path, with_part("a", kind="tee", outside=4, **{word: value})) == (
        f"part.a.{word}: {word} on a tee without at, where it says nothing\n"
        f"  allowed: {word} beside at\n  remedy: write at, or leave {word} out"
    )


def test_its_measures_are_said_as_of_any_other(tmp_path: Path) -> None:
    tee = with_part("a", kind="tee", outside=4, long=40, on_nipple=12, look="rubber", clearance=3)
    assert read(tmp_path, tee).scene.part["a"].outside_mm == 4
