"""How far places are from what stands there: against shapely and the measuring half; sweeps against poses."""

import math

import numpy as np
import pytest
import shapely
from builders import with_box, with_keep_clear
from numba import njit
from placed import a_cabinet
from shapely import Point, Polygon

from routeviz.cabinet.solids import extents
from routeviz.geometry.arrays import Floats
from routeviz.geometry.blocks import box, cylinder, prism
from routeviz.geometry.distances import point_distances
from routeviz.geometry.frames import rigid, rotation_about
from routeviz.geometry.shapes import (
    Bodies,
    Hinge,
    Movement,
    Pieces,
    Slide,
    assembled,
    joined,
    placed,
    poses,
    rims,
)
from routeviz.planning.hulls import LOOSE_MM, swept_pieces
from routeviz.planning.obstacles import Table, clearances_at, fill_clearances, obstacles_of, signed, table_of

ROOM = (np.full(3, -150.0), np.full(3, 150.0))
REACH = 25.0


def a_heap(seed: int, count: int = 12) -> Pieces:
    """Boxes, bars and three-sided prisms, turned any way, each a body of its own."""
    rng = np.random.default_rng(seed)
    solids = []
    for k in range(count):
        frame = rigid(rotation_about(rng.normal(size=3), rng.uniform(0, 3)), rng.uniform(-100, 100, 3))
        if k % 3 == 0:
            solids.append(box(frame, rng.uniform(5, 60, 3)))
        elif k % 3 == 1:
            solids.append(cylinder(frame[:3, 3], frame[:3, 3] + 30 * frame[:3, 2], rng.uniform(3, 15)))
        else:
            solids.append(prism(frame, Polygon([(0, 0), (40, 0), (10, 30)]), 8.0))
    return joined(solids)


def slow_signed(pieces: Pieces, index: int, point: Floats) -> float:
    """The distance to one piece, below 0 inside, by shapely in its plane and Pythagoras across it."""
    local = (point - pieces.origins[index]) @ pieces.rotations[index]
    outline = pieces.corners[pieces.begins[index] : pieces.begins[index + 1]]
    over = abs(local[2]) - pieces.halves[index]
    if len(outline):
        flat = Polygon(outline)
        rim = flat.exterior.distance(Point(local[:2]))
        aside = -rim if flat.contains(Point(local[:2])) else rim
    else:
        aside = math.hypot(local[0], local[1]) - pieces.radii[index]
    return math.hypot(max(aside, 0.0), max(over, 0.0)) + min(max(aside, over), 0.0)


@njit  # not kept: a test must see what it calls as it is now
def fill_signed(table: Table, index: int, points: Floats, told: Floats) -> None:
    for n in range(points.shape[0]):
        told[n] = signed(table.rows, table.corners, index, points[n, 0], points[n, 1], points[n, 2])


def told_of(table: Table, index: int, *points: Floats) -> Floats:
    """Distance and direction (n, 4) of points to one piece."""
    told = np.zeros((len(points), 4))
    fill_signed(table, index, np.array(points), told)
    return told


def a_table(pieces: Pieces, asked: float = 0.0) -> Table:
    return table_of(pieces, np.full(len(pieces.halves), asked), ROOM, REACH)


@pytest.mark.parametrize("seed", range(4))
def test_the_distance_to_a_piece_is_that_of_shapely_in_its_plane_and_of_pythagoras_across_it(
    seed: int,
) -> None:
    pieces, rng = a_heap(seed), np.random.default_rng(seed)
    table = a_table(pieces)
    for _ in range(400):
        index = int(rng.integers(len(pieces.halves)))
        point = pieces.origins[index] + rng.normal(size=3) * 25
        assert told_of(table, index, point)[0, 0] == pytest.approx(
            slow_signed(pieces, index, point), abs=1e-9
        )


def test_outside_the_distance_is_that_of_the_measuring_half() -> None:
    pieces, rng = a_heap(7), np.random.default_rng(7)
    solids = [one_of(pieces, k) for k in range(len(pieces.halves))]
    bodies = assembled(solids, [None] * len(solids))
    points = rng.uniform(-120, 120, (300, 3))
    expected, _ = point_distances(points, np.zeros(len(points)), bodies)
    table = a_table(pieces)
    for point, row in zip(points, expected, strict=True):
        for index, distance in enumerate(row):
            if distance > 1e-6:
                assert told_of(table, index, point)[0, 0] == pytest.approx(distance, abs=1e-6)


