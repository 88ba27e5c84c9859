"""How a part moves: not at all, on a hinge, or along a slide, between rest and full travel."""

from dataclasses import dataclass

from routeviz.geometry.arrays import Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Fixed:
    """It stands still."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hinge:
    """It turns about a fixed axis.

    Parameters
    ----------
    point : array, shape (3,)
        A point of the axis.
    axis : array, shape (3,)
        Unit direction; a positive angle is right-handed about it.
    full_deg : float
        Angle at full travel, the doubt included; rest is 0.
    """

    point: Floats
    axis: Floats
    full_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Sliding:
    """It goes straight.

    Parameters
    ----------
    direction : array, shape (3,)
        Unit direction.
    full_mm : float
        Way at full travel, the doubt included; rest is 0.
    """

    direction: Floats
    full_mm: float


Movement = Fixed | Hinge | Sliding
