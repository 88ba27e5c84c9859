"""Edges: those of the solid that pieces make up together; expected lengths are counted by hand."""

import numpy as np
import pytest

from routeviz.geometry.blocks import box, cylinder
from routeviz.geometry.edges import Edges, edges_of, edges_of_all
from routeviz.geometry.frames import rigid, rotation_about
from routeviz.geometry.shapes import placed, united

TILTED = rigid(rotation_about((1, 2, 3), 0.7), (30.0, -20.0, 5.0))


def at(x: float, y: float, z: float) -> np.ndarray:
    return rigid(np.eye(3), (x, y, z))


def lines(edges: Edges) -> dict[tuple[float, ...], float]:
    """Of the sharp edges along an axis: how much of each straight line is covered, in steps of 0.25."""
    covered: dict[tuple[float, ...], set[int]] = {}
    for first, last in np.round(edges.ends[edges.sharp], 4):
        (axis,) = np.flatnonzero(np.abs(last - first) > 1e-6)
        key = (float(axis), *(float(v) for k, v in enumerate(first) if k != axis))
        low, high = sorted((first[axis], last[axis]))
        covered.setdefault(key, set()).update(range(round(low * 4), round(high * 4)))
    return {key: len(steps) / 4 for key, steps in covered.items()}


def test_a_box_has_its_twelve_edges() -> None:
    edges = edges_of(box(TILTED, (10, 20, 30)))
    lengths = np.linalg.norm(edges.ends[:, 1] - edges.ends[:, 0], axis=1)
    assert sorted(lengths.round(6)) == [10.0] * 4 + [20.0] * 4 + [30.0] * 4


def test_the_normals_at_an_edge_are_square_to_it_and_look_outwards() -> None:
    pieces = box(TILTED, (10, 20, 30))
    edges = edges_of(pieces)
    ahead = edges.ends[:, 1] - edges.ends[:, 0]
    assert np.einsum("kj,kij->ki", ahead, edges.normals) == pytest.approx(np.zeros((12, 2)), abs=1e-9)
    outwards = edges.ends.mean(axis=1) - edges.ends.mean(axis=(0, 1))
    assert (np.einsum("kj,kij->ki", outwards, edges.normals) > 0.0).all()


def test_two_boxes_that_abut_flush_are_drawn_as_one() -> None:
    pieces = united([box(at(0, 0, 0), (10, 10, 10)), box(at(10, 0, 0), (10.5, 10, 10))])
    # One box of 20.5 by 10 by 10.
    assert sum(lines(edges_of(pieces)).values()) == pytest.approx(4 * (20.5 + 10 + 10))


def test_a_step_keeps_the_edges_that_a_step_has() -> None:
    low, high = box(at(0, 0, 0), (20, 10, 10)), box(at(0, 0, 10), (10, 10, 10))
    # The outline of an L, 20 + 10 + 10 + 10 + 10 + 20, twice, and six edges across.
    assert sum(lines(edges_of(united([low, high]))).values()) == pytest.approx(2 * 80 + 6 * 10)


def test_an_edge_inside_another_piece_is_left_out() -> None:
    rod, block = box(at(-20, -2, -2), (40, 4, 4)), box(at(-5, -5, -5), (10, 10, 10))
    found = lines(edges_of(united([rod, block])))
    # The rod sticks out 15 at each end; edges of 10 along the block are those at its own corners.
    assert [found[key] for key in found if key[0] == 0.0 and abs(key[1]) == 2.0] == [30.0] * 4
    assert [found[key] for key in found if key[0] == 0.0 and abs(key[1]) == 5.0] == [10.0] * 4


def test_a_piece_that_stands_on_another_has_an_edge_all_round_its_foot() -> None:
    post, floor = box(at(3, 4, 10), (4, 5, 20)), box(at(0, 0, 0), (20, 10, 10))
    found = lines(edges_of(united([post, floor])))
    # Two boxes of which no edge is lost: 4 (4 + 5 + 20) and 4 (20 + 10 + 10).
    assert sum(found.values()) == pytest.approx(4 * 29 + 4 * 40)


def test_a_round_bar_is_sharp_at_its_rims_only() -> None:
    edges = edges_of(cylinder((0, 0, 0), (0, 0, 10), 4.0))
    assert np.ptp(edges.ends[edges.sharp][:, :, 2], axis=1).max() == 0.0
    assert (np.ptp(edges.ends[~edges.sharp][:, :, 2], axis=1) == 10.0).all()


def test_solids_alike_but_for_their_place_have_edges_alike_but_for_their_place() -> None:
    one = united([box(at(0, 0, 0), (20, 10, 10)), box(at(0, 0, 10), (10, 10, 10))])
    first, second = edges_of_all([one, placed(one, at(7, -3, 2))])
    assert second.ends - first.ends == pytest.approx(np.broadcast_to((7.0, -3.0, 2.0), first.ends.shape))
