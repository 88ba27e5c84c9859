"""From where a view looks, and where on a picture a point then stands.

Which views there are is decided in display.py; nothing here draws.
"""

from dataclasses import dataclass

import numpy as np

from routeviz.geometry.arrays import Floats, frozen
from routeviz.geometry.frames import unit

ANGLE_DEG = (
    24.0  # of a perspective view from its upper to its lower rim: that of a long lens, which bends little
)
SLOPE = float(np.tan(np.radians(ANGLE_DEG / 2.0)))
MARGIN = 1.06  # of what is held, left and right or above and below
ROUNDS = 12  # of framing: each comes several times nearer, and the first is within a tenth
NICE = (1, 2, 5)  # a scale bar is one of these, times a power of ten


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """A way to look at the case.

    Parameters
    ----------
    name : str
        As in the picture's file name.
    title : str
        As in the picture's heading.
    eye, target : array, shape (3,)
        From where to where.
    up : array, shape (3,)
        What points up on the picture, more or less; never along the line of sight.
    parallel : bool
        True for a view to scale, false for perspective.
    height_mm : float
        From the lower to the upper rim, at the target.
    """

    name: str
    title: str
    eye: Floats
    target: Floats
    up: Floats
    parallel: bool
    height_mm: float

    def __post_init__(self) -> None:
        """Take read-only copies."""
        for name in ("eye", "target", "up"):
            object.__setattr__(self, name, frozen(getattr(self, name)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """A side to look from: ``out`` points from the case to the eye; all else as in ``View``."""

    name: str
    title: str
    out: tuple[float, float, float] | Floats
    up: tuple[float, float, float]
    parallel: bool


def axes_of(view: View) -> Floats:
    """Return the directions to the picture's right, to its top, and out of it, as rows."""
    out = unit(view.eye - view.target)
    right = unit(np.cross(view.up, out))
    return np.stack([right, np.cross(out, right), out])


def projected(view: View, points: Floats, size: tuple[int, int]) -> tuple[Floats, Floats]:
    """Return where points stand on a picture.

    Parameters
    ----------
    view : View
        How it is looked.
    points : array, shape (n, 3)
        In the case.
    size : tuple of int
        Width and height of the picture in pixels.

    Returns
    -------
    places : array, shape (n, 2)
        Pixels from the left and from the top.
    depths : array, shape (n,)
        Distance before the eye, along the line of sight; below zero behind it.
    """
    seen = (np.asarray(points).reshape(-1, 3) - view.target) @ axes_of(view).T
    distance = float(np.linalg.norm(view.eye - view.target))
    depths = distance - seen[:, 2]
    scale = size[1] / view.height_mm
    shrink = np.ones(len(seen)) if view.parallel else distance / np.maximum(depths, 1e-9)
    flat = seen[:, :2] * (scale * shrink)[:, None]
    return np.column_stack([0.5 * size[0] + flat[:, 0], 0.5 * size[1] - flat[:, 1]]), depths


def framed(side: Side, points: Floats, aspect: float) -> View:
    """Return the view from a side that just holds all points.

    Parameters
    ----------
    side : Side
        From where.
    points : array, shape (n, 3)
        What must be on the picture, n > 0.
    aspect : float
        Width over height of the picture.

    Returns
    -------
    view : View
        With a margin of a twentieth.
    """
    low, high = points.min(axis=0), points.max(axis=0)
    middle = 0.5 * (low + high)
    distance = 2.0 * (float(np.linalg.norm(high - low)) + 1.0)
    for _ in range(ROUNDS):
        view = looking(side, middle, distance)
        places, _ = projected(view, points, (2, 2))
        # The picture's half height is 1 pixel here.
        flat = (places - 1.0) * (0.5, -0.5) * view.height_mm
        centre = 0.5 * (flat.min(axis=0) + flat.max(axis=0))
        reach = 0.5 * (flat.max(axis=0) - flat.min(axis=0))
        middle = middle + centre @ axes_of(view)[:2]
        height = MARGIN * 2.0 * max(float(reach[1]), float(reach[0]) / aspect, 0.5)
        distance *= height / view.height_mm
    return looking(side, middle, distance)


def looking(side: Side, target: Floats, distance_mm: float) -> View:
    """Return the view from a side at a point, from a distance that says how much is seen, to scale too."""
    return View(
        name=side.name,
        title=side.title,
        eye=target + distance_mm * unit(side.out),
        target=target,
        up=frozen(side.up),
        parallel=side.parallel,
        height_mm=2.0 * distance_mm * SLOPE,
    )


def scale_bar_mm(most_mm: float) -> float:
    """Return the length of a scale bar: the longest of 1, 2 or 5 times a power of ten that fits.

    Parameters
    ----------
    most_mm : float
        How long it may be, > 0.

    Returns
    -------
    length_mm : float
        A round number.
    """
    power = 10.0 ** np.floor(np.log10(most_mm))
    return float(max(n * power for n in NICE if n * power <= most_mm * (1 + 1e-9)))
