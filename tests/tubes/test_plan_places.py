"""Places that a plan gives to tees: taken up where they can be, refused at their key in it where not."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from builders import a_scene, place, read, with_box, with_nipple, with_part, with_tube, written
from planned import a_plan

from routeviz.cabinet.inputs import inputs_of
from routeviz.cabinet.joins import JoinPlace
from routeviz.errors import SceneError
from routeviz.pipeline import check_reading, check_scene, placed
from routeviz.scene.reading import read_scene
from routeviz.tubes.plan_file import plan_beside, write_plan
from routeviz.tubes.plan_places import settled
from routeviz.tubes.plans import Plan

TEE = with_part("tee", kind="tee", outside=4.4, long=40)
PIECES = [
    with_box("floor", (0, 0, 0), (400, 300, 10)),
    with_box("lid", (0, 0, 290), (400, 300, 10)),
    with_nipple("low", (100, 100, 50), outside=4.4),
    with_part("taped", kind="tee", at=place(300, 200, 100), outside=4.4, long=40),
    with_part("joint", kind="coupler", outside=4.4, long=40),
    TEE,
    with_tube("low 1", "tee 1", name="one"),
    with_tube("tee 2", "joint 1", name="two"),
]
LIES = JoinPlace(name="tee", at=np.array([200.0, 150, 100]), runs="up", branches="front")
JOINT = JoinPlace(name="joint", at=np.array([200.0, 150, 200]), runs="up", branches=None)


def with_plan(folder: Path, plan: Plan, *pieces: str) -> Path:
    """A scene and, as one that was made for it, its plan."""
    path = written(folder, a_scene(*pieces))
    write_plan(plan_beside(path), replace(plan, inputs=inputs_of(read_scene(path))))
    return path


def test_it_stands_where_the_plan_says(tmp_path: Path) -> None:
    cabinet = check_scene(with_plan(tmp_path, replace(a_plan(), places=(LIES, JOINT)), *PIECES)).cabinet
    assert cabinet.without_place == ()
    # half of 40 from the middle: down, up, and to the front
    assert {name: n.tip.tolist() for name, n in cabinet.nipples.items() if n.part in ("tee", "joint")} == {
        "tee 1": [200, 150, 80],
        "tee 2": [200, 150, 120],
        "tee 3": [200, 130, 100],
        "joint 1": [200, 150, 180],
        "joint 2": [200, 150, 220],
    }
    assert {"tee", "joint"} <= {solid.name for solid in cabinet.solids}


def test_the_scene_s_own_hash_stays_what_it_was(tmp_path: Path) -> None:
    path = with_plan(tmp_path, replace(a_plan(), places=(LIES,)), *PIECES)
    lay = check_scene(path)
    assert lay.taken is not None
    assert lay.taken.stale is False
    assert inputs_of(lay.reading) == lay.taken.plan.inputs


def test_of_a_stale_plan_no_place_is_taken_up(tmp_path: Path) -> None:
    path = with_plan(tmp_path, replace(a_plan(), places=(LIES, JOINT)), *PIECES)
    written(tmp_path, a_scene(*PIECES, with_box("new", (10, 10, 10), (5, 5, 5))))
    lay = check_scene(path)
    assert lay.taken is not None
    assert lay.taken.stale is True
    assert lay.cabinet.without_place == ("joint", "tee")


@pytest.mark.parametrize(
    ("one", "told"),
    [
        (replace(LIES, name="te"), " places.1.name: a place for 'te'\n"
         "  allowed: what the scene leaves without a place: joint, tee\n"),
        (replace(LIES, name="taped"), " places.1.name: a place for 'taped'\n"),
        (replace(LIES, name="floor"), " places.1.name: a place for 'floor'\n"),
        # the floor reaches 400 to the right
        (replace(LIES, at=np.array([400.1, 150, 100])), " places.1.at: tee at right 400, back 150, up 100\n"
         "  allowed: a place in the case, between the outermost of what stands there\n"),
        (replace(LIES, branches=None), " places.1.branches: no branch on a tee\n"),
        (replace(LIES, branches="down"), " places.1.branches: a branch that lies along the run\n"),
        (replace(JOINT, branches="left"), " places.1.branches: a branch on a coupler\n"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_at_its_key_in_the_plan(tmp_path: Path, one: JoinPlace, told: str) -> None:
    path = with_plan(tmp_path, replace(a_plan(), places=(one,)), *PIECES)
    with pytest.raises(SceneError) as caught:
        check_scene(path)
    assert str(caught.value).startswith(f"{plan_beside(path)}:{told}")
    assert str(caught.value).endswith("  remedy: plan again: routeviz plan SCENE; or take the plan away")


def test_at_the_rim_of_the_case_it_may_lie(tmp_path: Path) -> None:
    reading = read(tmp_path, *PIECES)
    rim = replace(LIES, at=np.array([400.0, 300, 300]))
    settled(reading, replace(a_plan(), places=(rim,)), placed(reading)[-1], "case.plan.json")


# ── without a plan ───────────────────────────────────────────────────────────────────────────────
def test_without_a_plan_it_is_told_with_its_tubes_as_one_group(tmp_path: Path) -> None:
    faults = [f for f in check_reading(read(tmp_path, *PIECES)).findings if f.severity == "fault"]
    assert [(f.rule, f.other, f.says) for f in faults] == [
        ("unconnected", None, "no route, so nothing was checked of one, two"),
        ("unconnected", "joint", "joint has no place yet"),
        ("unconnected", "tee", "tee has no place yet"),
    ]
    assert faults[0].tubes == ("one", "two")
    assert "routeviz plan" in faults[0].remedy
    assert all("routeviz plan" in f.remedy and "`at`" in f.remedy for f in faults[1:])


def test_one_that_comes_later_or_has_gone_is_not_missing(tmp_path: Path) -> None:
    stages = ["[[stages]]\nname = 'bench'", "[[stages]]\nname = 'fitted'"]
    joint = with_part("joint", kind="coupler", outside=4.4, until="bench")
    reading = read(tmp_path, *PIECES[:3], joint, *stages)
    assert [cabinet.without_place for cabinet in placed(reading)] == [("joint",), ()]
    assert not [f for f in check_reading(reading).findings if f.other == "joint"]
