"""What a view shows, as plain values: markers, labels, looks, and eyes that truly see their faults."""

from pathlib import Path

import numpy as np
import pytest
from shapely import Polygon, contains_xy
from small_lay import a_lay

from routeviz.geometry.arrays import Floats
from routeviz.geometry.curves import points_along
from routeviz.geometry.frames import points_from
from routeviz.geometry.shapes import Pieces, pose
from routeviz.views.closeups import Closeup
from routeviz.views.items import Item
from routeviz.views.stepping import Lay


@pytest.fixture(scope="module")
def lay(tmp_path_factory: pytest.TempPathFactory) -> Lay:
    return a_lay(tmp_path_factory.mktemp("lay"))


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Lay:
    return a_lay(tmp_path_factory.mktemp("sound"), findings=False)


def item(lay: Lay, name: str, kind: str = "solid") -> Item:
    """The one item of this name and kind."""
    (found,) = [i for i in lay.shown.items if (i.name, i.kind) == (name, kind)]
    return found


def within(points: Floats, pieces: Pieces) -> np.ndarray:
    """Which points lie in pieces: by each piece's own frame and shapely, nothing of the sight code."""
    found = np.zeros(len(points), dtype=bool)
    for k in range(len(pieces.halves)):
        local = (points - pieces.origins[k]) @ pieces.rotations[k]
        outline = pieces.corners[pieces.begins[k] : pieces.begins[k + 1]]
        across = (
            contains_xy(Polygon(outline), local[:, 0], local[:, 1])
            if len(outline)
            else np.hypot(local[:, 0], local[:, 1]) < pieces.radii[k]
        )
        found |= across & (np.abs(local[:, 2]) < pieces.halves[k])
    return found


def on_the_way(lay: Lay, closeup: Closeup) -> set[str]:
    """Everything on the line from the eye to the place, found by walking it in 0.1 mm steps."""
    eye, target = closeup.view.eye, closeup.view.target
    steps = np.linspace(0.0, 1.0, int(np.linalg.norm(target - eye) / 0.1))[:, None]
    walked = eye + steps * (target - eye)
    met = set()
    for index, solid in enumerate(lay.cabinet.solids):
        moved = closeup.moved is not None and solid.name == closeup.moved[0]
        back = np.linalg.inv(
            pose(lay.cabinet.bodies, index, closeup.moved[1] if moved and closeup.moved else 0.0)
        )
        if within(points_from(back, walked), solid.pieces).any():
            met.add(solid.name)
    for tube in lay.tubes:
        if tube.curve is not None and tube.name not in closeup.about:
            centre = points_along(tube.curve, np.linspace(0.0, float(tube.curve.begins[-1]), 1500))
            near = [
                np.linalg.norm(centre - p, axis=1).min() < tube.kind.outside_mm / 2 - 0.05
                for p in walked[::20]
            ]
            if any(near):
                met.add(tube.name)
    return met


def test_markers_carry_the_numbers_and_places_of_the_printed_findings(lay: Lay) -> None:
    assert [m.number for m in lay.shown.markers] == [1, 2, 4, 5, 6]
    for marker in lay.shown.markers:
        finding = lay.findings[marker.number - 1]
        assert marker.severity == finding.severity
        assert (marker.point == finding.point).all()
        assert finding.rule in marker.says
    assert lay.shown.placeless == ("3 fit: t 3 – u 3",)


def test_every_fault_with_a_place_has_a_close_up_and_nothing_else_has(lay: Lay) -> None:
    assert [c.number for c in lay.shown.closeups] == [1, 2, 4]
    for closeup in lay.shown.closeups:
        assert (closeup.view.target == lay.findings[closeup.number - 1].point).all()


def test_from_its_eye_every_fault_can_be_seen_past_all_that_is_not_faded(lay: Lay) -> None:
    for closeup in lay.shown.closeups:
        assert on_the_way(lay, closeup) <= closeup.faded


def test_a_fault_on_the_open_side_is_seen_with_nothing_faded_on_its_line(lay: Lay) -> None:
    touch = lay.shown.closeups[1]
    assert touch.number == 2
    assert not on_the_way(lay, touch)


def test_the_same_lay_gives_the_same_eyes(lay: Lay, tmp_path: Path) -> None:
    again = a_lay(tmp_path)
    for one, other in zip(lay.shown.closeups, again.shown.closeups, strict=True):
        assert (one.view.eye == other.view.eye).all()
        assert one.faded == other.faded


def test_a_rub_is_shown_where_in_the_travel_it_happens(lay: Lay) -> None:
    assert lay.shown.closeups[0].moved == ("keys 5", 0.5)
    assert lay.shown.closeups[1].moved is None


