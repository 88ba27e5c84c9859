"""When a scene is read again: edits are played a step between two looks at the files, without a clock."""

import os
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest
from builders import a_scene, with_part, with_tube

from routeviz.errors import RoutevizError, SceneError
from routeviz.scene.reading import read_scene
from routeviz.views.watching import BROKEN_S, EVERY_S, follow, stand_of

Step = Callable[[], object]
LOOKS = round(BROKEN_S / EVERY_S)  # for so many looks what is broken must last


class OverError(Exception):
    """Ends what else would not end."""


def still() -> None:
    """A step in which nothing happens."""


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    path = tmp_path / "case.toml"
    path.write_text(a_scene(title="first"))
    return path


def seen(scene: Path, steps: Sequence[Step], *, before: Step = still) -> list[str]:
    """The titles that were shown and what was told to be wrong, while one step happens between two looks."""
    told: list[str] = []
    left = iter([*steps, *[still] * (LOOKS + 4)])

    def rest(_seconds: float) -> None:
        step = next(left, None)
        if step is None:
            raise OverError
        step()

    def show() -> None:
        before()
        told.append(read_scene(scene).scene.title)

    def fail(error: RoutevizError) -> None:
        assert isinstance(error, SceneError)
        told.append(f"wrong: {error.problems[0].found}")

    with pytest.raises(OverError):
        follow(scene, stand_of(scene), show, fail, rest)
    return told


def saves(scene: Path, text: str) -> Step:
    """Write over a file where it lies."""
    return lambda: scene.write_text(text)


def titled(title: str) -> str:
    return a_scene(title=title)


def test_a_scene_that_nobody_touches_is_not_read_again(scene: Path) -> None:
    assert seen(scene, [still] * 20) == []


def test_each_change_is_shown_once(scene: Path) -> None:
    steps = [still, saves(scene, titled("second")), *[still] * 9, saves(scene, titled("third"))]
    assert seen(scene, steps) == ["second", "third"]


def test_changes_in_quick_succession_are_shown_when_they_are_over(scene: Path) -> None:
    assert seen(scene, [saves(scene, titled(f"save {'I' * n}")) for n in range(1, 9)]) == ["save IIIIIIII"]


def test_a_file_that_is_written_aside_and_renamed_is_noticed(scene: Path) -> None:
    aside = scene.with_name("aside")

    def rename() -> None:
        os.replace(aside, scene)

    assert seen(scene, [saves(aside, titled("again")), rename]) == ["again"]


def test_a_file_of_the_same_length_and_time_that_takes_its_place_is_noticed(scene: Path) -> None:
    facts, aside = scene.stat(), scene.with_name("aside")
    aside.write_text(titled("fifth"))
    os.utime(aside, ns=(facts.st_atime_ns, facts.st_mtime_ns))
    assert aside.stat().st_size == facts.st_size
    assert seen(scene, [lambda: os.replace(aside, scene)]) == ["fifth"]


def test_a_file_that_is_emptied_and_then_filled_is_read_when_it_is_full(scene: Path) -> None:
    whole = titled("second")
    for slow in range(LOOKS - 1):
        steps = [saves(scene, ""), *[still] * slow, saves(scene, whole[:20]), saves(scene, whole)]
        assert seen(scene, steps) == ["second"]


def test_a_file_that_vanishes_for_a_moment_is_not_missed(scene: Path) -> None:
    away = scene.with_name("case.toml~")

    def move() -> None:
        os.replace(scene, away)

    assert seen(scene, [move, *[still] * (LOOKS - 2), saves(scene, titled("back"))]) == ["back"]
    assert seen(scene, [move, *[still] * 3, lambda: os.replace(away, scene)]) == ["back"]


def test_what_is_broken_and_stays_so_is_told_once_and_mending_it_is_shown(scene: Path) -> None:
    broken = [saves(scene, "format = 1"), *[still] * (LOOKS + 9)]
    (wrong,) = seen(scene, broken)
    assert wrong.startswith("wrong: ")
    assert seen(scene, [saves(scene, titled("mended"))]) == ["mended"]


