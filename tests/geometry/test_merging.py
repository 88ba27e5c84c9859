import math

import numpy as np
import pytest
from scipy.spatial import KDTree
from scipy.spatial.transform import Rotation

from routeviz.geometry.curves import Curve, length, points_along, rounded_polyline
from routeviz.geometry.merging import all_with_fewer_corners, with_fewer_corners

RADIUS, LEG = 20.0, 6.0
SEEDS = range(60)
FINE = 0.05  # between samples: an arc of radius 10 leaves its chord by 0.05^2 / 80, 3e-5


def directions(points):
    steps = np.diff(points, axis=0)
    return steps / np.linalg.norm(steps, axis=1)[:, None]


def turns_of(points):
    ways = directions(points)
    crossed = np.linalg.norm(np.cross(ways[:-1], ways[1:]), axis=1)
    return np.arctan2(crossed, (ways[:-1] * ways[1:]).sum(axis=1))


def own_radii(points):
    """At each node an arc that takes half the shorter leg: q / tan(turn / 2)."""
    legs = np.linalg.norm(np.diff(points, axis=0), axis=1)
    return 0.5 * np.minimum(legs[1:], legs[:-1]) / np.tan(0.5 * np.maximum(turns_of(points), 1e-6))


def own_curve(points):
    return rounded_polyline(points, own_radii(points))


def a_fine_polyline(seed):
    """A walk whose curvature changes now and then, with noise; straight at both ends; and rooms."""
    draw = np.random.default_rng(seed)
    count, step, stub = int(draw.integers(8, 160)), draw.uniform(6.2, 8.0), int(draw.integers(1, 4))
    planar, tightest = draw.random() < 0.3, 1 / draw.uniform(15, 40)
    way, bending, wanted, points = np.array([1.0, 0, 0]), np.zeros(3), np.zeros(3), [np.zeros(3)]
    for i in range(count):
        points.append(points[-1] + step * draw.uniform(1, 1.1) * way)
        if not stub - 1 <= i <= count - stub - 1:
            continue
        if draw.random() < 0.15:
            wanted = draw.normal(size=3) * tightest * draw.uniform()
        if draw.random() < 0.1:
            wanted = np.zeros(3)
        bending = (0.5 * bending + 0.5 * wanted) * ([0, 0, 1] if planar else [1, 1, 1])
        way = way + np.cross(bending * step, way)
        way = way / np.linalg.norm(way)
    noise = draw.normal(size=(count + 1, 3)) * draw.choice([0, 0.02, 0.1]) * [1, 1, 0 if planar else 1]
    noise[: stub + 1] = noise[-stub - 1 :] = 0
    rooms = draw.uniform(np.log(0.02), np.log(draw.choice([0.3, 3.0])), count + 1)
    smooth = np.convolve(np.pad(rooms, 4, mode="edge"), np.ones(9) / 9, "valid")
    return np.array(points) + noise, np.exp(smooth)


def sampled(curve):
    return points_along(curve, np.linspace(0, length(curve), int(length(curve) / FINE) + 2))


def distances(points, samples):
    """From each point to the polyline of samples, sought beside the nearest sample; and which that is."""
    nearest = KDTree(samples).query(points)[1]
    best = np.full(len(points), math.inf)
    for begin in (np.maximum(nearest - 1, 0), np.minimum(nearest, len(samples) - 2)):
        step = samples[begin + 1] - samples[begin]
        share = np.clip(((points - samples[begin]) * step).sum(axis=1) / (step * step).sum(axis=1), 0, 1)
        best = np.minimum(best, np.linalg.norm(points - samples[begin] - share[:, None] * step, axis=1))
    return best, nearest


def merged(points, rooms, least_radius=RADIUS):
    return with_fewer_corners(points, rooms, least_radius=least_radius, least_leg=LEG)


