"""Lines broken into dashes: lengths by arithmetic, and places by shapely."""

import numpy as np
import pytest
import shapely

from routeviz.geometry.dashes import dashed


def rim(radius: float, sides: int) -> np.ndarray:
    turns = np.linspace(0.0, 2.0 * np.pi, sides + 1)
    ring = radius * np.column_stack([np.cos(turns), np.sin(turns), np.zeros(sides + 1)])
    return np.stack([ring[:-1], ring[1:]], axis=1)


def lengths(lines: np.ndarray) -> np.ndarray:
    return np.linalg.norm(lines[:, 1] - lines[:, 0], axis=1)


def test_a_line_begins_and_ends_with_a_dash_and_its_pattern_is_stretched_to_that() -> None:
    found = dashed(np.array([[[0.0, 0.0], [100.0, 0.0]]]), np.array([8.0, 5.0]))
    # Seven times 8 + 5, and another 8, are 99: each is drawn 100/99 as long.
    assert lengths(found) == pytest.approx([8.0 * 100 / 99] * 8)
    assert found[:, 0, 0] == pytest.approx(np.arange(8) * 13.0 * 100 / 99)
    assert found[-1, 1].tolist() == pytest.approx([100.0, 0.0])


def test_a_dash_and_a_dot_take_turns() -> None:
    found = dashed(np.array([[[0.0, 0.0], [0.0, 72.0]]]), np.array([12.0, 4.0, 2.0, 4.0]))
    # Three times 22, and another 12, are 78.
    assert lengths(found) == pytest.approx(np.array([12, 2, 12, 2, 12, 2, 12]) * 72 / 78)


def test_at_a_corner_both_lines_are_drawn() -> None:
    corners = np.array([[0.0, 0.0], [50.0, 0.0], [50.0, 31.0], [0.0, 31.0]])
    sides = np.stack([corners, np.roll(corners, -1, axis=0)], axis=1)
    found = dashed(sides, np.array([6.0, 4.0])).reshape(-1, 2)
    for corner in corners:
        assert np.count_nonzero(np.abs(found - corner).sum(axis=1) < 1e-9) == 2


def test_round_a_rim_of_many_short_sides_dashes_go_on_and_gaps_are_as_long_as_ever() -> None:
    sides = rim(100.0, 128)  # of 4.9 each, so that one holds neither a dash nor a gap
    found = dashed(sides, np.array([8.0, 5.0]))
    whole = lengths(sides).sum()
    repeats = round((whole - 8.0) / 13.0)
    assert lengths(found).sum() / whole == pytest.approx((8 * repeats + 8) / (13 * repeats + 8))
    breaks = np.linalg.norm(found[1:, 0] - found[:-1, 1], axis=1)
    gaps = breaks[breaks > 1e-6]
    assert len(gaps) == repeats
    assert gaps == pytest.approx(5.0, rel=0.01)


def test_every_dash_lies_on_the_lines() -> None:
    rng = np.random.default_rng(7)
    lines = rng.uniform(-100, 100, (40, 2, 2))
    on = shapely.union_all(shapely.linestrings(lines))
    found = shapely.linestrings(dashed(lines, np.array([2.0, 4.0])))
    assert shapely.distance(found, on).max() < 1e-9
    assert shapely.union_all(found).length < 0.5 * on.length


def test_what_is_shorter_than_a_dash_is_drawn_whole_and_what_has_no_length_not_at_all() -> None:
    lines = np.array([[[0.0, 0.0], [1.0, 0.0]], [[5.0, 5.0], [5.0, 5.0]], [[9.0, 0.0], [9.0, 2.0]]])
    found = dashed(lines, np.array([8.0, 5.0]))
    assert found.tolist() == [lines[0].tolist(), lines[2].tolist()]
    assert dashed(np.zeros((0, 2, 3)), np.array([8.0, 5.0])).shape == (0, 2, 3)
