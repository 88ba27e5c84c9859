"""Least distances by python-fcl, in millimetres: plain search over chords and over samples of the travel.

A tube is a row of short cylinders with flat ends. Where it overlaps a thing, the distance told is that of its
centreline less its radius; a centreline inside gives minus the radius.
"""

from dataclasses import dataclass

import fcl
import numpy as np
from scipy.spatial import cKDTree
from verifier.nearness import between_segments, from_boxes, off_box
from verifier.parts import Shape, Thing, rod, turn_of
from verifier.tubes import Centreline

SAMPLES = 240  # of a whole travel; then twice between the neighbours of the best
FINE = 40
# Radius of the capsule that stands for a bare chord: python-fcl errs by millimetres on thin cylinders.
THIN = 1e-3
SOLVER = 1e-3  # python-fcl's own error: up to 4.6e-4 against exact distances, see test_distances.py


@dataclass(frozen=True)
class Least:
    """A least distance and where it was found; the true one is lower by ``sampling`` at most."""

    distance: float
    along: float
    travel: float
    sampling: float = 0.0


Pieces = tuple[np.ndarray, np.ndarray, np.ndarray]  # chords: begins, ends, how far along their middles lie
STILL = (np.eye(3), np.zeros(3))
NOTHING = Least(np.inf, 0.0, 0.0)


def clearance(line: Centreline, outside: float, thing: Thing, up_to: float = np.inf) -> Least:
    """The least distance from a tube's wall to a thing, anywhere in its travel; ``inf`` beyond ``up_to``."""
    apart = _over_travel(line, outside / 2, thing, up_to)
    if apart.distance > 0:
        return apart
    inner = _over_travel(line, THIN, thing, up_to + outside / 2)  # its wall is near, not its middle
    distance = max(inner.distance + THIN, 0.0) - outside / 2
    return Least(distance, inner.along, inner.travel, inner.sampling)


def between(one: Centreline, its: float, other: Centreline, others: float, up_to: float = np.inf) -> Least:
    """The least distance between the walls of two tubes of the outside diameters given."""
    walls = (its + others) / 2
    pairs = _near_chords(one, other, up_to + walls)
    apart = _nearest(one, its / 2, other, others / 2, pairs, up_to)
    if apart.distance > 0:
        return apart
    inner = _nearest(one, THIN, other, THIN, pairs, np.inf)
    return Least(inner.distance + 2 * THIN - walls, inner.along, 0.0)


def _nearest(
    one: Centreline,
    its: float,
    other: Centreline,
    others: float,
    pairs: tuple[np.ndarray, np.ndarray],
    up_to: float,
) -> Least:
    """Pairs of chords of the radii given, the likeliest first, until the rest cannot be nearer."""
    i, j = pairs
    bounds = between_segments(one.points[i], one.points[i + 1], other.points[j], other.points[j + 1])
    bounds, best = bounds - its - others, NOTHING
    for row in np.argsort(bounds, kind="stable"):
        if bounds[row] > min(best.distance, up_to):
            break
        a, b = i[row], j[row]
        rod_of_other = _chord(other.points[b], other.points[b + 1], others)
        thing = fcl.CollisionObject(
            rod_of_other.geometry, fcl.Transform(rod_of_other.turn, rod_of_other.place)
        )
        distance = _distance(_chord(one.points[a], one.points[a + 1], its), thing)
        if distance < best.distance:
            best = Least(distance, float(one.along[a] + one.along[a + 1]) / 2, 0.0)
    return best if best.distance <= up_to else NOTHING


def _over_travel(line: Centreline, radius: float, thing: Thing, up_to: float) -> Least:
    pieces = line.points[:-1], line.points[1:], (line.along[:-1] + line.along[1:]) / 2
    if thing.motion is None:
        return _at(pieces, radius, thing.shapes, STILL, 0.0, up_to)
    if _gap(line, thing) - radius > up_to:
        return NOTHING
    path = max(_path(shape, thing) for shape in thing.shapes)
    reached = _off(pieces, thing.shapes, thing.motion.pose(0.5)) - radius - path / 2 <= up_to
    pieces = tuple(some[reached] for some in pieces)
    if not reached.any():
        return NOTHING
    best, low, high, count = NOTHING, 0.0, 1.0, SAMPLES
    for _ in range(3):
        best = _sampled(pieces, radius, thing, np.linspace(low, high, count + 1), path, best, up_to)
        if not np.isfinite(best.distance):
            return NOTHING
        step = (high - low) / count
        low, high, count = max(best.travel - step, 0.0), min(best.travel + step, 1.0), FINE
    return Least(best.distance, best.along, best.travel, sampling=_half_step(thing))


def _sampled(
    pieces: Pieces, radius: float, thing: Thing, travels: np.ndarray, path: float, best: Least, up_to: float
) -> Least:
    """The least so far and over travels in order, but for those at which it cannot be less yet."""
    free_to = -1.0
    for travel in travels:
        if travel < free_to:
            continue
        limit, pose = min(up_to, best.distance), thing.motion.pose(travel)
        least = float(_off(pieces, thing.shapes, pose).min()) - radius
        if least > limit:
            free_to = travel + (least - limit) / path
            continue
        found = _at(pieces, radius, thing.shapes, pose, travel, limit)
        best = min(best, found, key=lambda one: one.distance)
    return best


