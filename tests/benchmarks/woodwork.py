"""Wood and metal put about a lay: each piece grows until it is a limit and a margin from the tubes' walls."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from benchmarks.ribbons import (
    BORE,
    FIXED,
    KEY_LONG,
    KEYS_FRONT,
    MARGIN,
    NIPPLE,
    OUTSIDE,
    OVER,
    Lay,
    NoSuch,
    points_along,
)

STEP = 1.5  # between the points that stand for a tube: (STEP / 2)^2 / (2 * 5) = 0.056 of doubt
DOUBT = 0.06
KEYS_UP, KEYS_THICK = 25.0, 22.0  # over the bed; the sticks
GRAIN = 0.05  # pieces are rounded towards less


@dataclass(frozen=True)
class Piece:
    """A block in axes of its own (columns of ``axes``) about a place, from low to high; rods by a radius."""

    kind: str
    axes: np.ndarray
    place: np.ndarray
    low: np.ndarray
    high: np.ndarray
    radius: float = 0.0

    def from_points(self, points: np.ndarray) -> np.ndarray:
        """How far each point is; of a round bar, from the capsule about it."""
        local = (points - self.place) @ self.axes
        off = np.maximum(np.maximum(self.low - local, local - self.high), 0.0)
        return np.sqrt((off * off).sum(axis=1)) - self.radius

    def bounds(self) -> tuple[np.ndarray, np.ndarray]:
        ends = np.array(np.meshgrid(*zip(self.low, self.high, strict=True))).reshape(3, -1).T
        corners = self.place + ends @ self.axes.T
        return corners.min(axis=0) - self.radius, corners.max(axis=0) + self.radius


def a_block(kind: str, low: np.ndarray, high: np.ndarray) -> Piece:
    """A block along the case's axes."""
    return Piece(kind, np.eye(3), np.zeros(3), np.asarray(low, float), np.asarray(high, float))


def tube_points(lay: Lay) -> tuple[np.ndarray, np.ndarray]:
    """Points of all tubes, their ends over the nipples included, and the tube's radius at each."""
    rows, radii = [], []
    wider = (OUTSIDE**2 - BORE**2 + NIPPLE**2) ** 0.5 / 2
    for corners, bends in zip(lay.corners, lay.radii, strict=True):
        points = points_along(corners, bends, STEP)
        rows.append(points)
        radii.append(np.full(len(points), OUTSIDE / 2))
        for tip, after in ((corners[0], corners[1]), (corners[-1], corners[-2])):
            back = (tip - after) / np.linalg.norm(tip - after)
            rows.append(tip + np.linspace(0, OVER, 8)[:, None] * back)
            radii.append(np.full(8, wider))
    return np.vstack(rows), np.concatenate(radii)


def pieces_about(
    draw: np.random.Generator, lay: Lay, count: int, taboo: list[Piece], room: tuple[np.ndarray, np.ndarray]
) -> list[Piece]:
    """So many blocks, bars, posts and spaces to be kept clear, each beside a tube, clear of all tubes."""
    points, radii = tube_points(lay)
    order = np.argsort(points[:, 0], kind="stable")
    points, radii = points[order], radii[order]
    made: list[Piece] = []
    for _ in range(40 * count):
        if len(made) == count:
            return made
        away = draw.normal(size=3)
        seed = points[draw.integers(len(points))] + away / np.linalg.norm(away) * draw.uniform(9, 45)
        kind = str(draw.choice(["box", "bar", "cylinder", "keep_clear"], p=[0.5, 0.2, 0.2, 0.1]))
        piece = _seedling(draw, kind, seed)
        low, high = (end + side * 9.0 for end, side in zip(piece.bounds(), (-1, 1), strict=True))
        near = slice(*np.searchsorted(points[:, 0], [low[0], high[0]]))
        within = ((points[near] > low) & (points[near] < high)).all(axis=1)
        needs = radii[near][within] + needed(kind) + DOUBT
        grown = _grown(draw, piece, points[near][within], needs, room)
        if grown is not None and not any(_meet(grown, one) for one in taboo):
            made.append(grown)
    raise NoSuch("no room for the pieces")


