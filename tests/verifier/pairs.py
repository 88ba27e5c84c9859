"""Which tubes come near which things and tubes, and how near: everything nearer than a limit and a bit more.

What is left out is farther by proof: a ball about some pieces of tube is farther than that from the box, ball
or straight piece looked at, wherever in its travel. Of a thing that moves the travel is halved, and how far
anything of it can go in the half is taken off, until less than RESOLVED is to be gained.

Distances are those of the round bar about each piece, its ends rounded, less ERROR, so they are not above the
true ones; where one is below its limit, python-fcl has the last word (shortfalls.py).
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

import fcl
import numpy as np
from scipy.spatial import cKDTree
from verifier.chords import Chords
from verifier.lays import Laid, asked, excused
from verifier.nearness import between_segments, from_boxes, in_chunks, off_box
from verifier.parts import Case, Shape, Thing
from verifier.tubes import SAGITTA

BEYOND = 0.6  # what is free by more than this beyond its limit is left out
RESOLVED = 0.01  # of a distance from what moves
ERROR = 2 * SAGITTA  # both tubes may be nearer than their chords by this


@dataclass(frozen=True)
class Near:
    """A tube and a thing or another tube: at least how far apart, and how far they have to be.

    ``decided`` is False where this reader has only a bound and python-fcl is to be asked.
    """

    tube: int
    other: str | int
    distance: float
    limit: float
    decided: bool = True


def near_things(whole: Case, tubes: list[Laid], chords: Chords) -> list[Near]:
    """Tubes and things that are not farther apart than the limit and BEYOND, by the limit's own thing."""
    found = []
    for thing in whole.things.values():
        limit = asked(whole, thing)
        least: dict[int, float] = defaultdict(lambda: np.inf)
        bounded: set[int] = set()
        for shape in thing.shapes:
            pieces = _pieces_near(chords, shape, thing, limit + BEYOND)
            pieces = pieces[_counts(whole, tubes, chords, thing, pieces)]
            if not len(pieces):
                continue
            distances = _distances(chords, pieces, shape, thing, limit + BEYOND)
            for tube in np.unique(chords.tubes[pieces]).tolist():
                apart = float(distances[chords.tubes[pieces] == tube].min())
                if apart <= limit + BEYOND:
                    least[tube] = min(least[tube], apart)
                    bounded |= set() if _is_exact(shape) else {tube}
        found += [Near(tube, thing.name, least[tube], limit, tube not in bounded) for tube in sorted(least)]
    return found


def near_tubes(whole: Case, chords: Chords) -> list[Near]:
    """Pairs of tubes that are not farther apart than the limit and BEYOND, the lower number first."""
    limit = whole.scene.limit("tubes", 0.0)
    least: dict[tuple[int, int], float] = defaultdict(lambda: np.inf)
    for one, other in _balls_near(chords, limit + BEYOND):
        a, b = _every_pair(chords, one, other)
        for part in in_chunks(len(a)):
            i, j = a[part], b[part]
            apart = between_segments(chords.begins[i], chords.ends[i], chords.begins[j], chords.ends[j])
            apart -= chords.radii[i] + chords.radii[j] + ERROR
            close = apart <= limit + BEYOND
            keys = np.sort(np.column_stack([chords.tubes[i], chords.tubes[j]])[close], axis=1)
            for (first, second), distance in zip(keys.tolist(), apart[close].tolist(), strict=True):
                least[first, second] = min(least[first, second], distance)
    return [Near(i, j, distance, limit) for (i, j), distance in sorted(least.items())]


def perhaps_near_things(whole: Case, chords: Chords, limit: float) -> list[tuple[int, str]]:
    """Tubes and things that may be as near as the limit; all others are farther by proof."""
    found = set()
    for thing in whole.things.values():
        for shape in thing.shapes:
            pieces = _pieces_near(chords, shape, thing, limit)
            found |= {(tube, thing.name) for tube in np.unique(chords.tubes[pieces]).tolist()}
    return sorted(found)


def perhaps_near_tubes(chords: Chords, limit: float) -> list[tuple[int, int]]:
    """Pairs of tubes that may be as near as the limit, the lower number first; all others are farther."""
    found: set[tuple[int, int]] = set()
    for balls in _balls_near(chords, limit):
        pairs = np.sort(np.column_stack([chords.ball_tubes[one] for one in balls]), axis=1)
        found |= {(one, other) for one, other in np.unique(pairs, axis=0).tolist()}
    return sorted(found)


# ── tubes and things ─────────────────────────────────────────────────────────────────────────────
def goes(shape: Shape, thing: Thing) -> float:
    """How far any point of a shape goes in the whole travel, at most."""
    if thing.motion is None:
        return 0.0
    if thing.motion.point is None:
        return abs(thing.motion.full)
    arm = shape.place - thing.motion.point
    off = arm - (arm @ thing.motion.axis) * thing.motion.axis
    return (float(np.linalg.norm(off)) + shape.reach) * abs(thing.motion.full)


def _placed(shape: Shape, thing: Thing, travel: float) -> tuple[np.ndarray, np.ndarray]:
    if thing.motion is None:
        return shape.turn, shape.place
    turn, shift = thing.motion.pose(travel)
    return turn @ shape.turn, turn @ shape.place + shift


def _pieces_near(chords: Chords, shape: Shape, thing: Thing, limit: float) -> np.ndarray:
    """Pieces of all balls that may come so near, half the travel on both sides of its middle counted."""
    turn, place = _placed(shape, thing, 0.5)
    far = _from_shape(chords.middles, shape, turn, place) - chords.reaches - chords.ball_radii
    return chords.pieces_of(np.flatnonzero(far - goes(shape, thing) / 2 <= limit + ERROR))[0]


