"""Tubes and the parts that they join must be there together; a part comes in a stage and may go after one."""

from pathlib import Path

import pytest
from builders import (
    a_scene,
    place,
    read,
    with_board,
    with_nipple,
    with_part,
    with_row,
    with_stage,
    with_tube,
    written,
)
from called import called

from routeviz.errors import SceneError
from routeviz.pipeline import check_reading
from routeviz.scene.reading import read_scene

STAGES = (with_stage("bench"), with_stage("fitting"), with_stage("closed"))
LOW = with_row("low", "1..2", (0, 0, 0), (30, 0, 0), outside=4.4)


def refusals_of(folder: Path, *pieces: str) -> list[str]:
    path = written(folder, a_scene(*STAGES, LOW, *pieces))
    with pytest.raises(SceneError) as caught:
        read_scene(path)
    assert all(problem.line > 0 for problem in caught.value.problems)
    return [
        f"{one.key}: {one.found}\n  allowed: {one.allowed}\n  remedy: {one.remedy}"
        for one in caught.value.problems
    ]


def high(**when: str) -> str:
    return with_row("high", "1..2", (0, 0, 300), (30, 0, 300), "down", 4.4, **when)


GONE = (
    "tubes.1.to: a tube on 'high', which is gone after stage 'bench'\n"
    "  allowed: parts that stay as long as the tubes on and through them: to the last stage\n"
    "  remedy: leave until out for the part, or leave the tube out of the scene"
)
LATE = (
    "tubes.1.to: a tube that is there from stage {since!r} on, on 'high', which comes in stage 'closed'\n"
    "  allowed: a tube that comes with the parts that it joins and goes through, or after them\n"
    '  remedy: write stage = "closed" for the tube, or let the part come earlier'
)


def test_a_tube_on_a_part_that_goes_before_it_is_refused_once_for_all_of_an_entry(tmp_path: Path) -> None:
    assert refusals_of(tmp_path, high(until="bench"), with_tube("low 1..2", "high 1..2")) == [GONE]
    drawn = with_tube("low 1", "high 1", corners=[], stage="bench")
    assert refusals_of(tmp_path, high(until="bench"), drawn) == [GONE]


def test_a_tube_on_a_part_that_comes_after_it_is_refused(tmp_path: Path) -> None:
    part = high(stage="closed")
    tubes = "low 1..2", "high 1..2"
    assert refusals_of(tmp_path, part, with_tube(*tubes)) == [LATE.format(since="bench")]
    later = with_tube(*tubes, stage="fitting")
    assert refusals_of(tmp_path, part, later) == [LATE.format(since="fitting")]


def test_copies_of_a_part_and_tees_are_held_to_it_too(tmp_path: Path) -> None:
    bells = with_nipple("bell", (0, 0, 50), repeat={"count": 2, "step": {"right": 30}}, until="bench")
    tee = with_part("tee", kind="tee", outside=4, until="fitting")
    told = refusals_of(tmp_path, bells, tee, with_tube("low 1", "bell 2"), with_tube("low 2", "tee 1"))
    assert [one.splitlines()[0] for one in told] == [
        "tubes.1.to: a tube on 'bell', which is gone after stage 'bench'",
        "tubes.2.to: a tube on 'tee', which is gone after stage 'fitting'",
    ]


def test_a_board_that_comes_after_a_tube_through_it_or_goes_before_it_is_refused(tmp_path: Path) -> None:
    hole = {"hole": {"at": place(0, 0, 0), "size": {"wide": 60, "deep": 40}}}
    boards = [
        with_board(name, (-50, -50, up), (300, 300, 10), opening=hole, **{word: "fitting"})
        for name, up, word in (("low board", 100, "until"), ("high board", 200, "stage"))
    ]
    tube = with_tube("low 1..2", "high 1..2", through=["low board hole", "high board hole"])
    assert [one.splitlines()[0] for one in refusals_of(tmp_path, *boards, high(), tube)] == [
        "tubes.1.through.1: a tube through 'low board', which is gone after stage 'fitting'",
        "tubes.1.through.2: a tube that is there from stage 'bench' on, through 'high board', "
        "which comes in stage 'fitting'",
    ]


@pytest.mark.parametrize(
    ("when", "stage"),
    [
        ({}, None),
        ({"stage": "bench"}, None),  # the first: there from the beginning
        ({"stage": "closed"}, "closed"),
        ({"stage": "fitting"}, "closed"),
        ({"until": "closed"}, None),  # the last: there to the end
    ],
)
def test_a_tube_that_is_there_with_its_parts_alone_can_be_checked(
    tmp_path: Path, when: dict[str, str], stage: str | None
) -> None:
    drawn = with_tube("low 1..2", "high 1..2", corners=[], stage=stage, step=place(30, 0, 0))
    lay = check_reading(read(tmp_path, *STAGES, LOW, high(**when), drawn))
    assert [tube.stage for tube in lay.tubes] == [stage, stage]
    assert not [f for f in lay.findings if f.severity == "fault"]


def test_a_stage_that_nothing_bears_is_told_alone(tmp_path: Path) -> None:
    told = refusals_of(tmp_path, high(until="bensh"), with_tube("low 1", "high 1"))
    assert [one.splitlines()[0] for one in told] == ["part.high.until: no stage 'bensh'"]


def test_commands_refuse_it_in_one_message(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    scene = a_scene(*STAGES, LOW, high(until="bench"), with_tube("low 1", "high 1"))
    written(tmp_path, scene)
    monkeypatch.chdir(tmp_path)
    line = 1 + scene.splitlines().index('to = "high 1"')
    for command in ("check", "plan"):
        left = called(capsys, command, "scene.toml")
        assert (left.code, left.out) == (2, "")
        assert left.err == f"scene.toml:{line}:1: {GONE}\n"
