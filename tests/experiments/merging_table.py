"""What merging makes of finely relaxed tubes: corners before and after, how far off, how tight, how long.

    PYTHONPATH=tests python tests/experiments/merging_table.py [TUBES] [SEEDS]

The tubes are lays of benchmarks/ribbons.py, whose corners are known, sampled 6 mm apart and disturbed by
smooth noise; times are the processor's. "Lay" is the number of corners from which the tubes were made: no
merging is expected to need fewer.
Deviation is measured by samples 0.02 mm apart, both ways; "proven" is what the merging says itself.
"""

import sys
import time

import numpy as np
from benchmarks.ribbons import NoSuch, a_lay
from scipy.spatial import KDTree

from routeviz.geometry.curves import length, points_along, rounded_polyline
from routeviz.geometry.merging import all_with_fewer_corners

STEP, OUTSIDE, LEAST = 6.0, 6.0, 20.0
HEADS = "noise  room  tubes  nodes  lay  after  most  deviation  proven  least radius  before  ms a tube"


def fine(corners: np.ndarray, radii: np.ndarray, noise: float, draw: np.random.Generator) -> np.ndarray:
    """A rounded polyline sampled with smooth noise, the first and last two steps undisturbed."""
    curve = rounded_polyline(corners, radii)
    count = max(6, round(length(curve) / STEP))
    points = points_along(curve, np.linspace(0, length(curve), count + 1))
    waves = draw.normal(size=(count + 1, 3))
    for _ in range(6):
        waves[1:-1] = 0.25 * (waves[:-2] + 2 * waves[1:-1] + waves[2:])
    waves *= noise / waves.std()
    waves[:3] = waves[-3:] = 0
    return points + waves


def half_leg_curve(points: np.ndarray):
    """The rounded curve of a fine polyline: at each node an arc that takes half the shorter leg of each."""
    steps = np.diff(points, axis=0)
    legs = np.linalg.norm(steps, axis=1)
    ways = steps / legs[:, None]
    halves = 0.5 * np.arccos(np.clip((ways[1:] * ways[:-1]).sum(axis=1), -1, 1))
    return rounded_polyline(points, 0.5 * np.minimum(legs[1:], legs[:-1]) / np.tan(np.maximum(halves, 1e-7)))


def apart(one, other) -> float:
    """The largest distance from either curve to the other, by samples."""
    first, second = (
        points_along(curve, np.linspace(0, length(curve), int(length(curve) / 0.02) + 1))
        for curve in (one, other)
    )
    return max(KDTree(first).query(second)[0].max(), KDTree(second).query(first)[0].max())


def row(seed: int, tubes: int, noise: float, room: float) -> str:
    """One line of the table."""
    draw = np.random.default_rng(seed)
    lay = next(drawn for drawn in iter(lambda: _drawn(draw, tubes), 0) if drawn is not None)
    lines = [
        fine(np.asarray(c), np.asarray(r), noise, draw) for c, r in zip(lay.corners, lay.radii, strict=True)
    ]
    firsts = np.cumsum([0, *(len(line) for line in lines)])
    points, rooms = np.concatenate(lines), np.full(firsts[-1], room)
    least = {"least_radii": np.full(tubes, LEAST), "least_legs": np.full(tubes, OUTSIDE)}
    begun = time.process_time()
    corners, radii, ends, proven = all_with_fewer_corners(points, rooms, firsts, **least)
    taken = time.process_time() - begun
    counts = np.diff(ends) - 2
    off, tight, tight_before = 0.0, np.inf, np.inf
    for k, line in enumerate(lines):
        new = rounded_polyline(corners[ends[k] : ends[k + 1]], radii[ends[k] + 1 : ends[k + 1] - 1])
        old = half_leg_curve(line)
        off = max(off, apart(old, new))
        tight, tight_before = (
            min(tight, 1 / new.curvatures.max()),
            min(tight_before, 1 / old.curvatures.max()),
        )
    before = np.mean([len(c) - 2 for c in lay.corners])
    return (
        f"{noise:5.2f} {room:5.2f} {tubes:6d} {firsts[-1] / tubes:6.1f} {before:4.1f} {counts.mean():6.1f} "
        f"{counts.max():5d} {off:10.3f} {proven.max():7.3f} {tight:13.2f} {tight_before:7.2f} "
        f"{1000 * taken / tubes:10.2f}"
    )


def _drawn(draw: np.random.Generator, tubes: int):
    try:
        return a_lay(draw, tubes)
    except NoSuch:
        return None


if __name__ == "__main__":
    tubes, seeds = (int(word) for word in (sys.argv[1:] + ["120", "1"][len(sys.argv) - 1 :]))
    row(0, 12, 0.05, 0.3)
    sys.stdout.write(HEADS + "\n")
    for seed in range(seeds):
        for noise, room in [
            (0.05, 0.1),
            (0.05, 0.3),
            (0.05, 1.0),
            (0.1, 0.3),
            (0.2, 0.5),
            (0.2, 0.1),
            (0.2, 0.02),
        ]:
            sys.stdout.write(row(seed, tubes, noise, room) + "\n")