def noisy(curve: Curve, seed, noise, smooth, step=6.0):
    """Samples a step apart, with noise but for the first and last three."""
    draw = np.random.default_rng(seed)
    points = points_along(curve, np.linspace(0, length(curve), round(length(curve) / step) + 1))
    waves = draw.normal(size=points.shape)
    for _ in range(6 if smooth else 0):
        waves[1:-1] = 0.25 * (waves[:-2] + 2 * waves[1:-1] + waves[2:])
    waves[:3] = waves[-3:] = 0
    return points + noise * waves / waves.std()


def s_shift(radius, turn, straight):
    """Straight, an arc, its opposite, straight: sideways 2 R (1 - cos a), ahead 2 R sin a, in a plane."""
    bend = radius * math.tan(0.5 * turn)
    ahead, aside = 2 * radius * math.sin(turn), 2 * radius * (1 - math.cos(turn))
    return np.array(
        [
            [0, 0, 0],
            [straight + bend, 0, 0],
            [straight + ahead - bend, aside, 0],
            [2 * straight + ahead, aside, 0],
        ]
    )


def around_s_shift(drawn, radius, turn):
    """A fine polyline with that very curve: a corner in the middle of each tenth of an arc."""
    part = radius * math.tan(turn / 20)
    angles = turn * (np.arange(10) + 0.5) / 10
    out = radius / math.cos(turn / 20)
    first = np.column_stack([out * np.sin(angles), radius - out * np.cos(angles), 0 * angles])
    first[:, 0] += 30
    count = int(30 / (2 * part))
    before = np.column_stack([30 * np.arange(count) / count, np.zeros((count, 2))])
    half = np.concatenate([before, first])
    return np.concatenate([half, (drawn[-1] - half)[::-1]])


@pytest.mark.parametrize("seed", SEEDS)
def test_ends_and_end_directions_stay_exactly(seed):
    points, rooms = a_fine_polyline(seed)
    corners, _ = merged(points, rooms)
    assert (corners[[0, -1]] == points[[0, -1]]).all()
    np.testing.assert_allclose(directions(corners)[[0, -1]], directions(points)[[0, -1]], atol=1e-9)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_straight_ends_stay_as_long_as_they_are(seed):
    points, rooms = a_fine_polyline(seed)
    old, new = own_curve(points), rounded_polyline(*merged(points, rooms))
    for piece in (0, -1):
        assert new.curvatures[piece] == 0
        assert new.lengths[piece] >= old.lengths[piece] - 1e-6


@pytest.mark.parametrize("seed", SEEDS)
def test_outermost_corners_are_a_least_leg_from_the_ends_or_as_far_as_the_polyline_turns(seed):
    points, rooms = a_fine_polyline(seed)
    corners, _ = merged(points, rooms)
    turning = np.flatnonzero(turns_of(points) > 1e-6) + 1
    own = [np.linalg.norm(points[turning[0]] - points[0]), np.linalg.norm(points[turning[-1]] - points[-1])]
    legs = np.linalg.norm(np.diff(corners, axis=0), axis=1)[[0, -1]]
    assert (legs >= np.minimum(own, LEG) - 1e-6).all()


@pytest.mark.parametrize("seed", SEEDS)
def test_radii_are_the_least_wanted_or_at_least_what_the_polyline_has(seed):
    points, rooms = a_fine_polyline(seed)
    _, radii = merged(points, rooms)
    # Room for rounding: of the 3 that an arc takes of a leg of 6, 1e-3 of slack; of tan(turn / 2), at most
    # 2e-3 (1/6 + 1/6) / 2, where an arc of 15 on legs of 6 has 0.2. Together less than 1 in 300.
    assert radii.min() >= min(RADIUS, own_radii(points).min() * (1 - 1 / 300))


@pytest.mark.parametrize("seed", SEEDS)
def test_corners_are_a_least_leg_apart_and_turn_by_110_degrees_at_most(seed):
    points, rooms = a_fine_polyline(seed)
    corners, _ = merged(points, rooms)
    legs = np.linalg.norm(np.diff(corners, axis=0), axis=1)[1:-1]
    nodes = np.linalg.norm(np.diff(points, axis=0), axis=1)[1:-1]
    assert legs.min(initial=math.inf) >= min(LEG, nodes.min()) - 1e-9
    assert np.degrees(turns_of(corners)).max() <= 110 + 1e-6


