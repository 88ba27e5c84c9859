"""Tubes of few corners that are too near each other: what is seen of it, and how far each then goes."""

import numpy as np
import pytest
from strung import RADIUS, straight, strung

from routeviz.geometry import yielding
from routeviz.geometry.rounds import WIDTH
from routeviz.geometry.yielding import Chains, Samples
from routeviz.planning.pressing import feel, fill_still, near_of, pairs_within, press, seek

GAP, NEAR, LONG = 0.5, 0.2, 120.0  # wanted, and what there is, between walls
AT_REST = 0.05  # that may lack before a tube moves


def bent(aside):
    """A fine polyline that goes up by 10 and down again, so far to one side."""
    xs = np.linspace(0, LONG, 21)
    rise = 5 * (1 - np.cos(2 * np.pi * xs / LONG))
    return np.column_stack([xs, np.full(len(xs), aside), rise])


def chained(lines, held):
    """Chains with every node of the lines as a corner, and samples of them."""
    count, sizes = len(lines), np.array([len(line) for line in lines])
    firsts, nodes = np.append(0, np.cumsum(sizes)), np.concatenate(lines)
    own = np.append(0, np.cumsum(2 * sizes - 3))
    total, size = own[-1], len(nodes)
    samples = Samples(
        np.empty((total, 3)),
        np.empty(total),
        own,
        np.zeros((total, 3)),
        np.zeros(total, np.int64),
        np.zeros((total, 3)),
        np.zeros(total),
        np.zeros((total, 9)),
    )
    ends, legs = yielding.take_samples(nodes, np.ones(size), firsts, np.full(count, 1.0), samples)
    chains = Chains(
        corners=nodes.copy(),
        radii=np.full(size, 1.0),
        floors=np.full(size, 0.5),
        held=np.repeat(held, sizes),
        ends=ends,
        legs=legs,
        firsts=firsts,
        restless=np.ones(count, np.bool_),
        used=np.zeros(count),
        table=np.empty((size, WIDTH)),
        going=np.zeros(4 * size),
    )
    yielding.set_feet(samples, chains)
    feet = strung(*np.split(samples.feet, own[1:-1]))._replace(points=samples.feet)
    return samples, chains, feet


def felt(samples, chains, feet, near):
    """What is lacking at each foot, and what is near, with how many pairs are too near."""
    near, lacks = seek(feet, samples, near, (GAP, 2.0, 0.5)), np.zeros(len(samples.points))
    count = feel(feet, (near.watched, near.count, near.close), (GAP, AT_REST), chains, lacks)
    return lacks, near, count


def pressed(held, apart=NEAR):
    """How far two tubes side by side have gone apart in the end, the first's middle and the second's."""
    lines = [bent(0.0), bent(2 * RADIUS + apart)]
    samples, chains, feet = chained(lines, held)
    near = near_of(samples, 4)  # too few at first
    for _ in range(30):
        yielding.set_feet(samples, chains)
        _, near, count = felt(samples, chains, feet, near)
        press(feet, near.watched.pairs, near.close[:count], GAP, samples, chains)
        yielding.give_way(samples, chains, np.full(2, 1.0))
    middle = len(lines[0]) // 2
    return [
        chains.corners[first + middle, 1] - lines[k][middle, 1] for k, first in enumerate(chains.firsts[:2])
    ]


def test_what_is_lacking_is_seen_by_both():
    samples, chains, feet = chained([bent(0.0), bent(2 * RADIUS + NEAR)], [False, False])
    lacks, _, count = felt(samples, chains, feet, near_of(samples))
    assert lacks.max() == pytest.approx(GAP - NEAR, abs=1e-6)
    assert count > 0
    assert chains.restless.all()


def test_tubes_to_which_little_is_lacking_rest():
    """A tenth is: neither moves."""
    assert pressed([False, False], GAP - 0.5 * AT_REST) == [0, 0]


def test_feet_that_come_near_after_they_were_asked_are_seen():
    """The second starts 3 off, beyond what was looked at, and is then laid where it lacks something."""
    samples, chains, feet = chained([bent(0.0), bent(2 * RADIUS + 3.0)], [False, False])
    lacks, near, count = felt(samples, chains, feet, near_of(samples))
    assert count == lacks.max() == 0
    chains.corners[chains.firsts[1] :, 1] -= 3.0 - NEAR
    chains.restless[:] = True
    yielding.set_feet(samples, chains)
    lacks, _, _ = felt(samples, chains, feet, near)
    assert lacks.max() == pytest.approx(GAP - NEAR, abs=1e-6)


def test_two_that_are_too_near_go_half_each():
    first, second = pressed([False, False])
    assert -first == pytest.approx(second, abs=0.02)
    assert second - first >= 0.9 * (GAP - NEAR)


def test_beside_one_that_stays_the_other_goes_all_the_way():
    first, second = pressed([True, False])
    assert first == 0
    assert second >= 0.9 * (GAP - NEAR)


def test_what_stands_still_is_seen_by_those_that_move_alone():
    lines = [straight((0, 0, 0), (60, 0, 0), 11), straight((0, 8, 0), (60, 8, 0), 11)]
    strings = strung(*lines, free=[np.ones(11), np.zeros(11)])
    rooms = np.zeros(11)
    fill_still(strings, 11, *pairs_within(strings, 4.0), rooms)
    np.testing.assert_allclose(rooms, 8 - 2 * RADIUS)


def test_a_chain_far_from_its_samples_is_drawn_back():
    """Within 1 of them, which is all the room that they have."""
    line = bent(0.0)
    samples, chains, _ = chained([line], [False])
    chains.corners[5:-5, 1] += 2.0
    for _ in range(30):
        yielding.set_feet(samples, chains)
        yielding.draw_back(samples, chains)
        yielding.give_way(samples, chains, np.ones(1))
    yielding.set_feet(samples, chains)
    assert np.linalg.norm(samples.feet - samples.points, axis=1).max() <= 1.0
    shares = np.zeros(len(line))
    yielding.fill_shares(line, np.ones(len(line)), chains.firsts, chains, shares)
    assert shares.max() <= 1.0
