"""no_way: what could not be laid is told with place, cause, numbers and what would free it; nothing else."""

from pathlib import Path

import pytest
from builders import a_scene, corners_of, place, with_board, with_row, with_stage, with_tube
from planned import a_plan, a_route, full, planned

from routeviz.checks.findings import Finding
from routeviz.pipeline import check_scene
from routeviz.tubes.plans import NoWay

OPENING = {"at": place(180, 80, 0), "size": {"wide": 40, "deep": 30}}
BED = with_board("bed", (0, 0, 100), (400, 200, 20), opening={"hole": OPENING})
BAR = with_row("bar", "1..3", (100, 50, 300), (140, 50, 300), faces="back")
STACK = with_row("stack", "1..3", (190, 90, 0), (210, 90, 0))
WIRED = with_tube("bar 1..3", "stack 1..3")
SCENE = a_scene(BED, BAR, STACK, WIRED)


def told(folder: Path, *no_ways: NoWay, scene: str = SCENE) -> list[Finding]:
    """What is said of tubes that could not be laid, or have no route."""
    lay = check_scene(planned(folder, scene, a_plan(no_ways=no_ways)))
    return [f for f in lay.findings if f.rule in ("no_way", "unconnected")]


def test_what_could_not_be_laid_is_a_fault_with_cause_numbers_and_what_would_free_it(tmp_path: Path) -> None:
    (one,) = told(tmp_path, full("bar 1", "bar 2", "bar 3", passage="bed hole"))
    assert (one.rule, one.severity, one.tube, one.other) == ("no_way", "fault", None, "bed hole")
    # The opening's middle: 180 + 40 / 2, 80 + 30 / 2, and half the board's 20 above its under side at 100.
    assert one.says == (
        "no way for bar 1-3: bed hole is full: 3 tubes must go through, it holds at most 2 "
        "(at right 200, back 95, up 110 mm)"
    )
    assert one.remedy == "make bed hole larger, or send one of them another way"
    assert (one.low, one.high, one.limit, one.unit) == (3.0, 3.0, 2.0, "tubes")
    assert one.tubes == ("bar 1", "bar 2", "bar 3")


def test_the_place_is_told_or_the_middle_of_the_passage(tmp_path: Path) -> None:
    at_passage, there = told(
        tmp_path, full("bar 1", point=(1, 2, 3)), full("bar 2", "bar 3", passage="bed hole")
    )
    assert there.point is not None
    assert at_passage.point is not None
    assert there.point.tolist() == [1, 2, 3]
    assert there.says.endswith(" (at right 1, back 2, up 3 mm)")
    lay = check_scene(tmp_path / "scene.toml")
    assert at_passage.point.tolist() == lay.cabinet.passages["bed hole"].origin.tolist()


def test_a_reason_for_one_tube_is_told_of_that_tube(tmp_path: Path) -> None:
    one, rest = told(tmp_path, full("bar 2"))
    assert (one.tube, one.other, one.point) == ("bar 2", None, None)
    assert one.says.endswith(" it holds at most 2")  # nothing is said of a place that is not known
    assert (rest.rule, rest.tubes) == ("unconnected", ("bar 1", "bar 3"))


def test_what_has_its_reason_is_not_told_again_as_without_a_route(tmp_path: Path) -> None:
    assert [f.rule for f in told(tmp_path, full("bar 1", "bar 2", "bar 3"))] == ["no_way"]
    assert [f.rule for f in told(tmp_path)] == ["unconnected"]


def test_a_tube_that_has_a_route_by_now_needs_no_reason(tmp_path: Path) -> None:
    # Straight back from the bar, then down through the opening.
    ways = [
        a_route(f"bar {n}", [(80 + 20 * n, 50, 300), (180 + 10 * n, 90, 280), (180 + 10 * n, 90, 0)], [20.0])
        for n in (1, 2, 3)
    ]
    lay = check_scene(planned(tmp_path, SCENE, a_plan(*ways[:2], no_ways=(full("bar 1", "bar 2"),))))
    assert [f.rule for f in lay.findings if f.rule in ("no_way", "unconnected")] == ["unconnected"]
    lay = check_scene(planned(tmp_path, SCENE, a_plan(*ways, no_ways=(full("bar 1", "bar 2", "bar 3"),))))
    assert [f.rule for f in lay.findings if f.rule in ("no_way", "unconnected")] == []


def test_a_drawn_tube_needs_no_reason(tmp_path: Path) -> None:
    drawn = a_scene(BED, BAR, STACK, with_tube("bar 1..3", "stack 1..3", corners=corners_of((120, 90, 280))))
    assert told(tmp_path, full("bar 1", "bar 2", "bar 3"), scene=drawn) == []


def test_a_reason_of_a_scene_that_was_changed_holds_no_more(tmp_path: Path) -> None:
    path = planned(tmp_path, SCENE, a_plan(no_ways=(full("bar 1", "bar 2", "bar 3", passage="bed hole"),)))
    path.write_text(SCENE.replace('"wide": 40', '"wide": 60').replace("wide = 40", "wide = 60"))
    lay = check_scene(path)
    assert lay.taken is not None
    assert lay.taken.stale
    assert [f.rule for f in lay.findings if f.rule in ("no_way", "unconnected")] == ["unconnected"]


def test_names_that_the_scene_does_not_have_are_left_out(tmp_path: Path) -> None:
    one, _ = told(tmp_path, full("bar 1", "bar 9", passage="no such passage"), full("bar 8"))
    assert (one.tubes, one.tube, one.point) == (("bar 1",), "bar 1", None)


@pytest.mark.parametrize("stages", [(), (with_stage("bench"), with_stage("fitted"))])
def test_it_is_told_once(stages: tuple[str, ...], tmp_path: Path) -> None:
    scene = a_scene(*stages, BED, BAR, STACK, WIRED)
    found = told(tmp_path, full("bar 1"), full("bar 2", "bar 3"), scene=scene)
    assert [(f.rule, f.stage) for f in found] == [("no_way", "fitted" if stages else None)] * 2