@pytest.mark.parametrize("seed", SEEDS)
def test_corners_and_radii_can_be_rounded_to_thousandths(seed):
    points, rooms = a_fine_polyline(seed)
    corners, radii = merged(points, rooms)
    draw = np.random.default_rng(seed)
    floored = np.floor(1000 * radii) / 1000
    assert length(rounded_polyline(np.round(corners, 3), floored)) > 0
    for _ in range(5):
        off = draw.choice([-0.5e-3, 0.5e-3], size=corners.shape)
        assert length(rounded_polyline(corners + off, floored)) > 0


@pytest.mark.parametrize("seed", SEEDS)
def test_neither_curve_leaves_the_other_by_more_than_the_room(seed):
    points, rooms = a_fine_polyline(seed)
    old, new = sampled(own_curve(points)), sampled(rounded_polyline(*merged(points, rooms)))
    node = KDTree(points).query(old, k=2)[1]
    away, _ = distances(old, new)
    assert (away <= rooms[node].max(axis=1) + 1e-3).all()
    away, nearest = distances(new, old)
    # What is beside a place need not be the nearest to it: the room of two nodes either way.
    wider = np.max([np.roll(np.pad(rooms, 2, mode="edge"), k)[2:-2] for k in range(-2, 3)], axis=0)
    assert (away <= wider[node[nearest, 0]] + 1e-3).all()


@pytest.mark.parametrize("seed", range(0, 60, 4))
def test_what_is_said_to_be_the_most_is_proven(seed):
    points, rooms = a_fine_polyline(seed)
    corners, radii, _, deviations = all_with_fewer_corners(
        points, rooms, [0, len(points)], least_radii=[RADIUS], least_legs=[LEG]
    )
    old, new = sampled(own_curve(points)), sampled(rounded_polyline(corners, radii[1:-1]))
    most = max(distances(old, new)[0].max(), distances(new, old)[0].max())
    assert most - 1e-4 <= deviations[0] <= rooms.max()


@pytest.mark.parametrize("smooth", [False, True])
@pytest.mark.parametrize("seed", range(8))
def test_a_noisy_bend_is_one_corner(seed, smooth):
    drawn = np.array([[0.0, 0, 0], [80, 0, 0], [80, 90, 0]])
    points = noisy(rounded_polyline(drawn, [40]), seed, 0.05, smooth)
    turn = Rotation.random(rng=np.random.default_rng(seed)).as_matrix()
    corners, radii = merged(points @ turn.T, np.full(len(points), 0.3))
    np.testing.assert_allclose(corners, drawn @ turn.T, atol=1e-6)
    # 0.3 at the middle of the arc are 0.3 / (sqrt(2) - 1) = 0.72 of radius.
    assert radii == pytest.approx([40], abs=0.72)


@pytest.mark.parametrize(("radius", "degrees"), [(25, 40), (30, 70), (60, 30), (22, 90)])
@pytest.mark.parametrize("room", [0.02, 0.1, 0.3])
def test_an_s_shift_is_two_corners(radius, degrees, room):
    drawn = s_shift(radius, math.radians(degrees), 30.0)
    ahead, aside = drawn[3, 0] - 60, drawn[3, 1]
    assert ahead == pytest.approx(math.sqrt(aside * (4 * radius - aside)))
    points = around_s_shift(drawn, radius, math.radians(degrees))
    corners, radii = merged(points, np.full(len(points), room))
    assert len(corners) == 4
    if room == 0.02:
        # Across the end legs and the leg between, 0.02 and what is left free for rounding.
        np.testing.assert_allclose(corners, drawn, atol=0.05)
        assert radii == pytest.approx([radius] * 2, rel=1e-3)


