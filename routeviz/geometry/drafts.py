"""The draft of a route through measured points: its first corners, and how those may move.

How the draft becomes the gentlest route is in fitting.py.
"""

import math
from dataclasses import dataclass

import numpy as np

from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.corners import STRAIGHT
from routeviz.geometry.trials import misses, trials_of

WIDEST = math.radians(110)  # turns that a draft has, well off the 120 degrees that a corner may have


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """What is known: points in order, their doubt, directions at the ends, the radius wished for."""

    points: Floats
    doubt: float
    start_direction: Floats | None
    end_direction: Floats | None
    least_radius: float


def needed(points: Floats, off_by: float) -> Ints:
    """Return which points a polyline needs to miss none by more than so much (Douglas and Peucker's way)."""
    kept, spans = {0, len(points) - 1}, [(0, len(points) - 1)]
    while spans:
        first, last = spans.pop()
        if last - first > 1:
            chord = trials_of(points[None, [first, last]], np.zeros((1, 0)))
            off = misses(chord, points[first + 1 : last])[0]
            if off.max() > off_by:
                middle = first + 1 + int(np.argmax(off))
                kept.add(middle)
                spans += [(first, middle), (middle, last)]
    return np.array(sorted(kept), np.int64)


def first_corners(task: Task, kept: Ints) -> tuple[Floats, Floats]:
    """Return the corners to begin with, and how they may move.

    The kept points are the corners; next to an end with a direction there is one that can only slide along
    it, and where the polyline would turn too sharply it turns in two.

    Parameters
    ----------
    task : Task
        What is known.
    kept : array of int
        Which points to make corners of.

    Returns
    -------
    corners : array, shape (n, 3)
        Ends and corners.
    moves : array, shape (u, n, 3)
        What each of the u unknowns adds to them.
    """
    inner = list(task.points[kept[1:-1]])
    first, last = task.points[0], task.points[-1]
    head, tail = [first], [last]
    if task.start_direction is not None:
        head.append(_slid(first, task.start_direction, inner, last, task))
    if task.end_direction is not None:
        inner.reverse()
        tail.insert(0, _slid(last, -task.end_direction, inner, head[-1], task))
        inner.reverse()
    rows = _turned_gently([*head, *inner, *tail], task)
    fixed = (1 if task.start_direction is None else 2, 1 if task.end_direction is None else 2)
    moves = []
    if task.start_direction is not None:
        moves.append(_move(len(rows), 1, task.start_direction))
    if task.end_direction is not None:
        moves.append(_move(len(rows), len(rows) - 2, task.end_direction))
    for corner in range(fixed[0], len(rows) - fixed[1]):
        moves += [_move(len(rows), corner, axis) for axis in np.eye(3)]
    return np.array(rows), np.array(moves).reshape(-1, len(rows), 3)


def turning_of(task: Task) -> float:
    """Return by how much the points turn, from the first direction to the last, each turn counted."""
    ways = list(np.diff(task.points[needed(task.points, task.doubt)], axis=0))
    if task.start_direction is not None:
        ways.insert(0, task.start_direction)
    if task.end_direction is not None:
        ways.append(task.end_direction)
    corners = np.vstack([np.zeros(3), np.cumsum([way / size_of(way) for way in ways], axis=0)])
    return float(trials_of(corners[None], np.ones((1, len(corners) - 2))).turns.sum())


def _move(count: int, corner: int, direction: Floats) -> Floats:
    move = np.zeros((count, 3))
    move[corner] = direction
    return move


def _slid(end: Floats, direction: Floats, inner: list[Floats], other: Floats, task: Task) -> Floats:
    """Return the corner on the straight line out of an end; a point on that line is taken for it."""
    target = inner[0] if inner else other
    ahead = float((target - end) @ direction)
    if inner and ahead > 0 and size_of(target - end - ahead * direction) <= task.doubt:
        inner.pop(0)
        return np.asarray(end + ahead * direction)
    return np.asarray(end + direction * max(0.4 * size_of(target - end), min(task.least_radius, ahead)))


def _turned_gently(rows: list[Floats], task: Task) -> list[Floats]:
    """Return the corners with each that turns too sharply split in two, along the way its middle would go."""
    gentle = [rows[0]]
    for place, (before, corner, after) in enumerate(
        zip(rows[:-2], rows[1:-1], rows[2:], strict=True), start=1
    ):
        arriving, leaving = (
            (corner - before) / size_of(corner - before),
            (after - corner) / size_of(after - corner),
        )
        if arriving @ leaving >= math.cos(WIDEST):
            gentle.append(corner)
            continue
        size = min(size_of(corner - before), size_of(after - corner))
        half = _across(arriving, leaving) * max(task.doubt, task.least_radius, 0.2 * size)
        # A corner that can only slide along an end's direction stays where it is; its twin makes the turn.
        if place == 1 and task.start_direction is not None:
            gentle += [corner, corner + 2 * half]
        elif place == len(rows) - 2 and task.end_direction is not None:
            gentle += [corner - 2 * half, corner]
        else:
            gentle += [corner - half, corner + half]
    return [*gentle, rows[-1]]


def _across(arriving: Floats, leaving: Floats) -> Floats:
    """Return the direction in the middle of a turn; for an exact reversal any direction square to it."""
    middle = arriving + leaving
    if size_of(middle) < STRAIGHT:
        middle = np.cross(arriving, np.eye(3)[int(np.argmin(np.abs(arriving)))])
    return np.asarray(middle / size_of(middle))


def size_of(vector: Floats) -> float:
    """Return a vector's length."""
    return math.sqrt(float((vector * vector).sum()))
