"""What every array must be at the door: its shape, finite numbers, read-only.

Kernels that work on the arrays are in the neighbours; this file only guards them.
"""

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def frozen(values: ArrayLike) -> Floats:
    """Return a contiguous read-only copy as float64."""
    array = np.array(values, dtype=np.float64, order="C")
    array.setflags(write=False)
    return array


def frozen_ints(values: ArrayLike) -> Ints:
    """Return a contiguous read-only copy as int64."""
    array = np.array(values, dtype=np.int64, order="C")
    array.setflags(write=False)
    return array


def check_shape(name: str, array: NDArray[Any], shape: Sequence[int | None]) -> int:
    """Return the free length of an array whose shape must be as given.

    Parameters
    ----------
    name : str
        The argument's name, for the message.
    array : array
        What was passed.
    shape : sequence of int or None
        The wanted shape; ``None`` is free.

    Returns
    -------
    length : int
        The first free length, or 0 where nothing is free.

    Raises
    ------
    ValueError
        The shape differs, or a number is not finite.
    """
    wanted = "(" + ", ".join("n" if s is None else str(s) for s in shape) + ")"
    fits = array.ndim == len(shape) and all(
        w is None or w == g for w, g in zip(shape, array.shape, strict=True)
    )
    if not fits:
        raise ValueError(f"{name}: shape {wanted} wanted, {array.shape} given")
    if not np.isfinite(array).all():
        raise ValueError(f"{name}: holds a number that is not finite")
    free = [g for w, g in zip(shape, array.shape, strict=True) if w is None]
    return int(free[0]) if free else 0