def test_tubes_with_findings_are_marked_by_the_worst_of_them(lay: Lay, sound: Lay) -> None:
    severities = {i.name: i.severity for i in lay.shown.items if i.kind == "tube"}
    assert severities == {"t 1": "fault", "t 2": "fault", "t 3": "fault", "t 4": "caution"}
    assert item(lay, "t 1", "tube").numbers == (1,)
    assert item(lay, "t 1", "tube").bands.any()
    assert not any(i.marked for i in sound.shown.items)
    assert not any(i.bands.any() for i in sound.shown.items if i.kind == "tube")


def test_tubes_differ_by_what_they_carry(sound: Lay) -> None:
    assert item(sound, "t 1", "tube").look.colour == item(sound, "t 2", "tube").look.colour
    assert item(sound, "t 1", "tube").look.colour != item(sound, "t 4", "tube").look.colour


def test_a_drawn_tube_lies_on_its_checked_centreline(lay: Lay) -> None:
    for tube in lay.tubes:
        assert tube.curve is not None
        centre = points_along(tube.curve, np.linspace(0.0, float(tube.curve.begins[-1]), 4000))
        drawn = item(lay, tube.name, "tube").points
        free = drawn[~np.isin(np.arange(len(drawn)), np.arange(len(drawn) - 200, len(drawn)))]
        off = np.array([np.linalg.norm(centre - p, axis=1).min() for p in free[::7]])
        # Corners lie on the circles; between two of the 4000 points it is a quarter of a millimetre.
        assert off.max() <= tube.kind.outside_mm / 2 + 0.02


def test_a_tube_over_its_nipple_is_as_wide_as_rubber_that_keeps_its_volume(lay: Lay) -> None:
    nipple, tube = lay.cabinet.nipples["t 1"], lay.tubes[0]
    points = item(lay, "t 1", "tube").points
    behind = points[((points - nipple.tip) @ nipple.direction) < -1e-6]
    axis = nipple.tip + ((behind - nipple.tip) @ nipple.direction)[:, None] * nipple.direction
    wide = 2 * np.linalg.norm(behind - axis, axis=1).max()
    kept = np.sqrt(tube.kind.outside_mm**2 - tube.kind.bore_mm**2 + nipple.outside_mm**2)  # first principles
    assert wide == pytest.approx(kept, abs=1e-6)


def test_a_natural_is_ivory_and_a_sharp_black_in_front_and_both_bare_wood_behind(lay: Lay) -> None:
    natural, sharp = item(lay, "keys 1"), item(lay, "keys 2")
    assert natural.look.colour != sharp.look.colour
    assert natural.look.second == sharp.look.second
    for key, front_mm in ((natural, 235.0), (sharp, 50.0 + 90.0)):
        bare = key.points[np.unique(key.triangles[key.bands == 1])]
        assert bare[:, 1].min() == pytest.approx(front_mm)


def test_spaces_passages_nipples_and_ties_are_there(lay: Lay) -> None:
    space = item(lay, "hand", "keep clear")
    assert len(space.lines) > space.edges == 12
    assert len(item(lay, "shelf hole", "passage").lines) == 8
    assert sum(i.kind == "nipple" for i in lay.shown.items) == 9
    assert sum(i.kind == "tie" for i in lay.shown.items) == 4


def test_labels_are_tags_reasons_passages_and_parts(lay: Lay) -> None:
    words = {(label.kind, label.text) for label in lay.shown.labels}
    assert {
        ("tube", "T1"),
        ("tube", "T4"),
        ("passage", "shelf hole"),
        ("part", "shelf"),
        ("part", "keys"),
    } <= words
    assert ("keep clear", "hand: the hand comes here") in words


def test_the_legend_explains_what_is_there_and_nothing_else(lay: Lay, sound: Lay) -> None:
    assert [e.text for e in lay.shown.legend] == [
        "fault",
        "caution",
        "note",
        "tube with a fault",
        "tube with a caution",
        "signal",
        "always-on vacuum",
        "tie",
        "passage",
        "to be kept clear",
    ]
    assert [e.text for e in sound.shown.legend][:2] == ["signal", "always-on vacuum"]


def test_there_is_one_view_in_perspective_and_three_to_scale(lay: Lay) -> None:
    assert [(v.name, v.parallel) for v in lay.shown.views] == [
        ("overview", False),
        ("front", True),
        ("top", True),
        ("side", True),
    ]
    front, top, side = lay.shown.views[1:]
    assert (front.eye - front.target)[1] < 0 < (top.eye - top.target)[2]
    assert (side.eye - side.target)[0] > 0
