"""Skins: they enclose what they should, look outwards, and show no seams."""

import numpy as np
import pytest
from shapely import Polygon
from shapely.geometry import box as rectangle

from routeviz.geometry.arrays import Floats
from routeviz.geometry.blocks import box, cylinder, prism, triangles
from routeviz.geometry.curves import chords, rounded_polyline, tangents_along
from routeviz.geometry.frames import rigid, rotation_about
from routeviz.geometry.shapes import joined, placed
from routeviz.geometry.skins import Skin, chosen, hatching, skin_of, skins_of, swept

TILTED = rigid(rotation_about((1, 2, 3), 0.7), (30.0, -20.0, 5.0))


def corners_of(skin: Skin) -> tuple[Floats, Floats, Floats]:
    a, b, c = (skin.points[skin.triangles[:, k]] for k in range(3))
    return a, b, c


def volume(skin: Skin) -> float:
    """By the divergence theorem, from the triangles: right only if all look outwards and none is missing."""
    a, b, c = corners_of(skin)
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6.0)


def test_the_skin_of_a_box_encloses_its_volume_with_twelve_edges() -> None:
    skin = skin_of(box(TILTED, (10, 20, 30)))
    assert volume(skin) == pytest.approx(6000.0)
    lengths = np.linalg.norm(skin.edges[:, 1] - skin.edges[:, 0], axis=1)
    assert sorted(lengths.round(6)) == [10.0] * 4 + [20.0] * 4 + [30.0] * 4


def test_a_board_with_an_opening_has_no_seams() -> None:
    outline = Polygon(rectangle(0, 0, 100, 60).exterior.coords, [rectangle(20, 20, 50, 40).exterior.coords])
    pieces = prism(TILTED, outline, 12.0)
    assert len(pieces.halves) > 1
    skin = skin_of(pieces)
    assert volume(skin) == pytest.approx((6000.0 - 600.0) * 12.0)
    assert (
        len(skin.edges) == 24
    )  # outline and opening, four corners each: eight rims' sides, and four uprights


def test_a_round_bar_is_smooth_and_has_edges_at_its_rims_only() -> None:
    skin = skin_of(cylinder((0, 0, 0), (0, 0, 10), 4.0))
    assert volume(skin) == pytest.approx(np.pi * 160.0, rel=0.004)
    assert np.ptp(skin.edges[:, :, 2], axis=1).max() == 0.0


def test_normals_look_the_way_their_triangles_do() -> None:
    outline = Polygon([(0, 0), (40, 0), (40, 10), (10, 10), (10, 30), (0, 30)])
    for pieces in (prism(TILTED, outline, 8.0), cylinder((0, 0, 0), (5, 5, 5), 3.0)):
        skin = skin_of(pieces)
        a, b, c = corners_of(skin)
        facing = np.cross(b - a, c - a)
        assert (np.einsum("ij,ij->i", facing, skin.normals[skin.triangles[:, 0]]) > 0.0).all()
        assert np.linalg.norm(skin.normals, axis=1) == pytest.approx(np.ones(len(skin.normals)))


def test_a_mesh_shows_edges_where_it_ends_or_turns_but_none_across_a_flat_face() -> None:
    corners = [(0, 0, 0), (10, 0, 0), (10, 10, 0), (0, 10, 0), (0, 0, 5)]
    skin = skin_of(triangles(corners, [(0, 1, 2), (0, 2, 3), (0, 4, 1)]))
    assert len(skin.triangles) == 3
    assert len(skin.edges) == 6


def test_a_swept_tube_follows_its_curve_and_encloses_its_volume() -> None:
    curve = rounded_polyline([(0, 0, 0), (100, 0, 0), (100, 80, 0), (100, 80, 90)], [30.0, 25.0])
    points, along = chords(curve, 0.02)
    skin = swept(points, tangents_along(curve, along), 3.0, 48)
    assert volume(skin) == pytest.approx(np.pi * 9.0 * float(curve.begins[-1]), rel=0.01)  # Pappus
    wall = skin.points[: 48 * len(points)].reshape(len(points), 48, 3)
    assert np.linalg.norm(wall - points[:, None], axis=2) == pytest.approx(np.full((len(points), 48), 3.0))


def test_hatching_lies_on_the_faces_at_its_spacing() -> None:
    lines = hatching(box(np.eye(4), (40, 30, 20)), 8.0)
    on_face = (np.abs(lines[:, :, None] - np.array([(0, 0, 0), (40, 30, 20)])) < 1e-9).any(axis=2)
    assert (on_face.all(axis=1).any(axis=1)).all()
    top = lines[(np.abs(lines[:, :, 2] - 20) < 1e-9).all(axis=1)]
    slant = np.sort((top[:, 0, 1] - top[:, 0, 0]).round(6))
    assert np.abs(np.diff(slant)) == pytest.approx(np.full(len(slant) - 1, 8.0 * np.sqrt(2.0)))


def test_some_pieces_are_chosen_with_their_corners() -> None:
    pieces = joined([box(np.eye(4), (1, 2, 3)), cylinder((9, 0, 0), (9, 0, 4), 1.0), box(TILTED, (4, 5, 6))])
    some = chosen(pieces, np.array([False, True, True]))
    assert some.bodies.tolist() == [1, 2]
    assert volume(skin_of(some)) == pytest.approx(120.0 + np.pi * 4.0, rel=0.01)


def test_skins_of_many_are_those_of_each_wherever_it_stands() -> None:
    rng = np.random.default_rng(5)
    sizes = ((30, 20, 10), (30, 20, 12), (30, 20, 10))
    forms = [cylinder((0, 0, 0), (0, 0, 40), 6), *(box(np.eye(4), size) for size in sizes)]
    many = [placed(form, rigid(np.eye(3), rng.uniform(-900, 900, 3))) for form in forms * 3]
    many.append(
        placed(forms[1], rigid(np.array([[0.0, -1, 0], [1, 0, 0], [0, 0, 1]]), np.zeros(3)))
    )  # turned
    for together, alone in zip(skins_of(many), map(skin_of, many), strict=True):
        for name in ("points", "normals", "triangles", "edges"):
            assert getattr(together, name) == pytest.approx(getattr(alone, name), abs=1e-9), name