def _at(
    pieces: Pieces,
    radius: float,
    shapes: list[Shape],
    pose: tuple[np.ndarray, np.ndarray],
    travel: float,
    up_to: float,
) -> Least:
    """Every chord against every shape, the likeliest first, until the rest cannot be nearer."""
    begins, ends, along = pieces
    best = NOTHING
    for shape in shapes:
        turn, place = pose[0] @ shape.turn, pose[0] @ shape.place + pose[1]
        far = _far(begins, ends, shape, turn, place) - radius
        likely = np.flatnonzero(far <= min(best.distance, up_to))
        bounds = _bounds(begins[likely], ends[likely], shape, turn, place) - radius
        thing = fcl.CollisionObject(shape.geometry, fcl.Transform(turn, place))
        for k, bound in sorted(zip(likely, bounds, strict=True), key=lambda row: row[1]):
            if bound > min(best.distance, up_to):
                break
            distance = _distance(_chord(begins[k], ends[k], radius), thing)
            if distance < best.distance:
                best = Least(distance, float(along[k]), travel)
    return best if best.distance <= up_to else NOTHING


def _off(pieces: Pieces, shapes: list[Shape], pose: tuple[np.ndarray, np.ndarray]) -> np.ndarray:
    """At least how far each chord is from a thing in one pose."""
    begins, ends, _ = pieces
    places = [(shape, pose[0] @ shape.turn, pose[0] @ shape.place + pose[1]) for shape in shapes]
    return np.min([_bounds(begins, ends, *place) for place in places], axis=0)


def _chord(begin: np.ndarray, end: np.ndarray, radius: float) -> Shape:
    """A short piece of tube with flat ends; of a bare centreline, a thin capsule."""
    if radius > THIN:
        return rod(begin, end, radius)
    length = float(np.linalg.norm(end - begin))
    return Shape(fcl.Capsule(THIN, length), turn_of((end - begin) / length), (begin + end) / 2, length)


def _distance(chord: Shape, thing: fcl.CollisionObject) -> float:
    tube = fcl.CollisionObject(chord.geometry, fcl.Transform(chord.turn, chord.place))
    return max(float(fcl.distance(tube, thing, fcl.DistanceRequest(), fcl.DistanceResult())), 0.0)


def _far(
    begins: np.ndarray, ends: np.ndarray, shape: Shape, turn: np.ndarray, place: np.ndarray
) -> np.ndarray:
    """At least how far chords are from a shape, by the balls about them and, but for a box, about it."""
    middles = ((begins + ends) / 2 - place) @ turn
    far = (
        np.linalg.norm(middles, axis=1) - shape.reach
        if shape.halves is None
        else off_box(middles, shape.halves)
    )
    return far - np.linalg.norm(ends - begins, axis=1) / 2


def _bounds(
    begins: np.ndarray, ends: np.ndarray, shape: Shape, turn: np.ndarray, place: np.ndarray
) -> np.ndarray:
    """At least how far chords are from a shape: exactly, from a box; from the round bar about a cylinder."""
    begins, ends = (begins - place) @ turn, (ends - place) @ turn
    if shape.halves is not None:
        return from_boxes(begins, ends, shape.halves)
    half, radius = np.zeros(3), shape.reach
    if isinstance(shape.geometry, fcl.Cylinder | fcl.Capsule):
        half, radius = np.array([0.0, 0.0, shape.geometry.lz / 2]), shape.geometry.radius
    half = np.broadcast_to(half, begins.shape)
    return between_segments(begins, ends, -half, half) - radius


def _gap(line: Centreline, thing: Thing) -> float:
    """At least how far a line is from a moving thing: from balls about its shapes and their ways."""
    gaps = []
    for shape in thing.shapes:
        turn, shift = thing.motion.pose(0.5)
        place = turn @ shape.place + shift
        goes = _path(shape, thing) / 2
        distances = np.linalg.norm(line.points - place, axis=1)
        gaps.append(float(distances.min()) - shape.reach - goes - np.diff(line.along).max())
    return min(gaps)


def _path(shape: Shape, thing: Thing) -> float:
    """How far any point of a shape goes in the whole travel, at most."""
    motion = thing.motion
    if motion.point is None:
        return abs(motion.full)
    arm = shape.place - motion.point
    return (float(np.linalg.norm(arm - (arm @ motion.axis) * motion.axis)) + shape.reach) * abs(motion.full)


def _half_step(thing: Thing) -> float:
    """How much nearer it can be between two samples of the whole travel."""
    return max(_path(shape, thing) for shape in thing.shapes) / SAMPLES / 2


def _near_chords(one: Centreline, other: Centreline, up_to: float) -> tuple[np.ndarray, np.ndarray]:
    """Pairs of chords whose middles, less both half lengths, are within reach of each other."""
    halves = [np.linalg.norm(np.diff(line.points, axis=0), axis=1) / 2 for line in (one, other)]
    middles = [(line.points[:-1] + line.points[1:]) / 2 for line in (one, other)]
    if not np.isfinite(up_to):
        grid = np.indices((len(halves[0]), len(halves[1])))
        return grid[0].ravel(), grid[1].ravel()
    widest = up_to + halves[0].max() + halves[1].max()
    near = cKDTree(middles[0]).query_ball_tree(cKDTree(middles[1]), widest)
    counts = [len(some) for some in near]
    return np.repeat(np.arange(len(near)), counts), np.array([k for some in near for k in some], dtype=int)