def _is_exact(shape: Shape) -> bool:
    """Whether this reader has distances of its own: from boxes, and from the round bar about a cylinder."""
    return shape.halves is not None or isinstance(shape.geometry, fcl.Cylinder)


def _from_shape(points: np.ndarray, shape: Shape, turn: np.ndarray, place: np.ndarray) -> np.ndarray:
    """At least how far points are from a shape."""
    return _apart(points, points, shape, turn, place)


def _apart(
    begins: np.ndarray, ends: np.ndarray, shape: Shape, turn: np.ndarray, place: np.ndarray
) -> np.ndarray:
    """At least how far segments are from a box, the bar about a cylinder, the ball about another."""
    is_points = begins is ends
    begins, ends = (begins - place) @ turn, (ends - place) @ turn
    if shape.halves is not None:
        return off_box(begins, shape.halves) if is_points else from_boxes(begins, ends, shape.halves)
    half, radius = 0.0, shape.reach
    if isinstance(shape.geometry, fcl.Cylinder):
        half, radius = shape.geometry.lz / 2, shape.geometry.radius
    far = np.broadcast_to([0.0, 0.0, half], begins.shape)
    return between_segments(begins, ends, -far, far) - radius


def _counts(whole: Case, tubes: list[Laid], chords: Chords, thing: Thing, pieces: np.ndarray) -> np.ndarray:
    """Which pieces must keep off a thing: neither on its own nipple nor where their tube is excused."""
    counts = chords.carriers[pieces] != thing.name
    free = chords.carriers[pieces] == ""
    for tube in np.unique(chords.tubes[pieces]).tolist():
        for low, high in excused(whole, tubes[tube], thing):
            along = chords.along[pieces]
            counts &= ~(free & (chords.tubes[pieces] == tube) & (along > low) & (along < high))
    return counts


def _distances(chords: Chords, pieces: np.ndarray, shape: Shape, thing: Thing, limit: float) -> np.ndarray:
    """At least how near each piece comes to a shape, within RESOLVED if it moves."""
    begins, ends, radii = chords.begins[pieces], chords.ends[pieces], chords.radii[pieces] + ERROR
    if thing.motion is None:
        return _apart(begins, ends, shape, shape.turn, shape.place) - radii
    least = np.full(len(begins), np.inf)
    path, waiting = goes(shape, thing), [(0.0, 1.0, np.arange(len(begins)))]
    while waiting:
        low, high, rows = waiting.pop()
        middle = (low + high) / 2
        apart = _apart(begins[rows], ends[rows], shape, *_placed(shape, thing, middle)) - radii[rows]
        least[rows] = np.minimum(least[rows], apart)
        bound = apart - path * (high - low) / 2
        rows = rows[bound < np.minimum(least[rows] - RESOLVED, limit)]
        if len(rows):
            waiting += [(low, middle, rows), (middle, high, rows)]
    return least - RESOLVED


# ── tubes and tubes ──────────────────────────────────────────────────────────────────────────────
def _balls_near(chords: Chords, limit: float) -> Iterator[tuple[np.ndarray, np.ndarray]]:
    """Pairs of balls of different tubes that may hold pieces so near, some thousands at a time."""
    tree = cKDTree(chords.middles)
    widest = 2 * float((chords.reaches + chords.ball_radii).max())
    pairs = tree.query_pairs(widest + limit + ERROR, output_type="ndarray")
    if not len(pairs):
        return
    i, j = pairs.T
    far = np.linalg.norm(chords.middles[i] - chords.middles[j], axis=1)
    for balls in (i, j):
        far -= (chords.reaches + chords.ball_radii)[balls]
    near = (far <= limit + ERROR) & (chords.ball_tubes[i] != chords.ball_tubes[j])
    i, j = i[near], j[near]
    near = _lines_apart(chords, i, j) <= limit + ERROR
    i, j = i[near], j[near]
    for at in range(0, len(i), 4000):
        yield i[at : at + 4000], j[at : at + 4000]


def _lines_apart(chords: Chords, i: np.ndarray, j: np.ndarray) -> np.ndarray:
    """At least how far the walls in two balls are apart: by straights from end to end, less bulges."""
    firsts, lasts = chords.firsts[:-1], chords.firsts[1:] - 1
    starts, stops = chords.begins[firsts], chords.ends[lasts]
    ball = np.repeat(np.arange(len(firsts)), np.diff(chords.firsts))
    bulge = np.maximum.reduceat(_off(chords.ends, starts[ball], stops[ball]), firsts)
    apart = np.concatenate([
        between_segments(starts[i[part]], stops[i[part]], starts[j[part]], stops[j[part]])
        for part in in_chunks(len(i))
    ] or [np.zeros(0)])  # fmt: skip
    return apart - (bulge + chords.ball_radii)[i] - (bulge + chords.ball_radii)[j]


def _off(points: np.ndarray, begins: np.ndarray, ends: np.ndarray) -> np.ndarray:
    way = ends - begins
    share = ((points - begins) * way).sum(1) / np.maximum((way * way).sum(1), 1e-300)
    return np.linalg.norm(points - begins - np.clip(share, 0, 1)[:, None] * way, axis=1)


def _every_pair(chords: Chords, one: np.ndarray, other: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Every piece of the one ball with every piece of the other."""
    a, which = chords.pieces_of(one)
    b, row = chords.pieces_of(other[which])
    return a[row], b