def test_a_helix_of_two_turns_takes_about_a_dozen_corners():
    angle = np.linspace(0, 4 * math.pi, 64)
    helix = np.column_stack([30 * np.cos(angle), 30 * np.sin(angle), 30 * angle / (2 * math.pi)])
    corners, radii = merged(helix, np.full(64, 0.5))
    assert len(radii) <= 13
    assert len(corners) >= 2 + 7  # two turns at 110 degrees a corner are 6.5
    assert radii.min() >= RADIUS


def test_a_half_circle_is_turned_in_two_corners():
    ends = np.array([[0.0, 0, 0], [60, 0, 0], [60, 60, 0], [0, 60, 0]])
    points = noisy(rounded_polyline(ends, [30, 30]), 0, 0.0, False)
    corners, radii = merged(points, np.full(len(points), 0.3))
    assert len(corners) == 4
    assert radii == pytest.approx([30, 30], abs=0.3 / (math.sqrt(2) - 1))


def test_where_there_is_no_room_the_polyline_keeps_its_corners():
    points = noisy(rounded_polyline(s_shift(30, 1.0, 40), [30, 30]), 2, 0.1, False)
    corners, radii = merged(points, np.full(len(points), 1e-4), 10.0)
    bent = np.concatenate([[True], turns_of(points) > 1e-5, [True]])
    np.testing.assert_allclose(corners, points[bent], atol=1e-9)
    assert (radii <= own_radii(points)[bent[1:-1]]).all()


def test_one_tight_place_does_not_cost_corners_elsewhere():
    drawn = s_shift(30, 1.0, 120)
    points = noisy(rounded_polyline(drawn, [30, 30]), 2, 0.05, True)
    rooms = np.full(len(points), 0.3)
    ample = len(merged(points, rooms)[0])
    rooms[8:12] = 0.01
    # Four nodes that may keep their own corners, and two on each side that join them to what is merged.
    assert len(merged(points, rooms)[0]) <= ample + 8


def test_a_straight_polyline_is_its_two_ends():
    points = np.outer(np.arange(20.0), [3.0, 4.0, 5.0])
    corners, radii = merged(points, np.full(20, 0.1))
    np.testing.assert_array_equal(corners, points[[0, -1]])
    assert radii.shape == (0,)


def test_two_points_are_a_centreline():
    corners, radii = merged([[0, 0, 0], [9, 0, 0]], [0.1, 0.1])
    np.testing.assert_array_equal(corners, [[0, 0, 0], [9, 0, 0]])
    assert radii.shape == (0,)


def test_many_at_once_are_as_one_by_one():
    fine = [a_fine_polyline(seed) for seed in range(12)]
    firsts = np.cumsum([0, *(len(points) for points, _ in fine)])
    points, rooms = (np.concatenate(arrays) for arrays in zip(*fine, strict=True))
    least = {"least_radii": np.full(12, RADIUS), "least_legs": np.full(12, LEG)}
    corners, radii, bounds, _ = all_with_fewer_corners(points, rooms, firsts, **least)
    assert len(bounds) == 13
    for k, (line, room) in enumerate(fine):
        one, its_radii = merged(line, room)
        np.testing.assert_array_equal(corners[bounds[k] : bounds[k + 1]], one)
        np.testing.assert_array_equal(radii[bounds[k] : bounds[k + 1]], [0, *its_radii, 0])


@pytest.mark.parametrize(
    ("points", "rooms", "told"),
    [
        ([[0, 0, 0], [9, 0, 0]], [0.1], "rooms: shape"),
        ([[0, 0, 0], [9, 0, 0]], [0.1, 0.0], "more than 0 wanted"),
        ([[0, 0, 0], [0, 0, 0], [9, 0, 0]], [0.1] * 3, "coincide"),
        ([[0, 0, 0], [9, 0, 0], [0, 1, 0]], [0.1] * 3, "at most 120 allowed"),
        ([[0, 0, 0], [math.nan, 0, 0]], [0.1] * 2, "not finite"),
    ],
)
def test_what_is_no_polyline_is_refused(points, rooms, told):
    with pytest.raises(ValueError, match=told):
        merged(points, rooms)
