"""What is seen from a side and what is hidden: against rays walked through the case, and worked by hand."""

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import shapely
from builders import (
    a_scene,
    corners_of,
    with_box,
    with_nipple,
    with_tube,
    written,
)
from builders import place as at
from drawn import by_name, of_kind

from routeviz.geometry.curves import points_along
from routeviz.geometry.shapes import Pieces
from routeviz.lay import Lay
from routeviz.pipeline import check_scene
from routeviz.tubes.routes import Tube
from routeviz.views.drawing import Arc


def inside(points: np.ndarray, pieces: Pieces, slack: float) -> np.ndarray:
    """Which points lie in pieces, grown by a slack: by each piece's frame and shapely."""
    found = np.zeros(len(points), dtype=bool)
    for k in range(len(pieces.halves)):
        local = (points - pieces.origins[k]) @ pieces.rotations[k]
        outline = pieces.corners[pieces.begins[k] : pieces.begins[k + 1]]
        near = np.abs(local[:, 2]) < pieces.halves[k] + slack
        if len(outline):
            shape = shapely.Polygon(outline).buffer(slack, join_style="mitre")
            found |= near & shapely.contains_xy(shape, local[:, 0], local[:, 1])
        else:
            found |= near & (np.hypot(local[:, 0], local[:, 1]) < pieces.radii[k] + slack)
    return found


OUT = np.array([0.0, -1.0, 0.0])  # from the case to an eye before it


def wood_before(lay: Lay, point: np.ndarray, slack: float) -> bool:
    """Whether a walk towards the eye in steps of half a millimetre comes into wood, grown by a slack."""
    walk = point + np.arange(1.0, 800.0, 0.5)[:, None] * OUT
    return any(inside(walk, solid.pieces, slack).any() for solid in lay.cabinet.solids)


def tube_before(lay: Lay, point: np.ndarray, own: str, slack: float) -> bool:
    """Whether another tube is nearer to the line to the eye than its radius and a slack: by dense points."""
    for tube in lay.tubes:
        if tube.curve is not None and tube.name != own:
            offset = dense(tube) - point
            before = offset @ OUT > 0.0
            aside = np.linalg.norm(offset - np.outer(offset @ OUT, OUT), axis=1)
            if (aside[before] < tube.kind.outside_mm / 2 + slack).any():
                return True
    return False


def dense(tube: Tube) -> np.ndarray:
    assert tube.curve is not None
    whole = float(tube.curve.begins[-1])
    return points_along(tube.curve, np.linspace(0, whole, int(whole / 0.4)))


@pytest.fixture(scope="module")
def crossing(tmp_path_factory: pytest.TempPathFactory) -> Lay:
    """Posts, a rail before them, and tubes that cross each other before, between and behind them."""
    pieces = [with_box(f"post {'abcde'[k]}", (60.0 * k, 100, 0), (18, 30, 300)) for k in range(5)]
    pieces += [with_box("rail", (0, 20, 140), (300, 12, 30))]
    for k in range(6):
        low, high = 20.0 + 40 * k, 200.0 - 25 * k
        y = (60.0, 150.0, 75.0, 170.0, 90.0, 190.0)[k]
        start, end = f"start {'abcdef'[k]}", f"end {'abcdef'[k]}"
        corners = corners_of((20, y, low), (280, y, high), radius=25)
        pieces += [with_nipple(start, (-40, y, low), "right"), with_nipple(end, (340, y, high), "left")]
        pieces += [with_tube(f"{start} 1", f"{end} 1", corners=corners)]
    return check_scene(written(tmp_path_factory.mktemp("crossing"), a_scene(*pieces)))


def test_centrelines_are_dashed_where_rays_meet_wood_and_nowhere_else(crossing: Lay) -> None:
    """Samples at which a slack of 0.4 mm decides are passed over, and those where others' dashes cross."""
    rng = np.random.default_rng(3)
    dashes = [shapely.LineString(m.points) for m in of_kind(by_name(crossing, "front"), "hidden tube")]
    axes = {tube.name: shapely.LineString(dense(tube)[:, [0, 2]]) for tube in crossing.tubes}
    counts = {True: 0, False: 0}
    for tube in crossing.tubes:
        for point in rng.choice(dense(tube)[10:-10], 40, replace=False):
            seen = shapely.Point(point[0], point[2])
            surely, perhaps = (wood_before(crossing, point, slack) for slack in (-0.4, 0.4))
            beside = min(float(axis.distance(seen)) for name, axis in axes.items() if name != tube.name)
            if surely == perhaps and beside > 1.0:
                assert (shapely.union_all(dashes).distance(seen) < 0.3) == surely, (tube.name, point)
                counts[surely] += 1
    assert min(counts.values()) > 40


