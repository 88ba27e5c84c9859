import math

import pytest
from builders import with_box, with_stage
from placed import a_cabinet, the_problem

from routeviz.errors import SceneError

STAGES = (with_stage("bench"), with_stage("fitting", pose="leaned back 90 deg"), with_stage("done"))


def there(at_stage: str | None, **when: str) -> bool:
    """Whether a part that says when it is there is there at a stage."""
    return bool(a_cabinet(*STAGES, with_box("box", (0, 0, 0), (1, 1, 1), **when), stage=at_stage).solids)


@pytest.mark.parametrize(
    ("when", "stages"),
    [
        ({}, ["bench", "fitting", "done"]),
        ({"stage": "fitting"}, ["fitting", "done"]),
        ({"until": "fitting"}, ["bench", "fitting"]),
        ({"stage": "fitting", "until": "fitting"}, ["fitting"]),
    ],
)
def test_a_part_is_there_from_its_stage_until_its_last(when: dict[str, str], stages: list[str]) -> None:
    assert [stage for stage in ("bench", "fitting", "done") if there(stage, **when)] == stages


def test_the_last_stage_is_meant_where_none_is_said() -> None:
    assert a_cabinet(*STAGES).stage == "done"
    assert not there(None, until="fitting")
    assert a_cabinet().stage is None


def test_a_stage_that_is_not_there_is_refused() -> None:
    with pytest.raises(SceneError) as caught:
        a_cabinet(*STAGES, stage="finishing")
    (problem,) = caught.value.problems
    assert problem.found == "no stage 'finishing'"
    assert problem.allowed == "one of fitting, bench, done"
    assert problem.remedy == "ask for one of these stages"


def test_upright_things_hang_down() -> None:
    assert a_cabinet().down.tolist() == [0, 0, -1]


def test_in_a_case_leaned_back_things_hang_towards_its_back() -> None:
    # Leaned back by 30 degrees the case's back is 30 degrees nearer to the floor: down has sin 30 of it.
    down = a_cabinet(top="pose = 'leaned back 30 deg'").down
    assert down.tolist() == pytest.approx([0, 0.5, -math.sqrt(3) / 2])


def test_in_a_case_on_its_back_things_hang_straight_towards_its_back() -> None:
    assert a_cabinet(top="pose = 'leaned back 90 deg'").down.tolist() == [0, 1, 0]


def test_a_stage_may_have_its_own_pose() -> None:
    assert a_cabinet(*STAGES, stage="fitting").down.tolist() == [0, 1, 0]
    assert a_cabinet(*STAGES, stage="done").down.tolist() == [0, 0, -1]


@pytest.mark.parametrize("pose", ["leaned back 91 deg", "leaned back -5 deg", "leaned forward 5 deg", ""])
def test_a_pose_in_other_words_is_refused(pose: str) -> None:
    key, found, allowed, remedy = the_problem(top=f"pose = {pose!r}")
    assert key == "pose"
    assert found == f"the pose {pose!r}"
    assert allowed == "'upright', or 'leaned back 70 deg' with an angle from 0 to 90"
    assert remedy == "say how the case stands while tubes hang in it"


@pytest.mark.parametrize("pose", ["leaned back 5 mm", "leaned back", "leaned back far"])
def test_a_pose_without_an_angle_in_degrees_is_refused(pose: str) -> None:
    key, found, _, _ = the_problem(with_stage("bench", pose=pose))
    assert key == "stages.1.pose"
    assert found.startswith(f"{pose!r}: ")
