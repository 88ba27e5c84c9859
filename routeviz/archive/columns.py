"""How registers write points, directions and lengths: which columns they take, and to how many decimals.

What a register is stands in registers.py.
"""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from routeviz.archive.registers import Field, Value
from routeviz.geometry.arrays import Floats

MM_DECIMALS = 4  # a tenth of the grain on which corners are kept: the thousandth of a millimetre is right
DIRECTION_DECIMALS = 9  # ten metres from where a piece has its zero that is a hundredth of a micrometre
DEG_DECIMALS = 7  # two metres from a hinge that is a quarter of a ten-thousandth of a millimetre
AXES = ("x", "y", "z")
NOWHERE: tuple[None, ...] = (None, None, None)


def mm(value: float | None) -> float | None:
    """Return a length as it is written; None where there is none, or it is infinite."""
    return _rounded(value, MM_DECIMALS)


def degrees(value: float | None) -> float | None:
    """Return an angle as it is written; None where there is none."""
    return _rounded(value, DEG_DECIMALS)


def share(value: float | None) -> float | None:
    """Return a share of a travel, 0 to 1, as it is written; None where there is none."""
    return _rounded(value, DIRECTION_DECIMALS)


def point(place: Floats | None) -> tuple[Value, ...]:
    """Return a point's three cells, empty ones where nobody knows it."""
    return NOWHERE if place is None else tuple(mm(one) for one in np.asarray(place).tolist())


def direction(way: Floats | None) -> tuple[Value, ...]:
    """Return a unit vector's three cells, empty ones where there is none."""
    if way is None:
        return NOWHERE
    return tuple(_rounded(one, DIRECTION_DECIMALS) for one in np.asarray(way).tolist())


def length_field(name: str, about: str, *, required: bool = True) -> Field:
    """Return a column of lengths; its name ends in ``_mm``."""
    return Field(name=f"{name}_mm", about=about, kind="number", unit="mm", required=required)


def size_field(name: str, about: str, *, required: bool = True) -> Field:
    """Return a column of lengths of which none is below zero; its name ends in ``_mm``."""
    return replace(length_field(name, about, required=required), least=0)


def point_fields(prefix: str, about: str, *, required: bool = True) -> tuple[Field, ...]:
    """Return the three columns of a point in the case's frame."""
    start = f"{prefix}_" if prefix else ""
    return tuple(length_field(start + axis, f"{about}: {axis}.", required=required) for axis in AXES)


def direction_fields(prefix: str, about: str, *, required: bool = True) -> tuple[Field, ...]:
    """Return the three columns of a unit vector in the case's frame."""
    return tuple(
        Field(
            name=f"{prefix}_{axis}",
            about=f"{about}: its part along {axis}.",
            kind="number",
            required=required,
        )
        for axis in AXES
    )


def joined_names(names: Sequence[str], between: str = "; ") -> str | None:
    """Return names as one text; None for none."""
    return between.join(names) or None


def _rounded(value: float | None, decimals: int) -> float | None:
    if value is None or not math.isfinite(value):
        return None
    return round(float(value), decimals) + 0.0  # minus nothing is written as nothing
