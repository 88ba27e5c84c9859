"""Least distances by python-fcl, in millimetres: plain search over chords and over samples of the travel.

A tube is a row of short cylinders with flat ends. Where it overlaps a thing, the distance told is that of its
centreline less its radius; a centreline inside gives minus the radius.
"""

from dataclasses import dataclass

import fcl
import numpy as np
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
    near = _near_chords(one, other, up_to + walls)
    apart = _at(one, its / 2, _rods(other, others / 2, near), STILL, 0.0, up_to)
    if apart.distance > 0:
        return apart
    inner = _at(one, THIN, _rods(other, THIN, near), STILL, 0.0, np.inf)
    return Least(inner.distance + 2 * THIN - (its + others) / 2, inner.along, 0.0)


def _over_travel(line: Centreline, radius: float, thing: Thing, up_to: float) -> Least:
    if thing.motion is None:
        return _at(line, radius, thing.shapes, STILL, 0.0, up_to)
    if _gap(line, thing) - radius > up_to:
        return NOTHING
    best, low, high, count = NOTHING, 0.0, 1.0, SAMPLES
    for _ in range(3):
        for travel in np.linspace(low, high, count + 1):
            limit = min(up_to, best.distance)
            found = _at(line, radius, thing.shapes, thing.motion.pose(travel), travel, limit)
            best = min(best, found, key=lambda least: least.distance)
        if not np.isfinite(best.distance):
            return NOTHING
        step = (high - low) / count
        low, high, count = max(best.travel - step, 0.0), min(best.travel + step, 1.0), FINE
    return Least(best.distance, best.along, best.travel, sampling=_half_step(thing))


def _at(
    line: Centreline,
    radius: float,
    shapes: list[Shape],
    pose: tuple[np.ndarray, np.ndarray],
    travel: float,
    up_to: float,
) -> Least:
    """Every chord against every shape, the likeliest first, until the rest cannot be nearer."""
    begins, ends = line.points[:-1], line.points[1:]
    middles, halves = (begins + ends) / 2, np.linalg.norm(ends - begins, axis=1) / 2
    best = NOTHING
    for shape in shapes:
        turn, place = pose[0] @ shape.turn, pose[0] @ shape.place + pose[1]
        bounds = _far(middles, shape, turn, place) - halves - radius
        thing = fcl.CollisionObject(shape.geometry, fcl.Transform(turn, place))
        for k in np.argsort(bounds, kind="stable"):
            if bounds[k] > min(best.distance, up_to):
                break
            distance = _distance(_chord(begins[k], ends[k], radius), thing)
            if distance < best.distance:
                best = Least(distance, float(line.along[k] + line.along[k + 1]) / 2, travel)
    return best if best.distance <= up_to else NOTHING


def _chord(begin: np.ndarray, end: np.ndarray, radius: float) -> Shape:
    """A short piece of tube with flat ends; of a bare centreline, a thin capsule."""
    if radius > THIN:
        return rod(begin, end, radius)
    length = float(np.linalg.norm(end - begin))
    return Shape(fcl.Capsule(THIN, length), turn_of((end - begin) / length), (begin + end) / 2, length)


def _distance(chord: Shape, thing: fcl.CollisionObject) -> float:
    tube = fcl.CollisionObject(chord.geometry, fcl.Transform(chord.turn, chord.place))
    return max(float(fcl.distance(tube, thing, fcl.DistanceRequest(), fcl.DistanceResult())), 0.0)


def _far(middles: np.ndarray, shape: Shape, turn: np.ndarray, place: np.ndarray) -> np.ndarray:
    """At least how far points are from a shape: exactly, from a box; from another, from the ball about it."""
    local = (middles - place) @ turn
    if shape.halves is None:
        return np.linalg.norm(local, axis=1) - shape.reach
    return np.linalg.norm(np.maximum(np.abs(local) - shape.halves, 0.0), axis=1)


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


def _rods(line: Centreline, radius: float, which: np.ndarray) -> list[Shape]:
    return [_chord(line.points[k], line.points[k + 1], radius) for k in which]


def _near_chords(one: Centreline, other: Centreline, up_to: float) -> np.ndarray:
    """Chords of the other line whose middles, less both half lengths, are within reach of the one."""
    halves = [np.linalg.norm(np.diff(line.points, axis=0), axis=1) / 2 for line in (one, other)]
    middles = [(line.points[:-1] + line.points[1:]) / 2 for line in (one, other)]
    apart = np.linalg.norm(middles[0][:, None] - middles[1][None, :], axis=2)
    apart -= halves[0][:, None] + halves[1][None, :]
    return np.flatnonzero(apart.min(axis=0) <= up_to)
