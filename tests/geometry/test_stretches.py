"""Stretches, worked by hand, and against counting small steps."""

import numpy as np
import pytest

from routeviz.geometry.stretches import merged, outside, without


def test_stretches_that_meet_are_one() -> None:
    keys, spans = merged(np.array([1, 0, 1, 1]), np.array([[0.5, 0.7], [0.1, 0.2], [0.0, 0.5], [0.8, 0.9]]))
    assert keys.tolist() == [0, 1, 1]
    assert spans == pytest.approx(np.array([[0.1, 0.2], [0.0, 0.7], [0.8, 0.9]]))


def test_stretches_less_others_are_what_is_left() -> None:
    left = without(
        np.array([0, 2]), np.array([[0.2, 0.8], [0.0, 1.0]]), np.array([0]), np.array([[0.4, 0.5]]), 3
    )
    assert left.numbers.tolist() == [0, 0, 2]
    assert left.spans == pytest.approx(np.array([[0.2, 0.4], [0.5, 0.8], [0.0, 1.0]]))


def test_nothing_leaves_lines_whole() -> None:
    left = outside(np.zeros(0, dtype=np.int64), np.zeros((0, 2)), 2)
    assert left.numbers.tolist() == [0, 1]
    assert left.spans.tolist() == [[0.0, 1.0], [0.0, 1.0]]


def test_what_is_left_is_what_counting_steps_leaves() -> None:
    rng = np.random.default_rng(6)
    numbers, others = rng.integers(0, 4, 12), rng.integers(0, 4, 12)
    spans, taken = (np.sort(rng.integers(0, 65, (12, 2)), axis=1) / 64 for _ in range(2))
    left = without(numbers, spans, others, taken, 4)
    middles = (np.arange(64) + 0.5) / 64
    for line in range(4):
        held, lost, found = (
            ((s[n == line][:, :1] < middles) & (middles < s[n == line][:, 1:])).any(axis=0)
            for n, s in ((numbers, spans), (others, taken), (left.numbers, left.spans))
        )
        assert (found == (held & ~lost)).all()
