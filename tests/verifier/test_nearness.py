"""The quick distances are held to slow ones, and what the quick look leaves out is shown to be far."""

from itertools import combinations, pairwise

import fcl
import numpy as np
import pytest
from benchmarks.cabinets import a_cabinet
from benchmarks.witnesses import laid_in
from builders import a_scene, written
from verifier.chords import chords_of
from verifier.distances import SOLVER, between
from verifier.lays import Laid, asked, case_of, tube_to_thing, tube_to_tube
from verifier.nearness import between_segments, from_boxes
from verifier.pairs import BEYOND, ERROR, RESOLVED, near_things, near_tubes
from verifier.parts import turn_of
from verifier.tubes import centreline

EXACT = 1e-9
THIN = 1e-3  # python-fcl's capsules stand for segments
SMALL = 12  # tubes


def drawn(count, seed):
    rng = np.random.default_rng(seed)
    return [rng.uniform(-60, 60, (count, 3)) for _ in range(4)], rng.uniform(2, 40, (count, 3))


def test_segments_from_boxes_against_a_search_along_them():
    (begins, ends, *_), halves = drawn(500, 1)
    shares = np.linspace(0, 1, 4001)[:, None]
    for begin, end, half, found in zip(begins, ends, halves, from_boxes(begins, ends, halves), strict=True):
        points = begin + shares * (end - begin)
        far = np.linalg.norm(np.maximum(np.abs(points) - half, 0), axis=1)
        assert far.min() - np.linalg.norm(end - begin) / 8000 - EXACT <= found <= far.min() + EXACT


@pytest.mark.parametrize(
    ("begin", "end", "expected"),
    [
        ((-9, 0, 12), (9, 0, 12), 7),  # over a face, along it
        ((-9, 8, 9), (9, 8, 9), 5),  # past an edge: 3 and 4 away
        ((7, 8, 11), (7, 8, 11), 7),  # a point off a corner: 2, 3 and 6 away
        ((-9, 0, 0), (9, 0, 0), 0),  # through it
        ((9, -4, 0), (9, 4, 0), 4),
    ],
)
def test_segments_from_a_box_of_half_sizes_5_by_hand(begin, end, expected):
    found = from_boxes(np.array([begin], float), np.array([end], float), np.full(3, 5.0))
    assert found == pytest.approx([expected], abs=EXACT)


def test_segments_from_segments_against_python_fcl():
    (p, q, r, s), _ = drawn(500, 2)
    for a, b, c, d, found in zip(p, q, r, s, between_segments(p, q, r, s), strict=True):
        one, other = a_capsule(a, b), a_capsule(c, d)
        if found > 1:
            assert fcl.distance(one, other) + 2 * THIN == pytest.approx(found, abs=SOLVER)


def a_capsule(begin, end):
    length = float(np.linalg.norm(end - begin))
    turn = turn_of((end - begin) / length)
    return fcl.CollisionObject(fcl.Capsule(THIN, length), fcl.Transform(turn, (begin + end) / 2))


@pytest.mark.parametrize(
    ("p", "q", "r", "s", "expected"),
    [
        ((-1, 0, 0), (1, 0, 0), (0, -1, 3), (0, 1, 3), 3),  # crossing
        ((0, 0, 0), (4, 0, 0), (2, 2, 0), (9, 2, 0), 2),  # side by side
        ((0, 0, 0), (1, 0, 0), (4, 4, 0), (9, 9, 0), 5),  # end to end
        ((0, 0, 0), (4, 0, 0), (2, 0, 0), (9, 0, 0), 0),  # one on the other
        ((0, 0, 0), (0, 0, 0), (3, -1, 4), (3, 1, 4), 5),  # a point
    ],
)
def test_segments_from_segments_by_hand(p, q, r, s, expected):
    found = between_segments(*(np.array([end], float) for end in (p, q, r, s)))
    assert found == pytest.approx([expected], abs=EXACT)


@pytest.fixture(scope="module")
def laid(tmp_path_factory):
    path = tmp_path_factory.mktemp("cabinet") / "small.toml"
    path.write_text(a_cabinet(0, SMALL).laid(), encoding="utf-8")
    whole, tubes = laid_in(path)
    return whole, tubes, chords_of(whole, tubes)


def test_every_thing_near_a_tube_is_found_as_near_as_the_slow_search_finds_it(laid):
    whole, tubes, chords = laid
    quick = {(near.tube, near.other): near for near in near_things(whole, tubes, chords)}
    slow = {}
    for thing in whole.things.values():
        limit = asked(whole, thing)
        for number, tube in enumerate(tubes):
            found = tube_to_thing(whole, tube, thing, limit + BEYOND)
            if found.distance <= limit + BEYOND - SOLVER:
                slow[number, thing.name] = found
    assert len(slow) >= 6
    assert {whole.things[name].motion is None for _, name in slow} == {True, False}, "of both sorts"
    assert slow.keys() <= quick.keys()
    for pair, found in slow.items():
        assert quick[pair].distance <= found.distance + SOLVER
        if found.distance < asked(whole, whole.things[pair[1]]) + BEYOND - RESOLVED - ERROR:
            assert quick[pair].distance >= found.distance - found.sampling - RESOLVED - ERROR - 2 * SOLVER


def test_every_tube_near_a_tube_is_found_as_near_as_the_slow_search_finds_it(laid):
    whole, tubes, chords = laid
    quick = {(near.tube, near.other): near.distance for near in near_tubes(whole, chords)}
    for i, j in combinations(range(SMALL), 2):
        found = tube_to_tube(whole, tubes[i], tubes[j], BEYOND)
        if found.distance <= BEYOND - SOLVER:
            assert found.distance - ERROR - 4 * SOLVER <= quick.pop((i, j)) <= found.distance + SOLVER
    assert all(distance > BEYOND - ERROR - 2 * SOLVER for distance in quick.values())


def test_of_tubes_that_cross_at_random_every_near_pair_is_found(tmp_path):
    whole = case_of(written(tmp_path, a_scene()))
    rng, tubes = np.random.default_rng(5), []
    while len(tubes) < 18:
        corners = rng.uniform(0, 160, (5, 3))
        legs = np.diff(corners, axis=0)
        turns = np.arccos([a @ b / np.linalg.norm(a) / np.linalg.norm(b) for a, b in pairwise(legs)])
        if np.linalg.norm(legs, axis=1).min() > 2 * 20 * np.tan(turns.max() / 2):
            tubes.append(Laid(centreline(corners, np.full(3, 20.0)), 3.97, 5.56, (None, None)))
    quick = {(near.tube, near.other): near.distance for near in near_tubes(whole, chords_of(whole, tubes))}
    near = 0
    for i, j in combinations(range(len(tubes)), 2):
        found = between(tubes[i].line, 5.56, tubes[j].line, 5.56, BEYOND)
        if found.distance <= BEYOND - SOLVER:
            near += 1
            # ends are flat: the round ones of the quick look may be nearer by half a tube
            assert quick[i, j] <= found.distance + 4 * SOLVER
    assert near > 20