def one_of(pieces: Pieces, index: int) -> Pieces:
    begin, end = pieces.begins[index : index + 2]
    row = slice(index, index + 1)
    return Pieces(
        rotations=pieces.rotations[row],
        origins=pieces.origins[row],
        halves=pieces.halves[row],
        radii=pieces.radii[row],
        corners=pieces.corners[begin:end],
        begins=np.array([0, end - begin]),
        bodies=np.array([0]),
    )


def test_the_direction_given_is_that_in_which_the_distance_grows_fastest() -> None:
    # Central differences of the slow distance; where the direction jumps within a step, none is expected.
    pieces, rng, checked = a_heap(3), np.random.default_rng(3), 0
    table = a_table(pieces)
    for _ in range(600):
        index = int(rng.integers(len(pieces.halves)))
        point = pieces.origins[index] + rng.normal(size=3) * 20
        slope = np.array(
            [
                (slow_signed(pieces, index, point + d) - slow_signed(pieces, index, point - d)) / 2e-4
                for d in np.eye(3) * 1e-4
            ]
        )
        if abs(np.linalg.norm(slope) - 1) < 1e-5:
            checked += 1
            assert told_of(table, index, point)[0, 1:] == pytest.approx(slope, abs=1e-3)
    assert checked > 400


@pytest.mark.parametrize("seed", range(3))
def test_buckets_miss_nothing_within_reach(seed: int) -> None:
    pieces, rng = a_heap(seed, 40), np.random.default_rng(seed)
    asked = rng.choice([0.0, 2.0, 3.0], len(pieces.halves))
    table = table_of(pieces, asked, ROOM, REACH)
    points = rng.uniform(-150, 150, (500, 3))
    clear, things = np.zeros(500), np.zeros(500, dtype=np.int64)
    fill_clearances(table, points, REACH, clear, things)
    for point, free, thing in zip(points, clear, things, strict=True):
        every = np.array([slow_signed(pieces, k, point) for k in range(len(asked))]) - asked
        assert free == pytest.approx(min(every.min(), REACH), abs=1e-9)
        if every.min() < REACH:
            assert every[thing] == pytest.approx(every.min(), abs=1e-9)
        else:
            assert thing == -1
    assert (clear < REACH).sum() > 100
    assert clearances_at(table, points, REACH).tolist() == clear.tolist()


# A key turns about its balance rail by about three degrees, a hammer about its flange by some 45.
KEY: Movement = Hinge(
    point=np.array([0.0, 120.0, 0.0]), axis=np.array([1.0, 0.0, 0.0]), angle=-math.radians(3)
)
HAMMER: Movement = Hinge(
    point=np.array([0.0, 0.0, -40.0]), axis=np.array([-1.0, 0.0, 0.0]), angle=math.radians(45)
)
ASKEW: Movement = Hinge(
    point=np.array([0.0, 60.0, 0.0]), axis=np.array([0.6, 0.0, 0.8]), angle=math.radians(20)
)
FLAT = rigid(np.eye(3), np.zeros(3))
BLOCK = box(FLAT, [22.0, 150.0, 20.0])
WEDGE = prism(FLAT, Polygon([(0, 0), (60, 0), (10, 9)]), 8.0)
ROUND = cylinder([0, 0, 0], [20, 50, 10], 6.0)
SWEEPS = {
    "a key about its rail": (BLOCK, KEY),
    "a hammer about its flange": (BLOCK, HAMMER),
    "a block about an axis of none of its edges": (BLOCK, ASKEW),
    "a wedge about its long edge": (WEDGE, KEY),
    "a dowel": (ROUND, HAMMER),
    "a drawer": (BLOCK, Slide(direction=np.array([0.0, 1.0, 0.0]), length=80.0)),
    "a wedge that slides askew": (WEDGE, Slide(direction=np.array([1.0, 2.0, 3.0]), length=40.0)),
    "a dowel that slides along itself": (ROUND, Slide(direction=np.array([20.0, 50.0, 10.0]), length=30.0)),
}  # fmt: skip


def a_body(name: str) -> Bodies:
    pieces, movement = SWEEPS[name]
    return assembled([pieces], [movement])


def depth_in(sweep: Pieces, points: Floats) -> Floats:
    """How far points are from a sweep's nearest piece, below 0 inside one."""
    table = table_of(sweep, np.zeros(len(sweep.halves)), (np.full(3, -400.0), np.full(3, 400.0)), 30.0)
    return clearances_at(table, points, 30.0)


