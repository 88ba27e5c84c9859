"""Scenes without routes are planned anew, and each plan is held to its scene by package and separate checker.

What lies beside the scenes was planned on some machine; what is planned here need not be the same to the
last digit, but there must be nothing wrong with it.
"""

import shutil
from pathlib import Path

import pytest
from verifier.shortfalls import shortfalls_of

from routeviz.laying import Laying, plan_scene
from routeviz.tubes.routes import awaits_route

SCENES = Path(__file__).parents[2] / "scenes"
PLANNED = sorted(SCENES.glob("*.plan.json"))


@pytest.fixture(scope="module", params=PLANNED, ids=lambda path: path.name.removesuffix(".plan.json"))
def afresh(request, tmp_path_factory) -> tuple[Path, Laying]:
    """A copy of a scene, and what came of planning it."""
    name = request.param.name.replace(".plan.json", ".toml")
    copy = Path(shutil.copy(SCENES / name, tmp_path_factory.mktemp("afresh")))
    return copy, plan_scene(copy, fresh=True)


def test_every_tube_is_laid_and_no_check_finds_a_fault(afresh):
    _, laying = afresh
    assert laying.ended == "found"
    assert laying.lay is not None
    assert not any(awaits_route(tube) for tube in laying.lay.tubes)
    assert [one.says for one in laying.lay.findings if one.severity == "fault"] == []


def test_the_separate_checker_finds_nothing_short(afresh):
    scene, _ = afresh
    assert shortfalls_of(scene) == []


def test_no_passage_takes_more_than_the_fitter_allows(afresh):
    _, laying = afresh
    taken = {name: 0 for name, one in laying.lay.cabinet.passages.items() if one.most is not None}
    for tube in laying.lay.tubes:
        for name in tube.through:
            taken[name] += 1
    assert taken
    assert {name: n for name, n in taken.items() if n > laying.lay.cabinet.passages[name].most} == {}
