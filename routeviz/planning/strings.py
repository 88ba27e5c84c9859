"""Tubes as strings of points: what moves while room is made between them.

How they are made of stretches is in relaxing.py; what moves them, in spreading.py and settling.py.
"""

from typing import NamedTuple

from routeviz.geometry.arrays import Floats, Ints


class Strings(NamedTuple):
    """Tubes as strings of points, one after the other; the last may stand still and only be kept off.

    Parameters
    ----------
    points : array, shape (n, 3)
        Moved in place by the loops.
    firsts : array of int, shape (t + 1,)
        Points of string i are ``firsts[i]`` to ``firsts[i + 1] - 1``.
    free : array, shape (n,)
        1 for a point that may move, 0 for one that may not.
    owners : array of int, shape (n,)
        Which string.
    groups : array of int, shape (t,)
        Strings of one group do not mind each other: a tube and its own ends over its nipples.
    radii : array, shape (t,)
        Of each tube's outside.
    bends : array, shape (t,)
        Least bend radius to aim at.
    exempt : array of int, shape (n,)
        A thing that the point need not keep off; -1 for none.
    """

    points: Floats
    firsts: Ints
    free: Floats
    owners: Ints
    groups: Ints
    radii: Floats
    bends: Floats
    exempt: Ints
