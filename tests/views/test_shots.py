"""Which look each thing takes in the whole, in a close-up, and beside a single tube."""

from dataclasses import replace

import numpy as np
import pytest
from small_lay import a_lay

from routeviz.geometry.shapes import pose
from routeviz.views.batches import batches
from routeviz.views.shades import GHOST_OPACITY, MARKED, WALL_OPACITY
from routeviz.views.shots import Drawn, alone, near, whole
from routeviz.views.stepping import Lay


@pytest.fixture(scope="module")
def lay(tmp_path_factory: pytest.TempPathFactory) -> Lay:
    return a_lay(tmp_path_factory.mktemp("lay"))


def drawn_as(drawn: tuple[Drawn, ...], name: str, kind: str) -> list[Drawn]:
    return [d for d in drawn if (d.item.name, d.item.kind) == (name, kind)]


def test_in_the_whole_every_tube_with_a_finding_is_marked(lay: Lay) -> None:
    looks = {d.item.name: d.look for d in whole(lay.shown, lay.shown.views[0]) if d.item.kind == "tube"}
    assert looks["t 1"] == looks["t 2"] == MARKED["fault"]
    assert looks["t 4"] == MARKED["caution"]


def test_a_close_up_marks_only_what_it_is_about(lay: Lay) -> None:
    drawn = near(lay.shown, lay.shown.closeups[0], lay.cabinet)
    (about,), (other,) = drawn_as(drawn, "t 1", "tube"), drawn_as(drawn, "t 2", "tube")
    assert about.look == MARKED["fault"]
    assert about.banded
    assert not other.banded


def test_a_rubbing_key_is_shown_in_its_travel_with_a_faint_one_at_rest(lay: Lay) -> None:
    moved, rest = drawn_as(near(lay.shown, lay.shown.closeups[0], lay.cabinet), "keys 5", "solid")
    index = [s.name for s in lay.cabinet.solids].index("keys 5")
    assert moved.frame == pytest.approx(pose(lay.cabinet.bodies, index, 0.5))
    assert (rest.frame == np.eye(4)).all()
    assert rest.look.opacity < 0.3 < moved.look.opacity


def test_keys_are_at_rest_everywhere_else(lay: Lay) -> None:
    assert all((d.frame == np.eye(4)).all() for d in whole(lay.shown, lay.shown.views[0]))


def test_a_wall_before_all_tubes_is_drawn_by_its_edges(lay: Lay) -> None:
    from_left = replace(lay.shown.views[3], eye=2 * lay.shown.views[3].target - lay.shown.views[3].eye)
    (there,), (not_there,) = (
        drawn_as(whole(lay.shown, view), "side", "solid") for view in (from_left, lay.shown.views[3])
    )
    assert there.look.opacity == WALL_OPACITY < not_there.look.opacity
    assert there.look.line == not_there.look.line


def test_what_hides_a_fault_is_faint_in_its_close_up(lay: Lay) -> None:
    for closeup in lay.shown.closeups:
        for d in near(lay.shown, closeup, lay.cabinet):
            if (
                d.item.name in closeup.faded
                and d.item.kind in ("solid", "tube")
                and d.item.name not in closeup.about
            ):
                assert d.look.opacity <= GHOST_OPACITY


def test_beside_a_single_tube_everything_is_faint(lay: Lay) -> None:
    drawn = alone(lay.shown, "t 2")
    assert [d.item.name for d in drawn if d.item.kind == "tube" and d.look.opacity == 1.0] == ["t 2"]
    assert all(d.look.opacity < 0.3 for d in drawn if d.item.kind == "solid")


def test_hundreds_of_things_become_few_batches_with_every_triangle_once(lay: Lay) -> None:
    drawn = whole(lay.shown, lay.shown.views[0])
    joined = batches(drawn)
    assert len(joined) < 30
    faces = sum(len(b.triangles) for b in joined if b.stroke.form == "faces")
    assert faces == sum(len(d.item.triangles) for d in drawn)
    for batch in joined:
        assert not len(batch.triangles) or batch.triangles.max() == len(batch.points) - 1
