"""Openings of the boards, one a ribbon, as tight as its fill says, and others; and what they hold."""

from dataclasses import dataclass

import numpy as np
from benchmarks.ribbons import FIXED, MARGIN, OUTSIDE, SLACK, Lay, NoSuch


@dataclass(frozen=True)
class Opening:
    """An opening of a board, straight-sided; whose ribbon goes through it, if any."""

    name: str
    board: int
    low: np.ndarray
    size: np.ndarray
    ribbon: int | None
    count: int
    most: int | None

    @property
    def middle(self) -> np.ndarray:
        return self.low + self.size / 2

    @property
    def capacity(self) -> int:
        """What it holds at most, by proof or by its own mark."""
        bound = packing_bound(*self.size)
        return bound if self.most is None else min(bound, self.most)


def packing_found(wide: float, deep: float) -> int:
    """The most of several regular packings of tubes in an opening: rows square, staggered, or squeezed."""
    a, b = wide - OUTSIDE - 2 * FIXED, deep - OUTSIDE - 2 * FIXED
    return 0 if min(a, b) < 0 else max(_in_rows(a, b), _in_rows(b, a))


def _in_rows(along: float, across: float) -> int:
    best = (int(along / OUTSIDE) + 1) * (int(across / OUTSIDE) + 1)
    for rows in range(2, int(across / (OUTSIDE / 2)) + 2):
        apart = min(across / (rows - 1), OUTSIDE)
        half = max(np.sqrt(OUTSIDE**2 - apart**2), OUTSIDE / 2)  # from a tube to the next row's
        if 2 * apart >= OUTSIDE:  # rows after next must not meet
            full = int(along / (2 * half)) + 1
            less = int((along - half) / (2 * half)) + 1 if along >= half else 0
            best = max(best, full * ((rows + 1) // 2) + less * (rows // 2))
    return best


def packing_bound(wide: float, deep: float) -> int:
    """What no packing exceeds: 2 A / (sqrt 3 d^2) + P / 2 d + 1 (Oler 1961, from memory), A for centres."""
    away, apart = OUTSIDE / 2 + FIXED - SLACK, OUTSIDE - SLACK
    a, b = wide - 2 * away, deep - 2 * away
    if min(a, b) < 0:
        return 0
    return int(2 * a * b / (np.sqrt(3) * apart**2) + (a + b) / apart + 1)


def openings_of(draw: np.random.Generator, lay: Lay) -> list[Opening]:
    """An opening of every board for each ribbon, and others that are nearer and hold few."""
    made: list[Opening] = []
    for board in range(len(lay.levels.boards)):
        letters = [str(one) for one in draw.permutation(list("ABCDEFGHJKLMNPQRSTUVWXYZ"))]
        own = [_own(draw, lay, board, number, letters.pop()) for number in range(len(lay.ribbons))]
        for _ in range(300):
            if len(own) >= len(lay.ribbons) + 1 + len(lay.bar) // 40:
                break
            other = _decoy(draw, lay, board, letters[-1])
            gaps = [np.maximum(other.low - (o.low + o.size), o.low - (other.low + other.size)) for o in own]
            if all(gap.max() >= 8 for gap in gaps):
                own.append(other)
                letters.pop()
        made += [own[i] for i in draw.permutation(len(own))]
    return made


def _own(draw: np.random.Generator, lay: Lay, board: int, number: int, name: str) -> Opening:
    """The opening of a ribbon, as tight as its fill says."""
    ribbon = lay.ribbons[number]
    away = OUTSIDE / 2 + FIXED + MARGIN
    edges = np.array([
        [lay.lefts[number] - away, ribbon.depths[0] - away],
        [lay.rights[number] + away, ribbon.depths[-1] + away],
    ])  # fmt: skip
    fill, grown, most_grown = draw.uniform(0.5, 0.9), np.zeros((2, 2)), np.array([14.0, 40.0])
    while ribbon.count > fill * packing_found(*np.ptp(edges, axis=0)):
        side, axis = int(draw.integers(2)), int(draw.random() < 0.3)
        if grown[side, axis] < most_grown[axis]:
            grown[side, axis] += 0.25
            edges[side, axis] += 0.25 * (2 * side - 1)
    low = np.floor(edges[0] * 10) / 10
    size = np.ceil(edges[1] * 10) / 10 - low
    if ribbon.count < 0.5 * packing_found(*size):
        raise NoSuch("a passage that is less than half full")
    most = ribbon.count + int(draw.integers(0, 4)) if draw.random() < 0.5 else None
    return Opening(name, board, low, size, number, ribbon.count, most)


def _decoy(draw: np.random.Generator, lay: Lay, board: int, name: str) -> Opening:
    """An opening between bar and stack that holds few tubes: it is small, or is marked so."""
    depths = np.concatenate([ribbon.depths for ribbon in lay.ribbons])
    middle = [
        draw.uniform(lay.stack[:, 0].min(), lay.stack[:, 0].max()),
        draw.uniform(depths.min(), depths.max()),
    ]
    marked = draw.random() < 0.5
    size = np.round(draw.uniform([40, 14], [80, 30]) if marked else draw.uniform(11, 22, 2), 1)
    most = int(draw.integers(1, 5)) if marked else None
    return Opening(name, board, np.round(np.array(middle) - size / 2, 1), size, None, 0, most)
