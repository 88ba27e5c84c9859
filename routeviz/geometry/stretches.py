"""Stretches of straight lines: which are one, what they leave, and what is left of them without others."""

from dataclasses import dataclass

import numpy as np

from routeviz.geometry.arrays import Floats, Ints

LEAST = 1e-9  # share of a line below which a stretch is none


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretches:
    """Stretches of lines, apart from each other in each, in order.

    Parameters
    ----------
    numbers : array of int, shape (s,)
        Of the line.
    spans : array, shape (s, 2)
        From where to where, as shares of the line.
    """

    numbers: Ints
    spans: Floats


def merged(keys: Ints, spans: Floats) -> tuple[Ints, Floats]:
    """Return stretches of many lines as few as can be.

    Parameters
    ----------
    keys : array of int, shape (s,)
        Of the line, >= 0.
    spans : array, shape (s, 2)
        From where to where, begin <= end.

    Returns
    -------
    keys, spans : array
        By line, then along it; apart from each other.
    """
    if not len(keys):
        return keys, spans
    order = np.lexsort((spans[:, 0], keys))
    keys, spans = keys[order], spans[order]
    low, high = float(spans.min()), float(spans.max())
    shift = keys * (2.0 * (high - low) + 1.0)
    reach = np.maximum.accumulate(spans[:, 1] + shift)
    first = np.append(True, spans[1:, 0] + shift[1:] > reach[:-1])
    last = np.append(first[1:], True)
    return keys[first], np.column_stack([spans[first, 0], reach[last] - shift[last]])


def outside(numbers: Ints, spans: Floats, count: int) -> Stretches:
    """Return what stretches leave of each line.

    Parameters
    ----------
    numbers : array of int, shape (s,)
        Of the line, from 0 to below the count.
    spans : array, shape (s, 2)
        From where to where, as shares of the line.
    count : int
        How many lines there are.

    Returns
    -------
    stretches : Stretches
        Of all lines, those without a stretch whole.
    """
    every = np.arange(count)
    ends = np.concatenate([np.full((count, 2), (-1.0, 0.0)), np.full((count, 2), (1.0, 2.0)), spans])
    keys, taken = merged(np.concatenate([every, every, numbers]), ends)
    gap = (keys[1:] == keys[:-1]) & (taken[1:, 0] - taken[:-1, 1] > LEAST)
    free = np.column_stack([taken[:-1, 1], taken[1:, 0]])[gap]
    return Stretches(numbers=keys[:-1][gap], spans=free)


def without(numbers: Ints, spans: Floats, others: Ints, taken: Floats, count: int) -> Stretches:
    """Return stretches without other stretches.

    Parameters
    ----------
    numbers, others : array of int, shape (s,), (t,)
        Of the line, from 0 to below the count.
    spans, taken : array, shape (s, 2), (t, 2)
        From where to where, within 0 and 1.
    count : int
        How many lines there are.

    Returns
    -------
    stretches : Stretches
        What of the first lies in none of the others.
    """
    beyond = outside(numbers, spans, count)
    return outside(np.concatenate([beyond.numbers, others]), np.concatenate([beyond.spans, taken]), count)
