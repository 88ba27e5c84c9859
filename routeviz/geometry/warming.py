"""What the first run on a machine compiles beside the main work: what the main process needs last.

Compiling takes its time once, and machines have more than one core. Where tubes are measured, the main
process reads the scene and measures tubes against each other first; a child process meanwhile compiles what
measures them against solids. Where they are laid, ways are searched first; one child compiles what makes
tubes of few corners, asks how far they may fall and measures, another how they unwind and give way to each
other (planning/first_strings.py): each a third of all. It is found in the cache.
"""

import gc
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager

import numpy as np

from routeviz.geometry.blocks import box
from routeviz.geometry.compiled import is_first_run
from routeviz.geometry.curves import rounded_polyline
from routeviz.geometry.falling import Places, nearest_bodies, rooms_below
from routeviz.geometry.merging import with_fewer_corners
from routeviz.geometry.shapes import Bodies, assembled
from routeviz.geometry.sweeps import least_distances

BEND = ((-20.0, -6.0, 5.0), (30.0, -6.0, 5.0), (30.0, 40.0, 5.0))
MEASURING = ("halving",)  # modules whose first run a check leaves to children, one each
LAYING = ("merging", "pressing")  # and those that laying leaves to them
CHILD = "routeviz.geometry.warming"
CHILDREN = {"pressing": "routeviz.planning.first_strings"}  # what is run for a part, where it is not that
SELDOM = 100_000  # new things after which memory is looked through; compilers make many that all stay in use


@contextmanager
def first_run_helped(parts: Sequence[str] = MEASURING) -> Iterator[bool]:
    """Run child processes beside the block for what is not compiled yet; give whether there is any.

    They are waited for, as what they leave is for the next run too; where the block fails they are ended.
    Memory is looked through less often meanwhile, which takes a quarter of the time of compiling else.

    Parameters
    ----------
    parts : sequence of str
        ``MEASURING`` or ``LAYING``.

    Yields
    ------
    first : bool
        Whether something is being compiled.
    """
    children = [_started(part) for part in parts if is_first_run(part)]
    usual = gc.get_threshold()
    if children:
        gc.set_threshold(SELDOM)
    try:
        yield bool(children)
    except BaseException:
        for child in children:
            child.kill()
        raise
    finally:
        gc.set_threshold(*usual)
        for child in children:
            child.wait()


def _started(part: str) -> subprocess.Popen[bytes]:
    nothing = subprocess.DEVNULL
    command = [sys.executable, "-P", "-m", CHILDREN.get(part, CHILD), part]
    return subprocess.Popen(command, stdin=nothing, stdout=nothing, stderr=nothing)


def warm() -> float:
    """Measure a tube that bends round a box, so that what this takes is compiled; return the distance."""
    near = least_distances([rounded_polyline(BEND, np.array([20.0]))], [1.0], _solids(), 30.0)
    return float(near.lows[0])


def warm_merging() -> tuple[int, float, float]:
    """Make few corners of a fine bend, and ask what is near and below, so that this is compiled.

    Returns
    -------
    corners : int
        That are left of the bend, with its ends.
    fall, off : float
        How far a place 3 above the box's top may fall, and how far it is from the box.
    """
    turns = np.radians(np.arange(0.0, 91.0, 5.0))
    fine = np.column_stack([50.0 * np.cos(turns), 50.0 * np.sin(turns), np.zeros(len(turns))])
    corners, _ = with_fewer_corners(fine, np.full(len(fine), 0.5), least_radius=20.0, least_leg=2.0)
    high, along, excused = np.array([[5.0, 5.0, 13.0]]), np.array([[1.0, 0.0, 0.0]]), np.full((1, 2), -1)
    _, off = nearest_bodies(high, _solids(), np.ones(1, np.bool_), 30.0)
    for table in (high, along):
        table.flags.writeable = False  # as what is kept of tubes comes
    places = Places(high, along, np.ones(1), excused)
    down = np.array([0.0, 0.0, -1.0])
    falls = rooms_below(places, _solids(), np.zeros(1), down=down, spare=0.5, deepest=30.0)
    return len(corners), float(falls[0]), float(off[0])


def _solids() -> Bodies:
    """Return a box with sides of 10."""
    return assembled([box(np.eye(4), (10.0, 10.0, 10.0))], [None])


if __name__ == "__main__":
    gc.disable()  # a short life, in which compilers leave much that would be looked through again and again
    if sys.argv[1] == "merging":
        warm_merging()
    warm()
