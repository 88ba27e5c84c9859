"""What the first run on a machine compiles beside the main work: the larger half of the measuring code.

Compiling takes some seconds once, and machines have more than one core. The main process reads the scene
and measures tubes against each other first; a child process meanwhile compiles what measures them against
solids, and what it has made is found in the cache.
"""

import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager

import numpy as np

from routeviz.geometry.blocks import box
from routeviz.geometry.compiled import is_first_run
from routeviz.geometry.curves import rounded_polyline
from routeviz.geometry.shapes import assembled
from routeviz.geometry.sweeps import least_distances


@contextmanager
def first_run_helped() -> Iterator[bool]:
    """Run a child process beside the block where nothing is compiled yet; give whether this is so.

    The child is waited for, as what it leaves is for the next run too; where the block fails it is ended.
    """
    child = _started() if is_first_run() else None
    try:
        yield child is not None
    except BaseException:
        if child is not None:
            child.kill()
        raise
    finally:
        if child is not None:
            child.wait()


def _started() -> subprocess.Popen[bytes]:
    nothing = subprocess.DEVNULL
    command = [sys.executable, "-P", "-m", "routeviz.geometry.warming"]
    return subprocess.Popen(command, stdin=nothing, stdout=nothing, stderr=nothing)


def warm() -> float:
    """Measure a tube that bends round a box, so that what this takes is compiled; return the distance."""
    bend = np.array([[-20.0, -6.0, 5.0], [30.0, -6.0, 5.0], [30.0, 40.0, 5.0]])
    solids = assembled([box(np.eye(4), (10.0, 10.0, 10.0))], [None])
    near = least_distances([rounded_polyline(bend, np.array([20.0]))], [1.0], solids, 30.0)
    return float(near.lows[0])


if __name__ == "__main__":
    warm()
