"""How the page's data writes numbers: to a ten-thousandth, arrays as text, and nothing that is not finite."""

import base64
import math
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

DECIMALS = 4  # of a millimetre: a tenth of the grain on which plans are written
GRAINS = 1000  # in a millimetre, of lengths in arrays
FARTHEST = 2**23  # of these, either way, as far as 24 bits reach: eight metres
WIDEST_SHORT = 65_536  # what 16 bits count to


def rounded(value: float | None) -> float | None:
    """Return a number to four decimals, as short as it can be written; None for what is not finite."""
    return None if value is None or not math.isfinite(value) else short(value)


def short(value: float) -> float:
    """Return a finite number to four decimals; a whole one as such, which JSON writes without ``.0``."""
    near = round(float(value), DECIMALS)
    return int(near) if near.is_integer() else near


def triple(point: ArrayLike) -> list[float]:
    """Return a point or a direction as three numbers."""
    return [short(c) for c in np.asarray(point).tolist()]


def placed_at(point: ArrayLike | None) -> list[float] | None:
    """Return a point as three numbers; None where nobody knows it."""
    return None if point is None else triple(point)


def packed(lengths: ArrayLike) -> str:
    """Return lengths as text: base64 of little-endian micrometres in 24 bits, one after the other.

    Half a micrometre off at most, as float32 would be at eight metres, in three bytes for four. Where
    something lies farther off than 24 bits reach, all are float32.
    """  # noqa: DOC201
    numbers = np.asarray(lengths, np.float64)
    grains = np.rint(numbers * GRAINS).astype(np.int64)
    if np.abs(grains).max(initial=0) >= FARTHEST:
        return "f32:" + _base64(numbers.astype("<f4"))
    return "i24:" + _base64(grains.astype("<i4").reshape(-1, 1).view(np.uint8)[:, :3])


def packed_counts(counts: ArrayLike) -> str:
    """Return whole numbers from 0 on as text: base64 of little-endian 16 bits, or 32 where they need them."""
    numbers = np.asarray(counts, np.int64)
    is_short = int(numbers.max(initial=0)) < WIDEST_SHORT
    return "u16:" + _base64(numbers.astype("<u2")) if is_short else "u32:" + _base64(numbers.astype("<u4"))


def _base64(numbers: NDArray[Any]) -> str:
    return base64.b64encode(numbers.tobytes()).decode("ascii")
