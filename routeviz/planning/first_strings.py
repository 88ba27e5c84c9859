"""What a child process compiles of laying on the first run on a machine: how tubes give way to each other.

It is started by geometry/warming.py, where stands what others compile.
"""

import gc

import numpy as np

from routeviz.planning.easing import Drawn, Task, eased

RADIUS, LEAST, NEAR = 3.0, 20.0, 0.05  # of two tubes, their least bend, and what is free between them
WIDE, TAKEN = 50.0, 45.0  # radius of their strings' bends, and of the bends that the tubes begin with


def part_two() -> Drawn:
    """Return two tubes in a bend that give way to each other, so that what this takes is compiled."""
    turns = np.radians(np.arange(0.0, 91.0, 5.0))
    bend = WIDE * np.column_stack([np.cos(turns), np.sin(turns), np.zeros(len(turns))])
    corners = np.array([[WIDE, 0.0, 0.0], [WIDE, WIDE, 0.0], [0.0, WIDE, 0.0]])
    count, aside = len(bend), np.array([0.0, 0.0, 2 * RADIUS + NEAR])
    task = Task(
        points=np.concatenate([bend, bend + aside]),
        owners=np.repeat(np.arange(2), count),
        firsts=np.array([0, count, 2 * count]),
        bends=np.full(2, LEAST),
        radii=np.full(2, RADIUS),
        firm=np.full(2 * count, 5.0),
        halves=np.full(2 * count, NEAR / 2),
        apart_mm=0.0,
    )
    begun = {n: (bend + n * aside, (corners + n * aside, np.array([TAKEN]))) for n in range(2)}
    return eased(task, np.full(2 * count, 3.0), (0, 1), begun)


if __name__ == "__main__":
    gc.disable()  # a short life, in which compilers leave much that would be looked through again and again
    part_two()
