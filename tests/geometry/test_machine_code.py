"""What is compiled in a frugal way computes what Python does, and gives back what memory it takes."""

import numpy as np
from numba.core.runtime import _nrt_python, rtsys

from routeviz.geometry.compiled import compiled, inner


@inner
def squares(count):
    made = np.empty(count, np.int64)
    for i in range(count):
        made[i] = i * i
    return made


@inner
def summed(numbers):
    total = 0
    for i in range(numbers.shape[0]):
        total += numbers[i]
    return total


@inner
def handed_on(numbers):
    return numbers


@compiled
def sum_of_squares(count, times):
    total = 0
    for _ in range(times):
        total += summed(handed_on(squares(count)))
    return total


@compiled
def share(part, whole):
    return part / whole


def test_arrays_pass_through_inner_functions_whole():
    """0 + 1 + 4 + 9 + 16 = 30, three times."""
    assert sum_of_squares(5, 3) == 90


def test_all_memory_that_inner_functions_take_is_given_back():
    sum_of_squares(5, 1)
    _nrt_python.memsys_enable_stats()
    before = rtsys.get_allocation_stats()
    sum_of_squares(50, 1000)
    after = rtsys.get_allocation_stats()
    _nrt_python.memsys_disable_stats()
    assert after.alloc - before.alloc == 1000
    assert after.free - before.free == 1000


def test_a_division_by_zero_gives_what_arrays_give():
    assert share(1.0, 0.0) == np.inf
    assert np.isnan(share(0.0, 0.0))
