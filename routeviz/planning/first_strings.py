"""What a child process compiles of laying on the first run on a machine: how tubes unwind and give way.

It is started by geometry/warming.py, where stands what others compile.
"""

import gc

import numpy as np

from routeviz.geometry.arrays import Floats
from routeviz.planning.easing import Drawn, Task, eased
from routeviz.planning.strings import Strings
from routeviz.planning.unwinding import unwound

RADIUS, LEAST, NEAR = 3.0, 20.0, 0.05  # of two tubes, their least bend, and what is free between them
WIDE, TAKEN = 50.0, 45.0  # radius of their strings' bends, and of the bends that the tubes begin with
TURNS, LONG, POINTS = 2.0, 480.0, 31  # of a rope of two strands, whose first and last points are held


def unlay_two() -> list[Floats]:
    """Return two strands of a rope that exchange stretches, so that what this takes is compiled."""
    shares = np.linspace(0.0, 1.0, POINTS)
    turns = 2 * np.pi * TURNS * np.clip((shares - 0.2) / 0.6, 0.0, 1.0)
    strand = np.column_stack([RADIUS * np.cos(turns), RADIUS * np.sin(turns), LONG * shares])
    held = (shares < 0.05) | (shares > 0.95)
    rope = Strings(
        points=np.concatenate([strand, strand * [-1.0, -1.0, 1.0]]),
        firsts=np.array([0, POINTS, 2 * POINTS]),
        free=np.tile(np.where(held, 0.0, 1.0), 2),
        owners=np.repeat(np.arange(2), POINTS),
        groups=np.arange(2),
        radii=np.full(2, RADIUS),
        bends=np.full(2, LEAST),
        exempt=np.full(2 * POINTS, -1),
    )
    laid, _ = unwound(rope, (0, 1), {0: (), 1: ()})
    return [np.concatenate([stretch.points for stretch in stretches]) for stretches in laid]


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
    unlay_two()
    part_two()
