"""Edges that are near each other, held to trying all pairs, to dense sampling, and to figures by hand.

The shortest distance of two edges is found here in another way: from the one place where both could be
crossed by a common normal, and from each end to the other edge.
"""

from itertools import combinations

import numpy as np
import pytest
from strung import strung, watching

from routeviz.planning.adjacency import closest, near_pairs

SAMPLES = 201
EXACT = 1e-9  # of coordinates of some hundred, in doubles


def sought(strings, reach, gaps=0.0, room=20_000):
    """All pairs that are near, with room for so many; how many there are, and the list."""
    watched = watching(strings, room)
    return near_pairs(strings, np.full(len(strings.points), gaps), reach, watched, 0, 0.0), watched


def in_order(watched, count):
    return sorted(tuple(sorted(pair)) for pair in watched.pairs[:count].tolist())


def wandering(seed, tubes=14, points=24):
    """Strings that wander through a small room, of other lengths and step by step another way."""
    draw = np.random.default_rng(seed)
    lines = []
    for _ in range(tubes):
        steps = draw.normal(size=(points - int(draw.integers(0, 15)), 3)) * draw.uniform(2.0, 6.0)
        lines.append(draw.uniform(0, 60, 3) + np.cumsum(steps, axis=0))
    free = [np.ones(len(line)) for line in lines]
    free[2][:], free[3][:], free[5][:6] = 0.0, 0.0, 0.0
    groups = [*range(tubes - 1), 0]
    return strung(*lines, radii=draw.uniform(1.5, 4.0, tubes), free=free, groups=groups)


def from_point(point, a, b):
    along = b - a
    square = along @ along
    share = np.clip((point - a) @ along / square, 0, 1) if square > 0 else 0.0
    return np.linalg.norm(point - a - share * along)


def apart(a, b, c, d):
    """The distance of two edges."""
    least = min(from_point(a, c, d), from_point(b, c, d), from_point(c, a, b), from_point(d, a, b))
    (s, t), *_ = np.linalg.lstsq(np.stack([b - a, c - d], axis=1), c - a, rcond=None)
    if 0 <= s <= 1 and 0 <= t <= 1:
        least = min(least, np.linalg.norm(a + s * (b - a) - c - t * (d - c)))
    return least


def tried_all(strings, reach):
    """All pairs that are near, by trying each."""
    owners, free, points = strings.owners, strings.free, strings.points
    edges = [e for e in range(len(points) - 1) if owners[e] == owners[e + 1]]
    found = set()
    for e, f in combinations(edges, 2):
        if strings.groups[owners[e]] == strings.groups[owners[f]]:
            continue
        if not free[[e, e + 1, f, f + 1]].any():
            continue
        near = strings.radii[owners[e]] + strings.radii[owners[f]] + reach
        if apart(points[e], points[e + 1], points[f], points[f + 1]) < near:
            found.add((e, f))
    return found


@pytest.mark.parametrize("seed", range(4))
def test_the_pairs_are_those_that_trying_all_finds_each_once(seed):
    strings = wandering(seed)
    count, watched = sought(strings, 4.0, gaps=0.5)
    found = in_order(watched, count)
    assert len(found) == len(set(found))
    assert set(found) == tried_all(strings, 4.0)
    assert count > 100
    pairs = watched.pairs[:count]
    ends = strings.points[pairs], strings.points[pairs + 1]
    thick = strings.radii[strings.owners[pairs]].sum(axis=1)
    expected = [apart(a[0], b[0], a[1], b[1]) for a, b in zip(*ends, strict=True)] - thick - 0.5
    assert watched.spare[:count] == pytest.approx(expected, abs=EXACT)
    assert watched.start.tolist() == strings.points.tolist()
    assert not watched.strayed.any()


@pytest.mark.parametrize("seed", range(4))
def test_sought_anew_where_points_have_gone_far_the_pairs_are_those_of_where_all_started(seed):
    strings, draw = wandering(seed), np.random.default_rng(seed)
    count, watched = sought(strings, 4.0)
    moves = draw.normal(size=strings.points.shape) * draw.choice([0.1, 3.0], size=(len(strings.points), 1))
    strings.points[:] += moves
    watched.strayed[:] = np.linalg.norm(moves, axis=1)
    gone = watched.strayed > 1.0
    count = near_pairs(strings, np.zeros(len(moves)), 4.0, watched, count, 1.0)
    assert watched.start == pytest.approx(np.where(gone[:, None], strings.points, strings.points - moves))
    assert 0 < watched.strayed.max() <= 1.0
    assert in_order(watched, count) == sorted(tried_all(strings._replace(points=watched.start), 4.0))