def needed(kind: str) -> float:
    """What must be free to a piece."""
    return MARGIN + (0.0 if kind == "keep_clear" else FIXED)


def _seedling(draw: np.random.Generator, kind: str, place: np.ndarray) -> Piece:
    """What a piece begins as, and in ``low`` and ``high`` how far it may grow."""
    place = np.round(place, 1)
    if kind in ("box", "keep_clear"):
        far = draw.uniform([10, 8, 8], [90, 50, 60])
        return Piece(kind, np.eye(3), place, -far, far)
    along = np.eye(3)[draw.integers(3)]
    if draw.random() < 0.5:
        along = along + draw.normal(size=3) * 0.3
    along = along / np.linalg.norm(along)
    level = np.cross(along, [0, 0, 1.0])
    level = level / np.linalg.norm(level) if np.linalg.norm(level) > 1e-6 else np.array([1.0, 0, 0])
    axes = np.column_stack([level, along, np.cross(level, along)])
    long, half = draw.uniform(40, 160), np.round(draw.uniform(2.5, 7, 2), 1)
    if kind == "cylinder":
        return Piece(kind, axes, place, np.array([0, -long, 0]), np.array([0, long, 0]), float(half[0]))
    far = np.array([half[0], long, half[1]])
    return Piece(kind, axes, place, -far, far)


def _grown(
    draw: np.random.Generator,
    most: Piece,
    points: np.ndarray,
    needs: np.ndarray,
    room: tuple[np.ndarray, np.ndarray],
) -> Piece | None:
    """Grow face by face until a tube, the room's end or the most is met; None if it stays too small."""
    grows = most.high > 1
    if most.kind == "bar":
        grows = np.array([False, True, False])
    low, high = np.where(grows, -1.0, most.low), np.where(grows, 1.0, most.high)

    def is_free(a: np.ndarray, b: np.ndarray) -> bool:
        piece = Piece(most.kind, most.axes, most.place, a, b, most.radius)
        least, far = piece.bounds()
        inside = (least >= room[0]).all() and (far <= room[1]).all()
        return bool(inside and (piece.from_points(points) >= needs).all())

    if not is_free(low, high):
        return None
    for face in draw.permutation(6):
        axis, ends = face % 3, (low, high)[face // 3]
        if grows[axis]:
            _push(ends, axis, (most.low, most.high)[face // 3][axis], lambda: is_free(low, high))
    if ((high - low)[grows] < 6).any():
        return None
    return Piece(most.kind, most.axes, most.place, low, high, most.radius)


def _push(ends: np.ndarray, axis: int, most: float, is_free: Callable[[], bool]) -> None:
    """Move one face as far as it stays free, by halving, and round it towards less."""
    begin, good, bad = float(ends[axis]), 0.0, 2.0  # the first try, halfway between, is the whole
    for _ in range(14):
        share = (good + bad) / 2
        ends[axis] = begin + share * (most - begin)
        good, bad = (share, bad) if is_free() else (good, share)
        if good == 1.0:
            break
    ends[axis] = np.trunc((begin + good * (most - begin)) / GRAIN) * GRAIN


def _meet(one: Piece, other: Piece) -> bool:
    """Whether the boxes about two pieces meet."""
    (a, b), (c, d) = one.bounds(), other.bounds()
    return bool((a < d).all() and (c < b).all())


def bar_body(lay: Lay) -> Piece:
    low, high = lay.bar.min(axis=0), lay.bar.max(axis=0)
    return a_block("box", low - [15, 24, 12], high + np.array([15, -12, 12]))


def stack_body(lay: Lay) -> Piece:
    low, high = lay.stack.min(axis=0), lay.stack.max(axis=0)
    if lay.levels.faces == "up":
        return a_block("box", low - [20, 20, 82], high + np.array([20, 20, -12]))
    return a_block("box", low - [20, -12, 20], high + np.array([20, 90, 20]))


def keys_body(lay: Lay, more: float = 0.0) -> Piece:
    """The keys at rest, as one block."""
    low = lay.levels.boards[0][1] + KEYS_UP
    behind = KEYS_FRONT + KEY_LONG
    return a_block("keys", [0, 0, low - more], [lay.wide, behind, low + KEYS_THICK + 2 * more])
