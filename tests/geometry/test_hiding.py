"""What hides what, against rays that are walked through boxes by their own slabs, and worked by hand."""

from dataclasses import replace

import numpy as np
import pytest

from routeviz.geometry.hiding import (
    NO_LINK,
    Blinds,
    Lines,
    blinds_of,
    in_sight,
    unlinked,
)
from routeviz.geometry.stretches import Stretches

NEAR = 0.15  # samples nearer than this to where a stretch ends are not asked: a ray may fall on either side


def a_box(rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Middle, axes as rows, half sizes of a box that lies anyhow."""
    axes = np.linalg.qr(rng.normal(size=(3, 3)))[0]
    return rng.uniform(-40, 40, 3), axes, rng.uniform(3, 18, 3)


def corners(box: tuple[np.ndarray, np.ndarray, np.ndarray]) -> np.ndarray:
    middle, axes, half = box
    signs = np.array([[(k >> i & 1) * 2 - 1 for i in range(3)] for k in range(8)])
    return middle + (signs * half) @ axes


def as_blinds(boxes: list[tuple[np.ndarray, np.ndarray, np.ndarray]]) -> Blinds:
    planes, counts = [], []
    for middle, axes, half in boxes:
        normals = np.concatenate([axes, -axes])
        offsets = normals @ middle + np.concatenate([half, half])
        front = normals[:, 2] > 1e-9
        counts.append(int(front.sum()))
        n, d = normals[front], offsets[front]
        planes.append(np.column_stack([-n[:, 0], -n[:, 1], d]) / n[:, 2:])
    return blinds_of(
        np.concatenate([corners(box)[:, :2] for box in boxes]),
        np.arange(len(boxes) + 1) * 8,
        np.concatenate(planes),
        np.append(0, np.cumsum(counts)),
        unlinked(np.arange(len(boxes))),
    )


def plain_lines(starts: np.ndarray, ends: np.ndarray) -> Lines:
    n = len(starts)
    return Lines(
        starts=starts,
        ends=ends,
        owners=np.full(n, -1),
        along=np.full(n, np.nan),
        near=np.zeros(n),
        links=np.full(n, NO_LINK),
    )


def a_ray_meets(point: np.ndarray, box: tuple[np.ndarray, np.ndarray, np.ndarray]) -> bool:
    """Whether the way from a point towards the eye (+z) goes through a box: by the slabs of the box."""
    middle, axes, half = box
    origin, way = axes @ (point - middle), axes @ np.array([0.0, 0.0, 1.0])
    low, high = ((sign * half - origin) / way for sign in (-1.0, 1.0))
    enters, leaves = np.minimum(low, high).max(), np.maximum(low, high).min()
    return bool(leaves > max(enters, 0.0) + 1e-9)


def held(stretches: Stretches, number: int, share: float) -> bool:
    spans = stretches.spans[stretches.numbers == number]
    return bool(((spans[:, 0] < share) & (share < spans[:, 1])).any())


def test_lines_are_hidden_where_rays_meet_a_box_and_nowhere_else() -> None:
    rng = np.random.default_rng(1)
    boxes = [a_box(rng) for _ in range(14)]
    starts, ends = rng.uniform(-60, 60, (150, 3)), rng.uniform(-60, 60, (150, 3))
    seen, hidden = in_sight(plain_lines(starts, ends), as_blinds(boxes))
    asked = met = 0
    for number in range(150):
        long = float(np.linalg.norm(ends[number] - starts[number]))
        mine = np.concatenate([s.spans[s.numbers == number].ravel() for s in (seen, hidden)])
        for share in rng.uniform(0, 1, 60):
            if np.abs(mine - share).min() * long < NEAR:
                continue
            point = starts[number] + share * (ends[number] - starts[number])
            expected = any(a_ray_meets(point, box) for box in boxes)
            assert held(hidden, number, share) == expected
            assert held(seen, number, share) != expected
            asked, met = asked + 1, met + expected
    assert asked > 8000
    assert met > 1000


def test_what_is_seen_and_what_is_hidden_are_together_the_whole_line() -> None:
    rng = np.random.default_rng(2)
    seen, hidden = in_sight(
        plain_lines(rng.uniform(-60, 60, (80, 3)), rng.uniform(-60, 60, (80, 3))),
        as_blinds([a_box(rng) for _ in range(20)]),
    )
    total = np.zeros(80)
    for some in (seen, hidden):
        np.add.at(total, some.numbers, some.spans[:, 1] - some.spans[:, 0])
    assert total == pytest.approx(np.ones(80), abs=1e-6)


def test_a_line_behind_a_box_is_hidden_from_side_to_side() -> None:
    box = (np.zeros(3), np.eye(3), np.array([10.0, 5.0, 2.0]))
    line = plain_lines(np.array([[-20.0, 0, -9]]), np.array([[20.0, 0, -9]]))
    _, hidden = in_sight(line, as_blinds([box]))
    # From -10 to 10 on a way of 40 that begins at -20.
    assert hidden.spans == pytest.approx(np.array([[0.25, 0.75]]), abs=0.001)


@pytest.mark.parametrize(("height", "shown"), [(2.5, True), (2.0, True), (1.5, False), (-2.0, False)])
def test_a_line_before_a_box_or_on_its_front_is_seen(height: float, shown: bool) -> None:
    box = (np.zeros(3), np.eye(3), np.array([10.0, 5.0, 2.0]))
    line = plain_lines(np.array([[-5.0, 0, height]]), np.array([[5.0, 0, height]]))
    seen, hidden = in_sight(line, as_blinds([box]))
    assert (len(seen.numbers), len(hidden.numbers)) == ((1, 0) if shown else (0, 1))


def test_an_edge_along_the_outline_of_what_stands_before_it_is_seen() -> None:
    box = (np.zeros(3), np.eye(3), np.array([10.0, 5.0, 2.0]))
    line = plain_lines(np.array([[-10.0, -5, -2]]), np.array([[-10.0, 5, -2]]))
    seen, _ = in_sight(line, as_blinds([box]))
    assert seen.spans.tolist() == [[0.0, 1.0]]


def test_a_thing_swallows_its_own_line_near_by_whatever_the_depth_and_never_one_farther_on() -> None:
    box = (np.zeros(3), np.eye(3), np.array([10.0, 5.0, 2.0]))
    blinds = as_blinds([box])
    own = Blinds(**{k: getattr(blinds, k) for k in Blinds.__slots__} | {"along": np.array([100.0])})
    for along, whole in ((95.0, False), (80.0, True)):
        line = Lines(
            starts=np.array([[-5.0, 0, 9]]),
            ends=np.array([[5.0, 0, 9]]),
            owners=np.array([0]),
            along=np.array([along]),
            near=np.array([10.0]),
            links=np.array([NO_LINK]),
        )
        seen, hidden = in_sight(line, own)
        assert (len(seen.numbers), len(hidden.numbers)) == (int(whole), 0)


def test_the_next_links_of_a_chain_do_not_hide_a_link_and_others_do() -> None:
    blinds = as_blinds([(np.zeros(3), np.eye(3), np.array([10.0, 5.0, 2.0]))])
    own = Blinds(**{k: getattr(blinds, k) for k in Blinds.__slots__} | {"links": np.array([4])})
    behind = plain_lines(np.array([[-5.0, 0, -9]]), np.array([[5.0, 0, -9]]))
    for link, shown in ((3, 1), (4, 1), (5, 1), (6, 0), (NO_LINK, 0)):
        seen, _ = in_sight(replace(behind, owners=np.array([0]), links=np.array([link])), own)
        assert len(seen.numbers) == shown


def test_nothing_hides_nothing() -> None:
    none = np.zeros(0, dtype=np.int64)
    blinds = blinds_of(np.zeros((0, 2)), np.array([0]), np.zeros((0, 3)), np.array([0]), unlinked(none))
    seen, hidden = in_sight(plain_lines(np.zeros((1, 3)), np.ones((1, 3))), blinds)
    assert (len(seen.numbers), len(hidden.numbers)) == (1, 0)