def test_a_scene_that_is_gone_is_told(scene: Path) -> None:
    (wrong,) = seen(scene, [scene.unlink])
    assert wrong == "wrong: the file cannot be read: No such file or directory"


def test_a_change_while_the_scene_is_being_read_is_read_too(scene: Path) -> None:
    texts = iter([titled("third")])

    def save_meanwhile() -> None:
        text = next(texts, None)
        if text is not None:
            scene.write_text(text)

    told = seen(scene, [saves(scene, titled("two"))], before=save_meanwhile)
    assert told[-1] == "third"
    assert len(told) == 2


@pytest.mark.parametrize("name", ["tubes.csv", "sub/tubes.csv", "sub\\tubes.csv"])
def test_the_wiring_table_that_a_scene_names_is_followed_too(name: str, scene: Path) -> None:
    table = scene.parent / name.replace("\\", "/")
    table.parent.mkdir(exist_ok=True)
    table.write_text("from,to,tubing\n")
    scene.write_text(a_scene(title="with a table", top=f"wiring = '{name}'"))
    assert seen(scene, [saves(table, "from,to,tubing,note\n")]) == ["with a table"]


def test_a_table_is_followed_as_soon_as_it_is_named_and_also_while_it_is_wrong(scene: Path) -> None:
    table = scene.with_name("tubes.csv")
    names = saves(scene, a_scene(title="with a table", top="wiring = 'tubes.csv'"))
    wrong, right = saves(table, "from,to\n"), saves(table, "from,to,tubing\n")
    told = seen(scene, [names, *[still] * (LOOKS + 4), wrong, *[still] * (LOOKS + 4), right])
    missing = "wrong: the file cannot be read: No such file or directory"
    assert told == [missing, "wrong: no column 'tubing'", "with a table"]


def test_a_mesh_is_followed_and_also_while_the_scene_cannot_be_read(scene: Path) -> None:
    mesh = scene.with_name("case.stl")
    part = with_part("gusset", kind="mesh", file="case.stl", unit="mm")
    scene.write_text(a_scene(part))
    mesh.write_text("solid")
    stood = stand_of(scene)
    mesh.write_text("solid b")
    changed = stand_of(scene, stood)
    assert changed != stood
    scene.write_text("[")
    broken = stand_of(scene, changed)
    mesh.write_text("solid c")
    assert stand_of(scene, broken) != broken


def test_a_plan_that_comes_is_replaced_or_goes_is_noticed(scene: Path) -> None:
    plan = scene.with_name("case.plan.json")
    steps = [saves(plan, "{}"), *[still] * 5, saves(plan, "{ }"), *[still] * 5, plan.unlink]
    assert seen(scene, steps) == ["first"] * 3


def test_files_out_of_the_scenes_folder_are_left_alone(scene: Path) -> None:
    scene.write_text(
        a_scene(with_part("gusset", kind="mesh", file="../case.stl", unit="mm"), top="wiring = '/etc/hosts'")
    )
    assert stand_of(scene).files == (scene, scene.with_name("case.plan.json"))


@pytest.mark.parametrize(
    "text",
    ["part = 1", "part.a = 1\nwiring = 2", "[part.a]\nfile = 3", 'wiring = "a\\u0000b"', "\0", "[" * 90_000],
)
def test_a_scene_that_says_nonsense_has_its_own_file_and_its_plan(text: str, scene: Path) -> None:
    scene.write_text(text)
    assert stand_of(scene).files == (scene, scene.with_name("case.plan.json"))


def test_a_tube_more_is_a_change_like_any_other(scene: Path) -> None:
    stood = stand_of(scene)
    scene.write_text(a_scene(with_tube("loose", "loose"), title="first"))
    assert stand_of(scene, stood) != stood
