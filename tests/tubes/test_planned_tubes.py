"""What becomes of a plan in a scene: drawn routes win, ends must meet, nothing in it is taken for proved."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from builders import a_scene, corners_of, with_board, with_stage, with_tube, written
from planned import BOARD, CORNERS, HIGH, LOW, SCENE, UNDRAWN, a_plan, a_route, moved, planned

from routeviz.cabinet.placing import place
from routeviz.lay import Lay
from routeviz.pipeline import check_scene
from routeviz.scene.reading import read_scene
from routeviz.tubes.centrelines import shape
from routeviz.tubes.plan_file import plan_beside, read_plan
from routeviz.tubes.plans import Plan
from routeviz.tubes.routes import Tie, Tube

TIES = ((50.0, "bundle"), (100.0, "board"))


def tube_of(folder: Path, plan: Plan | None, *pieces: str) -> Tube:
    """Tube a of a scene of these pieces and both nipples."""
    reading = read_scene(written(folder, a_scene(LOW, HIGH, BOARD, *pieces)))
    return next(tube for tube in shape(reading, place(reading), plan) if tube.name == "a")


def a_drawn(**more: object) -> str:
    return with_tube("low 1", "high 1", name="a", **more)


# ── which route ──────────────────────────────────────────────────────────────────────────────────
def test_a_tube_that_nobody_has_drawn_takes_the_planned_route(tmp_path: Path) -> None:
    tube = tube_of(tmp_path, a_plan(a_route(ties=TIES)), UNDRAWN)
    assert tube.planned
    assert tube.corners is not None
    assert tube.radii is not None
    assert tube.curve is not None
    assert tube.corners.tolist() == [list(map(float, corner)) for corner in CORNERS]
    assert tube.radii.tolist() == [30.0]
    assert [(tie.along_mm, tie.to) for tie in tube.ties] == list(TIES)
    # A quarter of a circle of 30 instead of twice 30 straight.
    assert float(tube.curve.begins[-1]) == pytest.approx(600 - 60 + np.pi * 15, abs=1e-9)


@pytest.mark.parametrize("how", ["corners", "measured"])
def test_a_drawn_or_taped_route_wins(how: str, tmp_path: Path) -> None:
    own = a_drawn(**{how: corners_of((0, 0, 150), (100, 0, 200))})
    tube = tube_of(tmp_path, a_plan(a_route()), own)
    assert not tube.planned
    assert tube.corners is not None
    assert tube.corners.tolist() != [list(map(float, corner)) for corner in CORNERS]


def test_a_run_that_cannot_be_seen_is_not_planned(tmp_path: Path) -> None:
    tube = tube_of(tmp_path, a_plan(a_route()), a_drawn(hidden="behind the post"))
    assert (tube.planned, tube.curve) == (False, None)


def test_without_a_plan_or_a_route_in_it_there_is_none(tmp_path: Path) -> None:
    for plan in (None, a_plan(), a_plan(a_route("b"))):
        tube = tube_of(tmp_path, plan, UNDRAWN)
        assert (tube.planned, tube.curve, tube.ties) == (False, None, ())


@pytest.mark.parametrize("corner", [CORNERS[0], CORNERS[-1]])
def test_a_route_that_does_not_end_at_the_tubes_ends_is_none(
    corner: tuple[float, float, float], tmp_path: Path
) -> None:
    near, off = (a_plan(a_route(corners=moved(corner, (0, by, 0)))) for by in (0.0005, 0.003))
    assert tube_of(tmp_path, near, UNDRAWN).planned  # a tip between two grains
    assert not tube_of(tmp_path, off, UNDRAWN).planned


def test_an_end_that_nobody_knows_is_not_planned_to(tmp_path: Path) -> None:
    tube = tube_of(tmp_path, a_plan(a_route()), with_tube("low 1", "loose", name="a"))
    assert not tube.planned


# ── what else it says ────────────────────────────────────────────────────────────────────────────
@pytest.mark.parametrize(
    ("written_ones", "plans", "through"),
    [
        ((), ("bed hole",), ("bed hole",)),
        (("bed hole",), ("bed hole", "bed slot"), ("bed hole", "bed slot")),
        (("bed slot",), ("bed hole",), ("bed slot",)),
        (("bed slot", "bed hole"), ("bed hole", "bed slot"), ("bed slot", "bed hole")),
    ],
)
def test_passages_are_the_plans_where_it_keeps_to_those_of_the_scene(
    written_ones: tuple[str, ...], plans: tuple[str, ...], through: tuple[str, ...], tmp_path: Path
) -> None:
    openings = {
        name: {"at": {"right": right, "back": 10}, "size": {"wide": 20, "deep": 20}}
        for name, right in (("hole", 10), ("slot", 60))
    }
    bed = with_board("bed", (600, 0, 0), (100, 100, 20), opening=openings)
    tube = tube_of(tmp_path, a_plan(a_route(through=plans)), bed, a_drawn(through=list(written_ones)))
    assert tube.through == through


def test_ties_of_the_scene_win(tmp_path: Path) -> None:
    own = a_drawn(ties=[{"along": 300, "to": "board"}, {"along": 9000, "to": "board"}])
    tube = tube_of(tmp_path, a_plan(a_route(ties=TIES)), own)
    assert tube.ties == (Tie(along_mm=300.0, to="board"),)  # the other lies beyond the way that was found


def test_a_tie_to_what_is_not_there_holds_nothing(tmp_path: Path) -> None:
    tube = tube_of(tmp_path, a_plan(a_route(ties=(*TIES, (120.0, "air"), (130.0, "high")))), UNDRAWN)
    assert [tie.to for tie in tube.ties] == ["bundle", "board"]


def test_a_part_that_comes_later_holds_no_tie_before(tmp_path: Path) -> None:
    stages = with_stage("bench"), with_stage("fitted")
    later = BOARD.replace("[part.board]", "[part.board]\nstage = 'fitted'")
    reading = read_scene(written(tmp_path, a_scene(*stages, LOW, HIGH, later, UNDRAWN)))
    plan = a_plan(a_route(ties=TIES))
    held = [[tie.to for tie in shape(reading, place(reading, s), plan)[0].ties] for s in ("bench", "fitted")]
    assert held == [["bundle"], ["bundle", "board"]]


# ── taken up ─────────────────────────────────────────────────────────────────────────────────────
def told(lay: Lay) -> list[tuple[str, str, str | None, str | None]]:
    return [(f.rule, f.severity, f.tube, f.other) for f in lay.findings]


def test_a_plan_beside_the_scene_is_taken_up_and_held_to_the_same_rules(tmp_path: Path) -> None:
    lay = check_scene(planned(tmp_path, SCENE, a_plan(a_route())))
    assert told(lay) == []
    assert lay.taken is not None
    assert (lay.taken.laid, lay.taken.stale) == (("a",), False)
    assert lay.taken.file == str(tmp_path / "scene.plan.json")
    assert lay.proved[0].startswith("1 of 1 tubes were measured")


def test_the_last_tube_of_a_plan_is_laid_like_the_others(tmp_path: Path) -> None:
    lay = check_scene(planned(tmp_path, SCENE, a_plan(a_route())))
    assert [tube.name for tube in lay.tubes if tube.planned] == ["a"]


def test_one_corner_moved_3_mm_into_wood_gives_just_that_fault(tmp_path: Path) -> None:
    lay = check_scene(planned(tmp_path, SCENE, a_plan(a_route(corners=moved(CORNERS[1], (0, 0, 3))))))
    assert told(lay) == [("touch", "fault", "a", "board")]
    (one,) = lay.findings
    # The leg falls 3 in 400 from the corner; the board's nearest edge is 40 along it, 205.28 up.
    off = (205.28 - (203 - 3 * 40 / 400)) * 400 / np.hypot(400, 3) - 2.78
    assert one.low is not None
    assert one.high is not None
    assert one.low - 1e-9 <= off <= one.high + 1e-9
    assert one.high - one.low <= 0.05


def test_a_scene_without_a_plan_has_none(tmp_path: Path) -> None:
    lay = check_scene(written(tmp_path, SCENE))
    assert lay.taken is None
    assert told(lay) == [("unconnected", "fault", "a", None)]
    assert "`routeviz plan SCENE`" in lay.findings[0].remedy


# ── stale ────────────────────────────────────────────────────────────────────────────────────────
def changed(folder: Path, old: str, new: str, plan: Plan) -> Lay:
    """A scene that was planned and then changed."""
    path = planned(folder, SCENE, plan)
    assert old in SCENE
    path.write_text(SCENE.replace(old, new), encoding="utf-8")
    return check_scene(path)


def test_a_changed_comment_leaves_the_plan_as_it_is(tmp_path: Path) -> None:
    lay = changed(tmp_path, "format = 1", "# a remark\nformat = 1", a_plan(a_route()))
    assert lay.taken is not None
    assert not lay.taken.stale


def test_a_plan_of_a_scene_that_was_changed_is_stale_and_checked_anew(tmp_path: Path) -> None:
    lay = changed(tmp_path, "up = 205.28", "up = 203.28", a_plan(a_route()))
    assert lay.taken is not None
    assert (lay.taken.stale, lay.taken.laid) == (True, ("a",))
    assert told(lay) == [("touch", "fault", "a", "board")]


def test_a_tube_whose_end_has_moved_is_without_a_route(tmp_path: Path) -> None:
    lay = changed(tmp_path, "up = 200", "up = 201", a_plan(a_route()))
    assert lay.taken is not None
    assert (lay.taken.stale, lay.taken.laid) == (True, ())
    assert told(lay) == [("unconnected", "fault", "a", None)]


def test_a_tube_that_the_scene_has_no_more_makes_its_plan_stale_and_is_left_out(tmp_path: Path) -> None:
    path = planned(tmp_path, SCENE, a_plan(a_route(), a_route("gone")))
    lay = check_scene(path)
    assert lay.taken is not None
    assert (lay.taken.stale, lay.taken.laid) == (True, ("a",))
    assert told(lay) == []


def test_the_hash_alone_makes_no_plan_fit(tmp_path: Path) -> None:
    lay = check_scene(planned(tmp_path, SCENE, a_plan(a_route(corners=moved(CORNERS[0], (0, 5, 0))))))
    assert lay.taken is not None
    assert lay.taken.stale
    assert told(lay) == [("unconnected", "fault", "a", None)]


def test_a_plan_that_says_another_hash_is_stale_even_where_all_fits(tmp_path: Path) -> None:
    path = planned(tmp_path, SCENE, a_plan(a_route()))
    plan = read_plan(plan_beside(path))
    assert plan is not None
    text = plan_beside(path).read_text().replace(plan.inputs, plan.inputs[:-1] + "x")
    plan_beside(path).write_text(text)
    lay = check_scene(path)
    assert lay.taken is not None
    assert lay.taken.stale
    assert lay.taken.plan == replace(lay.taken.plan, inputs=plan.inputs[:-1] + "x")
