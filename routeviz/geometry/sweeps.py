"""How near tubes come to solids anywhere in the solids' travel, between proven bounds.

The bounds of a short stretch are in cells.py; how near tubes come to tubes is in neighbours.py, how much of a
centreline lies inside a solid in buried.py.

A tube is all discs of its radius square to its centreline: its ends are flat. The distance from its wall (or
flat end) to a body is a plain distance where they are apart. Where they overlap it is negative: the radius of
the thickest tube on the same centreline that would not, less the tube's; hence minus the radius where the
centreline itself is inside. On the surface is not inside, but in a surface without thickness it is.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from routeviz.geometry.arrays import Floats, Ints, check_shape, frozen, frozen_ints
from routeviz.geometry.cells import AT_TRAVEL, HIGH, LOW, Task
from routeviz.geometry.curves import Curve
from routeviz.geometry.distances import flattened
from routeviz.geometry.envelopes import swept_boxes
from routeviz.geometry.halving import fill_places, sweep
from routeviz.geometry.pieces import Pieces, chosen, joined, piece_boxes
from routeviz.geometry.shapes import Bodies
from routeviz.geometry.trees import build_tree

TOLERANCE = 0.01  # how wide an interval may stay: a fifth of what is promised, for the last steps cost little


@dataclass(frozen=True, slots=True, kw_only=True)
class Near:
    """Tubes and bodies that are near each other, k pairs, and how near.

    Parameters
    ----------
    curves, bodies : array of int, shape (k,)
        Which tube and which body.
    lows, highs : array, shape (k,)
        Between these is the least distance over the whole travel; negative where the wall overlaps.
    alongs : array, shape (k,)
        Arc length on the curve at which ``highs`` is attained.
    travels : array, shape (k,)
        Where in the body's travel, 0 at rest to 1.
    points : array, shape (k, 3)
        The point of the centreline there.
    touches : array, shape (k, 3)
        The nearest point of the body, as it has moved by then.
    """

    curves: Ints
    bodies: Ints
    lows: Floats
    highs: Floats
    alongs: Floats
    travels: Floats
    points: Floats
    touches: Floats


def least_distances(
    curves: Sequence[Curve] | Pieces,
    radii: ArrayLike,
    bodies: Bodies,
    reach: float,
    *,
    skip: ArrayLike | None = None,
) -> Near:
    """Return all pairs of tube and body whose distance may be within reach anywhere in the travel.

    Parameters
    ----------
    curves : sequence of Curve, or Pieces
        The centrelines.
    radii : array, shape (c,)
        Of the tubes, >= 0.
    bodies : Bodies
        What they must keep off.
    reach : float
        Pairs that are proven to be farther apart are left out.
    skip : array of int, shape (n, 2), optional
        Pairs (curve, body) that are not to be measured.

    Returns
    -------
    near : Near
        By curve, then by body; each interval at most 0.01 wide, but where ``halving.MOST_CELLS`` run out.

    Raises
    ------
    ValueError
        A shape differs, a radius or the reach is negative or not a number, or ``skip`` names what is not
        there.
    """
    chain = joined(curves)
    asked = np.ones((len(chain.firsts) - 1, len(bodies.kinds)), dtype=bool)
    if skip is not None:
        left_out = checked_pairs("skip", skip, asked.shape)
        asked[left_out[:, 0], left_out[:, 1]] = False
    return asked_distances(chain, radii, bodies, asked, reach)


def asked_distances(
    chain: Pieces, radii: ArrayLike, bodies: Bodies, asked: NDArray[np.bool_], reach: float
) -> Near:
    """Return those of some pairs of tube and body whose distance may be within reach anywhere in the travel.

    Parameters
    ----------
    chain : Pieces
        The centrelines.
    radii, bodies, reach
        As for ``least_distances``.
    asked : array of bool, shape (c, b)
        Which pairs are to be measured.

    Returns
    -------
    near : Near
        By curve, then by body; each interval at most 0.01 wide, but where ``halving.MOST_CELLS`` run out.
    """
    pairs = np.argwhere(asked)
    found, task = swept(chain, radii, bodies, pairs, reach)
    kept = found[:, LOW] <= reach
    return collected(task, pairs[kept], found[kept])


def distances_of_pairs(
    curves: Sequence[Curve] | Pieces,
    radii: ArrayLike,
    bodies: Bodies,
    pairs: ArrayLike,
    reach: float = math.inf,
) -> Near:
    """Return how near given tubes come to given bodies.

    Parameters
    ----------
    curves : sequence of Curve, or Pieces
        The centrelines.
    radii : array, shape (c,)
        Of the tubes, >= 0.
    bodies : Bodies
        What they must keep off.
    pairs : array of int, shape (k, 2)
        Curve and body of each pair; a pair may be asked for twice.
    reach : float
        What is farther apart need not be measured: its low is then the reach, its high ``inf``.

    Returns
    -------
    near : Near
        In the order of the pairs. A body without pieces is infinitely far.

    Raises
    ------
    ValueError
        A shape differs, a radius or the reach is negative or not a number, or a pair names what is not there.
    """
    chain = joined(curves)
    asked = checked_pairs("pairs", pairs, (len(chain.firsts) - 1, len(bodies.kinds)))
    once, place = np.unique(asked, axis=0, return_inverse=True)
    found, task = swept(chain, radii, bodies, once, reach)
    far = found[:, LOW] > reach
    found[far, LOW], found[far, HIGH] = reach, np.inf
    return collected(task, asked, found[place.reshape(-1)])


def checked_pairs(name: str, pairs: ArrayLike, shape: tuple[int, ...]) -> Ints:
    """Return pairs as integers that name a curve and a body.

    Raises
    ------
    ValueError
        The shape differs, or a number names nothing.
    """  # noqa: DOC201
    values = np.asarray(pairs, dtype=np.int64).reshape(-1, 2) if np.size(pairs) == 0 else np.asarray(pairs)
    check_shape(name, values, (None, 2))
    if ((values < 0) | (values >= np.array(shape))).any():
        raise ValueError(f"{name}: names a curve or a body that is not there")
    return values.astype(np.int64)


def swept(chain: Pieces, radii: ArrayLike, bodies: Bodies, pairs: Ints, reach: float) -> tuple[Floats, Task]:
    """Return what is found for each of some different pairs, by curve, and what it was found with."""
    widths = frozen(radii)
    check_shape("radii", widths, (len(chain.firsts) - 1,))
    if (widths < 0.0).any() or not reach >= 0.0:
        raise ValueError("radii, reach: must not be below zero")
    found = np.zeros((len(pairs), 8))
    found[:, [HIGH, LOW]] = np.inf
    boxes, spaces = piece_boxes(chain), swept_boxes(bodies)
    kept = _may_be_near(chain, boxes, bodies, spaces, pairs, widths + reach)
    links = chosen(chain, kept)
    task = Task(flattened(bodies), linked(links, widths), found, TOLERANCE, reach)
    rows = np.full((len(widths), len(bodies.kinds)), -1, dtype=np.int64)
    rows[pairs[:, 0], pairs[:, 1]] = np.arange(len(pairs))
    sweep(task, build_tree(*spaces), boxes[0][kept], boxes[1][kept], links.firsts, rows)
    found[:, LOW] = np.minimum(found[:, LOW], found[:, HIGH])
    return found, task


def _may_be_near(
    chain: Pieces,
    boxes: tuple[Floats, Floats],
    bodies: Bodies,
    spaces: tuple[Floats, Floats],
    pairs: Ints,
    reaches: Floats,
) -> NDArray[np.bool_]:
    """Return which pieces of curves are within reach of the box round all bodies asked for theirs."""
    lows, highs = np.full((len(bodies.kinds), 3), np.inf), np.full((len(bodies.kinds), 3), -np.inf)
    np.minimum.at(lows, bodies.pieces.bodies, spaces[0])
    np.maximum.at(highs, bodies.pieces.bodies, spaces[1])
    low, high = np.full((len(reaches), 3), np.inf), np.full((len(reaches), 3), -np.inf)
    asking, first = np.unique(pairs[:, 0], return_index=True)
    if len(asking):
        low[asking] = np.minimum.reduceat(lows[pairs[:, 1]], first)
        high[asking] = np.maximum.reduceat(highs[pairs[:, 1]], first)
    low, high = low - reaches[:, None], high + reaches[:, None]
    return np.asarray(
        ((boxes[0] <= high[chain.owners]) & (boxes[1] >= low[chain.owners])).all(axis=1), dtype=np.bool_
    )


def linked(chain: Pieces, radii: Floats) -> Floats:
    """Return the centrelines as ``cells.Task`` wants them: some unit normal for straight pieces too."""
    straight = np.nonzero(chain.curvatures == 0.0)[0]
    normals = chain.normals.copy()
    tangents = chain.tangents[straight]
    # The axis that lies most across the piece, less its share along the piece.
    axis = np.argmin(np.abs(tangents), axis=1)
    share = tangents[np.arange(len(straight)), axis]
    aside = -share[:, None] * tangents
    aside[np.arange(len(straight)), axis] += 1.0
    normals[straight] = aside / np.sqrt((aside * aside).sum(axis=1))[:, None]
    numbers = (chain.curvatures, chain.lengths, chain.begins, radii[chain.owners])
    return frozen(np.column_stack([chain.starts, chain.tangents, normals, *numbers]))


def collected(task: Task, pairs: Ints, found: Floats) -> Near:
    """Return what was found, with the places in which it was."""
    places = np.zeros((len(pairs), 7))
    fill_places(task, found, places)
    return Near(
        curves=frozen_ints(pairs[:, 0]),
        bodies=frozen_ints(pairs[:, 1]),
        lows=frozen(found[:, LOW]),
        highs=frozen(found[:, HIGH]),
        alongs=frozen(places[:, 0]),
        travels=frozen(found[:, AT_TRAVEL]),
        points=frozen(places[:, 1:4]),
        touches=frozen(places[:, 4:7]),
    )
