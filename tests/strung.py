"""Words to string tubes in tests: strings of points, and what stands about them.

A space to be kept clear asks for no clearance of its own: what a tube keeps is what the test asks for.
"""

import numpy as np
from builders import with_keep_clear
from placed import a_cabinet

from routeviz.planning.adjacency import Watched
from routeviz.planning.obstacles import obstacles_of
from routeviz.planning.spreading import QUARTERS, Forces, Needs, Sights
from routeviz.planning.strings import Strings

RADIUS, BEND = 3.0, 20.0
ROOM = (np.full(3, -300.0), np.full(3, 300.0))
REACH = 20.0  # about things, within which they are seen
FAR = with_keep_clear("far", (280, 280, 280), (10, 10, 10), "nothing is near it")


def strung(*lines, radii=RADIUS, bends=BEND, free=None, groups=None):
    """Strings along lines, each (k, 3); all points may move unless ``free`` says otherwise."""
    count, sizes = len(lines), [len(line) for line in lines]
    points = np.concatenate([np.asarray(line, dtype=np.float64) for line in lines])
    return Strings(
        points=points,
        firsts=np.append(0, np.cumsum(sizes)).astype(np.int64),
        free=np.ones(len(points)) if free is None else np.concatenate([*free]).astype(np.float64),
        owners=np.repeat(np.arange(count), sizes).astype(np.int64),
        groups=np.arange(count) if groups is None else np.array(groups, dtype=np.int64),
        radii=np.broadcast_to(np.asarray(radii, dtype=np.float64), (count,)).copy(),
        bends=np.broadcast_to(np.asarray(bends, dtype=np.float64), (count,)).copy(),
        exempt=np.full(len(points), -1, dtype=np.int64),
    )


def straight(begin, end, count):
    """A straight line of so many points."""
    return np.linspace(np.asarray(begin, dtype=np.float64), np.asarray(end, dtype=np.float64), count)


def ends_held(count, held=1):
    """1 for every point but so many at both ends."""
    free = np.ones(count)
    free[:held] = free[count - held :] = 0.0
    return free


def things(*pieces, reach=REACH):
    """What stands there: pieces from builders.py; something far away where there are none."""
    return obstacles_of([a_cabinet(*(pieces or (FAR,)))], ROOM, reach)


def no_forces(count):
    """Nothing asked yet of so many points."""
    return Forces(np.zeros(count), np.zeros(count), np.zeros(count), np.zeros((count, 3)))


def nothing_seen(count):
    """Every place has to be looked at."""
    return Sights(places=np.zeros((QUARTERS * count, 3)), clear=np.full(QUARTERS * count, -1.0))


def inscribed_radii(points):
    """At each inner point, the radius of the arc that touches both legs, from half the shorter one on."""
    legs = np.diff(points, axis=0)
    sizes = np.linalg.norm(legs, axis=1)
    ways = legs / sizes[:, None]
    cosines = np.clip((ways[1:] * ways[:-1]).sum(axis=1), -1.0, 1.0)
    halves = np.tan(np.arccos(cosines) / 2)
    with np.errstate(divide="ignore"):
        return np.minimum(sizes[1:], sizes[:-1]) / 2 / halves


def no_needs(count):
    """So many strings that have lacked nothing so far, for no round."""
    return Needs(lacks=np.zeros(count), idle=np.zeros(count, dtype=np.int64))


def watching(strings, room=5000):
    """Nothing known yet of pairs of edges."""
    count = len(strings.points)
    return Watched(
        pairs=np.zeros((room, 2), dtype=np.int64),
        spare=np.zeros(room),
        start=strings.points.copy(),
        strayed=np.full(count, np.inf),
    )