def test_sides_of_tubes_are_drawn_where_rays_meet_nothing_and_nowhere_else(crossing: Lay) -> None:
    """Sides are as deep as the centreline, a radius off it; samples near others' are passed over."""
    rng = np.random.default_rng(4)
    drawn = shapely.union_all(
        [shapely.LineString(m.points) for m in of_kind(by_name(crossing, "front"), "tube")]
    )
    counts = {True: 0, False: 0}
    sides = {}
    for tube in crossing.tubes:
        axis = dense(tube)
        ahead = np.gradient(axis, axis=0)
        aside = np.column_stack([-ahead[:, 2], np.zeros(len(axis)), ahead[:, 0]])
        sides[tube.name] = axis + 2.78 * aside / np.linalg.norm(aside, axis=1, keepdims=True)
    for tube in crossing.tubes:
        others = [shapely.LineString(v[:, [0, 2]]) for name, v in sides.items() if name != tube.name]
        near = [
            shapely.LineString(dense(t)[:, [0, 2]]).buffer(2.78 + 0.6) for t in crossing.tubes if t != tube
        ]
        rims = [one.exterior for one in near]
        for point in rng.choice(sides[tube.name][10:-10], 60, replace=False):
            seen = shapely.Point(point[0], point[2])
            surely, perhaps = (
                wood_before(crossing, point, slack) or tube_before(crossing, point, tube.name, slack)
                for slack in (-0.4, 0.4)
            )
            beside = min(float(one.distance(seen)) for one in (*others, *rims))
            if surely == perhaps and beside > 1.0:
                assert (drawn.distance(seen) < 0.25) != surely, (tube.name, point)
                counts[surely] += 1
    assert min(counts.values()) > 20


def test_a_tube_behind_another_is_seen_on_both_sides_of_it_and_not_between(tmp_path: Path) -> None:
    lay = check_scene(
        written(
            tmp_path,
            a_scene(
                with_nipple("a", (0, 50, 100), "right"),
                with_nipple("b", (200, 50, 100), "left"),
                with_nipple("c", (100, 20, 0), "up"),
                with_nipple("d", (100, 20, 200), "down"),
                with_tube("a 1", "b 1", corners=[]),
                with_tube("c 1", "d 1", corners=[]),
            ),
        )
    )
    front = by_name(lay, "front")
    radius = 5.56 / 2
    sides = [m.points for m in of_kind(front, "tube")]
    level = [p for p in sides if np.ptp(p[:, 1]) < 1e-6 and abs(abs(p[0, 1] - 100) - radius) < 1e-6]
    ends = sorted(x for p in level for x in (p[:, 0].min(), p[:, 0].max()) if 50 < x < 150)
    assert ends == pytest.approx([100 - radius] * 2 + [100 + radius] * 2, abs=0.02)
    assert not of_kind(front, "hidden tube")  # no part hides it


def test_a_tube_that_comes_towards_the_eye_is_a_circle_of_its_outside(tmp_path: Path) -> None:
    lay = check_scene(
        written(
            tmp_path,
            a_scene(
                with_nipple("a", (40, 100, 70), "front"),
                with_tube("a 1", "loose", ends_at=at(40, 10, 70), waits_for="later", corners=[]),
            ),
        )
    )
    rings = [m for m in by_name(lay, "front").marks if isinstance(m, Arc) and m.kind == "tube" and m.whole]
    assert [(ring.centre, ring.radius) for ring in rings] == [((40.0, 70.0), pytest.approx(5.56 / 2))]


def test_a_part_behind_another_is_seen_above_and_below_it_and_dashed_between(tmp_path: Path) -> None:
    scene = a_scene(
        with_box("post", (100, 100, 0), (20, 20, 300)), with_box("rail", (0, 0, 140), (300, 12, 30))
    )
    front = by_name(check_scene(written(tmp_path, scene)), "front")
    for kind, wanted in (("outline", [[0, 140], [170, 300]]), ("hidden", [[140, 170]])):
        for x in (100.0, 120.0):
            pairs = [pair for m in of_kind(front, kind) for pair in pairwise(m.points.tolist())]
            upright = [sorted((a[1], b[1])) for a, b in pairs if abs(a[0] - x) + abs(b[0] - x) < 1e-3]
            assert np.array(sorted(upright)) == pytest.approx(np.array(wanted), abs=0.02), (kind, x)


def test_a_panel_before_all_tubes_is_looked_through(tmp_path: Path) -> None:
    """It hides nothing; its outline is the chain line of what stands before a view."""
    pieces = [
        with_nipple("a", (20, 100, 100), "right"),
        with_nipple("b", (280, 100, 100), "left"),
        with_tube("a 1", "b 1", corners=[]),
        with_box("panel", (0, 0, 0), (300, 10, 200)),
        with_box("floor", (-20, 0, -20), (340, 300, 20)),
    ]
    front = by_name(check_scene(written(tmp_path, a_scene(*pieces))), "front")
    level = [m.points for m in of_kind(front, "tube") if np.ptp(m.points[:, 1]) < 1e-6]
    assert sorted(np.ptp(p[:, 0]) for p in level)[-2:] == pytest.approx([260.0, 260.0])
    assert not of_kind(front, "hidden tube")
    outline = shapely.union_all([shapely.LineString(m.points) for m in of_kind(front, "phantom")])
    assert outline.bounds == pytest.approx((0.0, 0.0, 300.0, 200.0), abs=0.02)
