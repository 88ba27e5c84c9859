"""What stands on a line of sight, against walking the line step by step."""

import numpy as np
import pytest
from shapely import Polygon, contains_xy

from routeviz.geometry.arrays import Floats
from routeviz.geometry.blocks import box, cylinder, prism
from routeviz.geometry.frames import rigid, rotation_about
from routeviz.geometry.shapes import Pieces, joined
from routeviz.geometry.sight import bars_between, directions_around, first_met, pieces_between


def a_heap(seed: int) -> Pieces:
    """Boxes, bars and an angled prism, turned any way."""
    rng = np.random.default_rng(seed)
    solids = []
    for k in range(12):
        frame = rigid(rotation_about(rng.normal(size=3), rng.uniform(0, 3)), rng.uniform(-60, 60, 3))
        if k % 3 == 0:
            solids.append(box(frame, rng.uniform(5, 40, 3)))
        elif k % 3 == 1:
            solids.append(cylinder(frame[:3, 3], frame[:3, 3] + 30 * frame[:3, 2], rng.uniform(3, 15)))
        else:
            solids.append(
                prism(frame, Polygon([(0, 0), (40, 0), (40, 10), (10, 10), (10, 30), (0, 30)]), 8.0)
            )
    return joined(solids)


def inside(points: Floats, pieces: Pieces, index: int) -> np.ndarray:
    """Which points lie in a piece, by its own frame and shapely."""
    local = (points - pieces.origins[index]) @ pieces.rotations[index]
    level = np.abs(local[:, 2]) <= pieces.halves[index]
    outline = pieces.corners[pieces.begins[index] : pieces.begins[index + 1]]
    if len(outline):
        return level & contains_xy(Polygon(outline), local[:, 0], local[:, 1])
    return level & (np.hypot(local[:, 0], local[:, 1]) <= pieces.radii[index])


@pytest.mark.parametrize("seed", range(4))
def test_bodies_on_a_line_are_those_met_when_walking_it(seed: int) -> None:
    pieces = a_heap(seed)
    eyes, point = 150.0 * directions_around(40), np.array([5.0, -3.0, 8.0])
    between = pieces_between(eyes, point, pieces)
    steps = np.linspace(0.0, 1.0, 6001)[:, None]
    for eye, found in zip(eyes, between, strict=True):
        walked = eye + steps * (point - eye)
        met = {int(pieces.bodies[k]) for k in range(len(pieces.halves)) if inside(walked, pieces, k).any()}
        # A line that only grazes a body may be stepped over, never the other way round.
        assert met <= set(np.flatnonzero(found).tolist())
        grazed = set(np.flatnonzero(found).tolist()) - met
        assert len(grazed) <= 1


def test_the_first_body_met_is_the_nearest_when_walking() -> None:
    pieces = a_heap(7)
    eye, points = np.array([200.0, 20.0, 10.0]), np.array([200.0, 20, 10]) + 400.0 * directions_around(60)
    first = first_met(eye, points, pieces)
    steps = np.linspace(0.0, 1.0, 8001)[:, None]
    for point, body in zip(points, first.tolist(), strict=True):
        walked = eye + steps * (point - eye)
        places = np.full(int(pieces.bodies.max()) + 1, np.inf)
        for k in range(len(pieces.halves)):
            there = np.flatnonzero(inside(walked, pieces, k))
            if len(there):
                places[pieces.bodies[k]] = min(places[pieces.bodies[k]], there[0])
        if np.isfinite(places).any():
            assert places[body] <= places.min() + 1.0
    assert (first >= 0).any()
    assert (first == -1).any()


def test_round_bars_are_met_within_their_radius_and_not_beyond() -> None:
    bars = np.array([[(0.0, 0, 0), (10, 0, 0)]])
    for height, is_met in ((0.99, 1.0), (1.01, 0.0)):
        eye, point = np.array([[5.0, -50, height]]), np.array([5.0, 50, height])
        assert bars_between(eye, point, bars, np.array([1.0]))[0, 0] == is_met
    past = bars_between(np.array([[12.0, -50, 0]]), np.array([12.0, 50, 0]), bars, np.array([1.0]))
    assert past[0, 0] == 0.0


def test_what_lies_behind_the_point_does_not_count() -> None:
    wall = joined([box(rigid(np.eye(3), (-10.0, 20.0, -10.0)), (20, 2, 20))])
    eye = np.array([[0.0, -50.0, 0.0]])
    assert pieces_between(eye, np.array([0.0, 19.0, 0.0]), wall)[0, 0] == 0.0
    assert pieces_between(eye, np.array([0.0, 23.0, 0.0]), wall)[0, 0] == 1.0


def test_directions_are_unit_spread_over_all_sides_and_always_alike() -> None:
    directions = directions_around(200)
    assert np.linalg.norm(directions, axis=1) == pytest.approx(np.ones(200))
    nearest = (directions @ directions.T - 2.0 * np.eye(200)).max(axis=1)
    # 200 caps that together are the sphere have a half angle of 8.1 degrees; neighbours are twice that apart.
    assert np.degrees(np.arccos(nearest)).min() > 8.1
    assert (directions_around(200) == directions).all()
