"""Every plan that lies beside a scene, held to the scene by the separate checker alone.

Nothing of the package is asked: the plan's corners, radii, passages and ties are read from the file, the
scene a second time. A new plan needs no new test.
"""

from pathlib import Path

import pytest
from verifier.lays import case_of
from verifier.plans import lay_of
from verifier.shortfalls import shortfalls

SCENES = Path(__file__).parents[2] / "scenes"
PLANS = sorted(SCENES.glob("*.plan.json"))


@pytest.fixture(scope="module", params=PLANS, ids=lambda path: path.name)
def planned(request):
    """The case and the lay of a scene with a plan."""
    scene = request.param.with_name(request.param.name.replace(".plan.json", ".toml"))
    whole = case_of(scene)
    return whole, lay_of(whole, scene)


def test_every_part_and_every_tube_of_it_is_understood(planned):
    whole, lay = planned
    assert whole.unread == []
    assert lay.unread == []


def test_no_tube_is_left_without_a_way(planned):
    _, lay = planned
    assert lay.without == []
    assert any(way.is_planned for way in lay.ways)


def test_nothing_falls_short_of_what_the_scene_asks_for(planned):
    assert shortfalls(*planned) == []
