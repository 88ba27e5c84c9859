"""Two states in one picture: which look each thing takes, and where it is drawn."""

from pathlib import Path

import numpy as np
import pytest
from builders import a_scene, with_box
from lays_compared import lay_in
from verdicts import a_tube_up

from routeviz.archive.differences import differences
from routeviz.archive.fates import fates_of
from routeviz.views.before_and_after import MOST_MARKERS, WITHIN_MM, before_and_after
from routeviz.views.display import Display
from routeviz.views.drawing import Stroke
from routeviz.views.drawings import compared_drawings, drawings
from routeviz.views.shades import GHOST_OPACITY, LAY_BEFORE, LIES_NOW, LIES_SAME, STANDS_NOW, STOOD_BEFORE
from routeviz.views.svg import svg_of

BOARD = with_box("board", (-50, 90, 0), (400, 10, 300))


def both(folder: Path, before: str, after: str) -> Display:
    lays = lay_in(folder, "before", before), lay_in(folder, "after", after)
    return before_and_after(*lays, fates_of(differences(*lays)), "Any", 1.6)


def tubes_at(shown: Display, look: object) -> list[str]:
    return [item.name for item in shown.items if item.kind == "tube" and item.look == look]


def test_what_moved_is_there_twice_and_what_stayed_once(tmp_path: Path) -> None:
    stays = a_tube_up("stays", at=(60, 0, 0))
    shown = both(
        tmp_path,
        a_scene(BOARD, stays, a_tube_up("moves"), a_tube_up("goes", at=(120, 0, 0))),
        a_scene(BOARD, stays, a_tube_up("moves", at=(0, 9, 0)), a_tube_up("comes", at=(180, 0, 0))),
    )
    assert tubes_at(shown, LIES_NOW) == ["moves", "comes"]
    assert tubes_at(shown, LAY_BEFORE) == ["moves", "goes"]
    assert tubes_at(shown, LIES_SAME) == ["stays"]
    texts = [entry.text for entry in shown.legend]
    assert texts == ["lies so now", "lay so before", "lies as it did"]
    assert [marker.says for marker in shown.markers] == ["moves: 9.0 mm"]
    assert {label.name for label in shown.labels if label.kind == "tube"} == {"moves", "comes"}


def test_each_course_lies_where_it_lies_and_the_earlier_one_within_where_they_are_one(tmp_path: Path) -> None:
    shown = both(tmp_path, a_scene(a_tube_up("a")), a_scene(a_tube_up("a", at=(0, 9, 0))))
    middles = {}
    for item in shown.items:
        if item.kind == "tube":
            wall = item.points[np.abs(item.normals[:, 2]) < 0.5]  # a tube straight up, without its flat ends
            low, high = wall[:, 1].min(), wall[:, 1].max()
            middles[item.look] = 0.5 * (low + high), 0.5 * (high - low)
    assert middles[LIES_NOW][0] == pytest.approx(9.0, abs=0.01)
    assert middles[LAY_BEFORE][0] == pytest.approx(0.0, abs=0.01)
    assert middles[LIES_NOW][1] - middles[LAY_BEFORE][1] == pytest.approx(WITHIN_MM, abs=0.01)
    (earlier,) = [item for item in shown.items if item.look == LAY_BEFORE]
    assert 0.3 < np.mean(earlier.bands == 1) < 0.7  # broken: half of it in the second colour


def test_a_part_that_stood_elsewhere_is_drawn_by_its_broken_edges(tmp_path: Path) -> None:
    shown = both(
        tmp_path,
        a_scene(BOARD, with_box("chest", (0, 0, 0), (50, 50, 50))),
        a_scene(BOARD, with_box("chest", (0, 20, 0), (50, 50, 50))),
    )
    looks = {item.look: item for item in shown.items if item.name == "chest"}
    assert set(looks) == {STANDS_NOW, STOOD_BEFORE}
    assert looks[STOOD_BEFORE].points[:, 1].min() == pytest.approx(0)
    assert looks[STANDS_NOW].points[:, 1].min() == pytest.approx(20)
    assert GHOST_OPACITY < STOOD_BEFORE.opacity < STANDS_NOW.opacity  # what is fainter has no edges
    assert STOOD_BEFORE.dashes
    assert [entry.text for entry in shown.legend] == ["stands so now", "stood so before"]


def test_only_the_worst_are_marked(tmp_path: Path) -> None:
    def rows(by: float) -> str:
        return a_scene(*(a_tube_up(f"t{k}", at=(30.0 * k, by * k, 0)) for k in range(1, 20)))

    shown = both(tmp_path, rows(0.0), rows(2.0))
    assert len(shown.markers) == MOST_MARKERS
    assert shown.markers[0].says == "t19: 38.0 mm"


def test_drawings_show_how_tubes_lay_by_their_centrelines(tmp_path: Path) -> None:
    before, after = (lay_in(tmp_path, str(by), a_scene(a_tube_up("a", at=(7, by, 20)))) for by in (3, 12))
    found = compared_drawings(after, before.tubes)
    assert [one.name for one in found] == ["front", "top", "side"]
    # Straight up from 20 to 320 at right 7 and back 3: seen from the front, from above, from the right.
    ends = {"front": [(7, 20), (7, 320)], "top": [(7, 3), (7, 3)], "side": [(3, 20), (3, 320)]}
    for one in found:
        strokes = [mark for mark in one.marks if isinstance(mark, Stroke) and mark.kind == "earlier"]
        drawn = [stroke.points[[0, -1]] for stroke in strokes if len(stroke.points) > 1]
        assert any(np.allclose(points, ends[one.name]) for points in drawn), one.name
        assert "now and before" in one.title
        assert "how a tube lay before" in svg_of(one)
    (plain, *_) = drawings(after)
    assert "how a tube lay before" not in svg_of(plain)