def test_a_list_that_is_too_short_is_filled_and_the_whole_number_told():
    strings = wandering(0)
    (whole, every), (again, few) = sought(strings, 4.0), sought(strings, 4.0, room=7)
    assert again == whole > 7
    assert few.pairs.tolist() == every.pairs[:7].tolist()


def test_strings_of_one_group_and_strings_that_are_held_are_left_out():
    lines = [[(0, 0, 0), (10, 0, 0)], [(0, 1, 0), (10, 1, 0)]]
    assert sought(strung(*lines), 1.0)[0] == 1
    assert sought(strung(*lines, groups=[4, 4]), 1.0)[0] == 0
    assert sought(strung(*lines, free=[[0, 0], [0, 0]]), 1.0)[0] == 0
    assert sought(strung(*lines, free=[[0, 0], [0, 1]]), 1.0)[0] == 1


def edges_at(*corners):
    return np.array(corners, dtype=np.float64)


def test_edges_that_cross_at_a_height_are_that_height_apart():
    # One along x from -4 to 4, one along y from -1 to 3 and 2.5 above it: a quarter along the other.
    points = edges_at((-4, 0, 0), (4, 0, 0), (0, -1, 2.5), (0, 3, 2.5))
    assert closest(points, 0, 2) == pytest.approx((0, 0, -2.5, 2.5, 0.5, 0.25), abs=EXACT)


def test_parallel_edges_side_by_side_are_as_far_apart_as_their_lines():
    points = edges_at((0, 0, 0), (10, 0, 0), (2, 3, 4), (12, 3, 4))
    x, y, z, off, s, t = closest(points, 0, 2)
    assert (x, y, z, off) == pytest.approx((0, -3, -4, 5), abs=EXACT)
    assert 10 * s == pytest.approx(2 + 10 * t, abs=EXACT)


def test_parallel_edges_one_beyond_the_other_are_nearest_at_their_ends():
    points = edges_at((0, 0, 0), (10, 0, 0), (13, 4, 0), (20, 4, 0))
    assert closest(points, 0, 2) == pytest.approx((-3, -4, 0, 5, 1, 0), abs=EXACT)


def test_an_edge_without_length_is_near_what_its_point_is_near():
    point, edge = [(5, 7, 0), (5, 7, 0)], [(0, 0, 0), (10, 0, 0)]
    (count, watched), (again, _) = sought(strung(point, edge), 1.5), sought(strung(edge, point), 1.5)
    assert count == again == 1
    # 7 apart, and 3 thick each.
    assert watched.spare[0] == pytest.approx(1.0, abs=EXACT)
    assert sought(strung(point, edge), 0.9)[0] == 0


def test_an_edge_without_length_is_a_point():
    points = edges_at((1, 2, 0), (1, 2, 0), (0, 0, 0), (10, 0, 0))
    assert closest(points, 0, 2)[3] == pytest.approx(2, abs=EXACT)
    assert closest(points, 2, 0)[3] == pytest.approx(2, abs=EXACT)


@pytest.mark.parametrize("seed", range(30))
def test_no_two_sampled_places_are_nearer_and_some_are_as_near(seed):
    points = np.random.default_rng(seed).normal(size=(4, 3)) * 5
    x, y, z, off, s, t = closest(points, 0, 2)
    shares = np.linspace(0, 1, SAMPLES)[:, None]
    first, other = points[0] + shares * (points[1] - points[0]), points[2] + shares * (points[3] - points[2])
    sampled = np.linalg.norm(first[:, None] - other[None], axis=2).min()
    # The nearest places lie within half a step of a sample, on both edges.
    step = np.linalg.norm(points[1] - points[0]) + np.linalg.norm(points[3] - points[2])
    assert sampled - step / (SAMPLES - 1) / 2 <= off <= sampled + EXACT
    between = points[0] + s * (points[1] - points[0]) - points[2] - t * (points[3] - points[2])
    assert (x, y, z) == pytest.approx(between, abs=EXACT)
    assert off == pytest.approx(np.linalg.norm(between), abs=EXACT)


def test_what_is_to_spare_is_the_room_less_the_larger_of_what_two_tubes_ask_for():
    strings = strung([(0, 0, 0), (10, 0, 0)], [(0, 12, 0), (10, 12, 0)], radii=[3, 2])
    # 12 between the centrelines, less 3 and 2, less the larger of 1 and 0.5.
    _, watched = sought(strings, 9.0)
    watched.strayed[:] = np.inf
    assert near_pairs(strings, np.array([1.0, 1.0, 0.5, 0.5]), 9.0, watched, 0, 0.0) == 1
    assert watched.spare[0] == pytest.approx(6.0, abs=EXACT)
