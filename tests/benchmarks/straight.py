"""How hard is a cabinet? How many straight ways fail, and how many tubes cannot have the nearest opening."""

import numpy as np
from benchmarks.openings import Opening
from benchmarks.ribbons import FIXED, LEAST, OUTSIDE, SLACK, Lay, points_along
from benchmarks.woodwork import Piece, keys_body


def nearest(lay: Lay, openings: list[Opening], board: int, begins: np.ndarray | None = None) -> np.ndarray:
    """For each tube the opening of a board by which the straight way over its middle is shortest."""
    begins = lay.bar if begins is None else begins
    own = [number for number, one in enumerate(openings) if one.board == board]
    height = float(np.mean(lay.levels.boards[board]))
    middles = np.array([[*openings[number].middle, height] for number in own])
    ends = lay.stack[lay.peg_of]
    ways = np.linalg.norm(begins[:, None] - middles, axis=2) + np.linalg.norm(ends[:, None] - middles, axis=2)
    return np.array(own)[ways.argmin(axis=1)]


def crowded_out(first: np.ndarray, openings: list[Opening]) -> float:
    """The least share of tubes that cannot have their nearest opening: what it is proven not to hold."""
    over = [
        max(int(np.sum(first == number)) - one.capacity, 0)
        for number, one in enumerate(openings)
        if one.board == 0
    ]
    return sum(over) / len(first)


def failing(lay: Lay, openings: list[Opening], pieces: list[Piece]) -> float:
    """The share of tubes whose straight way runs into something still, keys at rest, or is bent too tightly.

    The way has room for the least bend at both nipples and on both sides of a board, and is rounded
    with the least radius; other tubes are not counted as in its way.
    """
    solids = [*(piece for piece in pieces if piece.kind != "keep_clear"), keys_body(lay)]
    through = [nearest(lay, openings, 0)]
    if len(lay.levels.boards) > 1:
        height = float(np.mean(lay.levels.boards[0]))
        begins = np.array([[*openings[number].middle, height] for number in through[0]])
        through.append(nearest(lay, openings, 1, begins))
    failing = 0
    for hole, own in enumerate(lay.corners):
        stub = OUTSIDE + LEAST
        rows = [own[0], own[0] + stub * _unit(own[1] - own[0])]
        for (low, high), first in zip(lay.levels.boards, through, strict=True):
            middle = openings[first[hole]].middle
            rows += [[*middle, high + stub], [*middle, low - stub]]
        rows += [own[-1] + stub * _unit(own[-2] - own[-1]), own[-1]]
        failing += _fails(np.array(rows), lay, openings, solids)
    return failing / len(lay.corners)


def _fails(corners: np.ndarray, lay: Lay, openings: list[Opening], solids: list[Piece]) -> bool:
    legs = np.diff(corners, axis=0)
    long = np.linalg.norm(legs, axis=1)
    turns = np.arccos(np.clip(np.sum(legs[:-1] * legs[1:], axis=1) / long[:-1] / long[1:], -1, 1))
    cuts = np.concatenate([[0], LEAST * np.tan(turns / 2), [0]])
    if (cuts[:-1] + cuts[1:] > long).any():
        return True
    points = points_along(corners, np.full(len(turns), LEAST), 3.0)
    keep = OUTSIDE / 2 + FIXED - SLACK
    if any((piece.from_points(points) < keep).any() for piece in solids):
        return True
    for board, (low, high) in enumerate(lay.levels.boards):
        within = points[(points[:, 2] > low) & (points[:, 2] < high), :2]
        free = np.zeros(len(within), bool)
        for one in openings:
            if one.board == board:
                free |= ((within > one.low + keep) & (within < one.low + one.size - keep)).all(axis=1)
        if not free.all():
            return True
    return False


def _unit(vector: np.ndarray) -> np.ndarray:
    return vector / np.linalg.norm(vector)