@pytest.mark.parametrize("name", SWEEPS)
def test_what_a_part_sweeps_holds_it_at_two_hundred_poses(name: str) -> None:
    bodies = a_body(name)
    sweep = swept_pieces(bodies)
    for travel in np.linspace(0, 1, 200):
        moved = placed(bodies.pieces, poses(bodies, float(travel))[0])
        corners = rims(moved, 0).reshape(-1, 3)
        # Between two poses of a hull a corner bulges by 1.3e-5 of its arm: 0.003 mm at 200 mm.
        assert depth_in(sweep, corners).max() < 0.003


HULLED = ["a key about its rail", "a hammer about its flange", "a drawer", "a dowel that slides along itself"]


@pytest.mark.parametrize("name", HULLED)
def test_a_hull_is_that_of_all_poses_and_a_hair_more(name: str) -> None:
    # The hull by shapely of 2000 poses, seen along the third axis of the piece that was found.
    bodies = a_body(name)
    sweep = swept_pieces(bodies)
    assert len(sweep.halves) == 1
    travels = np.linspace(0, 1, 2000).tolist()
    every = np.concatenate(
        [rims(placed(bodies.pieces, poses(bodies, t)[0]), 0).reshape(-1, 3) for t in travels]
    )
    local = (every - sweep.origins[0]) @ sweep.rotations[0]
    hull = shapely.MultiPoint(local[:, :2]).convex_hull
    dowel = name.startswith("a dowel")
    # A dowel is hulled as a polygon of 16 sides about it.
    hair = 6.0 * (1 / math.cos(math.pi / 16) - 1) + 1e-3 if dowel else 1e-4
    assert hull.buffer(hair).contains(Polygon(sweep.corners))
    assert sweep.halves[0] == pytest.approx(np.abs(local[:, 2]).max(), abs=1e-9)


@pytest.mark.parametrize("name", sorted({*SWEEPS} - {*HULLED}))
def test_close_poses_are_larger_than_the_part_by_what_may_lie_between_two(name: str) -> None:
    bodies = a_body(name)
    sweep = swept_pieces(bodies)
    rng = np.random.default_rng(1)
    corners = np.concatenate([rims(sweep, k).reshape(-1, 3) for k in range(len(sweep.halves))])
    points = rng.uniform(corners.min(axis=0), corners.max(axis=0), (4000, 3))
    points = points[depth_in(sweep, points) < 0]
    assert len(points) > 50
    travels = np.linspace(0, 1, len(sweep.halves))  # the poses themselves
    nearest = [point_distances(points, np.full(len(points), t), bodies)[0][:, 0] for t in travels]
    # Grown by so much in thickness, and by half as much again at a corner in the plane.
    assert np.min(nearest, axis=0).max() < math.hypot(1.5 * LOOSE_MM, LOOSE_MM) + 1e-9


def test_each_thing_is_kept_off_by_what_it_asks_and_a_space_by_nothing() -> None:
    cabinet = a_cabinet(
        with_box("rail", (0, 0, 0), (100, 20, 20)),
        with_box("felt", (0, 100, 0), (100, 20, 20), clearance=5),
        with_keep_clear("pedal", (0, 200, 0), (100, 20, 20), "room for the foot"),
        top="[clearance]\nfixed = 2\nmoving = 3\n",
    )
    obstacles = obstacles_of([cabinet], extents(cabinet), REACH)
    above = np.array([[50.0, back, 30.0] for back in (10, 110, 210)])
    assert obstacles.names == ("rail", "felt", "pedal")
    assert clearances_at(obstacles.table, above, REACH) == pytest.approx([8.0, 5.0, 10.0])


def test_a_thing_that_stands_elsewhere_in_another_stage_is_kept_off_in_both_places() -> None:
    near, far = (a_cabinet(with_box("lid", (right, 0, 0), (20, 20, 20))) for right in (0, 60))
    room = np.zeros(3), np.array([80.0, 20.0, 20.0])
    places = np.array([[10.0, 10.0, 10.0], [70.0, 10.0, 10.0]])
    for stages, count in (([near, near], 1), ([near, far], 2)):
        obstacles = obstacles_of(stages, room, REACH)
        assert obstacles.names == ("lid",) * count
        assert (clearances_at(obstacles.table, places, REACH) < 0).sum() == count
