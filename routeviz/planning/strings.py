"""Tubes as strings of points: what moves while room is made between them.

How they are made of stretches is in relaxing.py; what moves them, in spreading.py and settling.py.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

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


def along_string(strings: Strings, number: int) -> Floats:
    """Return how far along a string each of its points is.

    Parameters
    ----------
    strings : Strings
        All.
    number : int
        Which.

    Returns
    -------
    along : array, shape (k,)
        From 0 on.
    """
    points = strings.points[strings.firsts[number] : strings.firsts[number + 1]]
    return np.append(0.0, np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1)))


def without(strings: Strings, numbers: Sequence[int]) -> tuple[Strings, NDArray[np.bool_]]:
    """Return the other strings, and which of all points are theirs.

    Parameters
    ----------
    strings : Strings
        All.
    numbers : sequence of int
        Those to be left out.

    Returns
    -------
    strings : Strings
        In the same order, with copies of their points.
    kept : array of bool, shape (n,)
        Their points.
    """
    stay = ~np.isin(np.arange(len(strings.radii)), numbers)
    kept = stay[strings.owners]
    others = Strings(
        points=strings.points[kept],
        firsts=np.append(0, np.cumsum(np.diff(strings.firsts)[stay])),
        free=strings.free[kept],
        owners=(np.cumsum(stay) - 1)[strings.owners[kept]],
        groups=strings.groups[stay],
        radii=strings.radii[stay],
        bends=strings.bends[stay],
        exempt=strings.exempt[kept],
    )
    return others, kept


def carried(values: Floats, before: Strings, after: Strings) -> Floats:
    """Return what was said of the points of strings for those of the same strings drawn anew.

    Parameters
    ----------
    values : array, shape (n,)
        Of the points before.
    before, after : Strings
        As many, each with points of its own.

    Returns
    -------
    values : array, shape (m,)
        Of the points after, by the share of its string at which each is.
    """
    found = []
    for number in range(len(before.radii)):
        old, new = along_string(before, number), along_string(after, number)
        said = values[before.firsts[number] : before.firsts[number + 1]]
        found.append(np.interp(new / new[-1], old / old[-1], said))
    return np.concatenate(found)
