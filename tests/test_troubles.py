"""What is handed back of bends that the checks only just forgive; the rest of it is in test_laying.py."""

from pathlib import Path

import pytest
from planned import SCENE, a_plan, a_route, planned

from routeviz.pipeline import check_scene
from routeviz.troubles import forgiven, troubles_of

LEAST = 22.0  # builders.NOTE


@pytest.mark.parametrize("radius", [LEAST, LEAST + 0.03, 30.0])
def test_a_planned_bend_that_keeps_the_least_is_no_trouble(radius: float, tmp_path: Path) -> None:
    lay = check_scene(planned(tmp_path, SCENE, a_plan(a_route(radii=[radius]))))
    assert forgiven(lay) == () == troubles_of(lay)


def test_a_planned_bend_that_the_checks_only_just_forgive_is_handed_back(tmp_path: Path) -> None:
    lay = check_scene(planned(tmp_path, SCENE, a_plan(a_route(radii=[LEAST - 0.03]))))
    assert lay.findings == ()
    (one,) = troubles_of(lay)
    assert (one.rule, one.tube, one.other) == ("kink", "a", None)
    assert one.lacks_mm == pytest.approx(0.03)


def test_a_bend_that_the_checks_tell_of_is_handed_back_once(tmp_path: Path) -> None:
    lay = check_scene(planned(tmp_path, SCENE, a_plan(a_route(radii=[LEAST - 1.0]))))
    assert [(one.rule, one.lacks_mm) for one in troubles_of(lay)] == [("kink", pytest.approx(1.0))]
