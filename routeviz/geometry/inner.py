"""How the inside of hot loops is compiled: what only other compiled code calls, without a way in from Python.

That way in costs more to compile than the function. What Python calls is under ``compiled.compiled``.
"""

from collections.abc import Callable
from typing import TypeVar, cast

import routeviz.geometry.compiled as way_in

F = TypeVar("F", bound=Callable[..., object])


def inner(function: F) -> F:
    """Return the function compiled into its callers; a division by zero gives inf or nan, as in arrays."""
    # Through the neighbour, because numba must not be imported before its cache folder is known.
    njit = vars(way_in)["njit"]
    made = njit(cache=True, error_model="numpy", no_cpython_wrapper=True, no_cfunc_wrapper=True)
    return cast("F", made(function))
