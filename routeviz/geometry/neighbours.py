"""How near round tubes come to each other: for each pair of curves, proven bounds and the place.

How near two single pieces come is in nearness.py; how near a tube comes to a solid in sweeps.py.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from routeviz.geometry.arrays import Floats, Ints, check_shape, frozen, frozen_ints
from routeviz.geometry.compiled import compiled
from routeviz.geometry.curves import Curve
from routeviz.geometry.nearness import (
    LENGTH,
    SAGITTA,
    chords_apart,
    distance_to,
    into_nearest,
    least_along,
    point_at,
    tabled,
)
from routeviz.geometry.pieces import Pieces, joined, piece_boxes, points_in
from routeviz.geometry.trees import Tree, build_tree, overlapping

ROUNDING = (
    1e-8  # share of the largest coordinate: what nearly parallel pieces lose; see PARALLEL in nearness.py
)
LOW, HIGH, INTO_FIRST, INTO_SECOND = range(4)  # columns of what is found for two curves


@dataclass(frozen=True, slots=True, kw_only=True)
class Neighbours:
    """The k pairs of curves that come near each other, by ascending ``first``, then ``second``.

    Parameters
    ----------
    first, second : array of int, shape (k,)
        Indices of the two curves, first < second.
    lows, highs : array, shape (k,)
        Proven bounds on the least distance between the two walls; below 0 where the tubes overlap.
    along_first, along_second : array, shape (k,)
        Arc lengths at which the walls are ``highs`` apart.
    points_first, points_second : array, shape (k, 3)
        The points of the two centrelines there.
    """

    first: Ints
    second: Ints
    lows: Floats
    highs: Floats
    along_first: Floats
    along_second: Floats
    points_first: Floats
    points_second: Floats


def least_between(
    curves: Sequence[Curve] | Pieces,
    radii: ArrayLike,
    reach: float,
    *,
    width: float,
    exempt: Sequence[tuple[int, int]] = (),
) -> Neighbours:
    """Return the least distance between the walls of all tubes that may come within reach of each other.

    A tube is everything within its radius of its centreline, so its ends are round. Pairs that are certainly
    farther apart than ``reach`` are left out.

    Parameters
    ----------
    curves : sequence of Curve, or Pieces
        c centrelines.
    radii : array, shape (c,)
        Outside radius of each tube, >= 0.
    reach : float
        Largest distance between walls that is of interest; finite, >= 0.
    width : float
        How far low and high may lie apart, > 0.
    exempt : sequence of pairs of int
        Curves that are not compared with each other, in either order.

    Returns
    -------
    neighbours : Neighbours
        In order of the curves.

    Raises
    ------
    ValueError
        A radius for each curve is missing, negative or not finite; or reach or width cannot be used.
    """
    given = np.asarray(radii, np.float64)
    pieces = joined(curves)
    count = len(pieces.firsts) - 1
    check_shape("radii", given, (count,))
    if (given < 0).any():
        raise ValueError(f"radii: 0 or more wanted, {given.min():g} given")
    if not (width > 0 and 0 <= reach < math.inf):
        raise ValueError(f"a finite reach and a width above 0 wanted, {reach:g} and {width:g} given")
    pairs, keys = _near_pieces(pieces, given, float(reach))
    if len(exempt):
        kept = ~np.isin(keys, [min(pair) * count + max(pair) for pair in exempt])
        pairs, keys = pairs[kept], keys[kept]
    bounds = np.flatnonzero(np.diff(keys, prepend=-1, append=-1))
    walls = given[pieces.owners[pairs[bounds[:-1]]]].sum(axis=1)
    best, found = np.empty((len(walls), 2), np.int64), np.empty((len(walls), 4))
    _search(
        tabled(pieces),
        pairs,
        bounds,
        np.column_stack([walls + reach, np.full(len(walls), width)]),
        best,
        found,
    )
    found[:, [LOW, HIGH]] -= walls[:, None]
    near = found[:, LOW] <= reach
    return _neighbours(pieces, best[near], found[near])


def _near_pieces(pieces: Pieces, radii: Floats, reach: float) -> tuple[Ints, Ints]:
    """Return the pairs of pieces that may be within reach, and which two curves: i c + j, ascending."""
    lows, highs = piece_boxes(pieces)
    # Boxes grown by the tubes' radii are no farther apart than the walls in them.
    thick = radii[pieces.owners][:, None]
    tree = build_tree(lows - thick, highs + thick)
    found = np.empty(len(tree.items), np.int64)
    pairs = np.empty((32 * len(tree.items), 2), np.int64)
    count = _pair_up(tree, pieces.owners, reach, found, pairs)
    if count > len(pairs):
        pairs = np.empty((count, 2), np.int64)
        _pair_up(tree, pieces.owners, reach, found, pairs)
    pairs = pairs[:count]
    keys = pieces.owners[pairs[:, 0]] * len(radii) + pieces.owners[pairs[:, 1]]
    order = np.argsort(keys, kind="stable")
    return pairs[order], keys[order]


def _neighbours(pieces: Pieces, best: Ints, found: Floats) -> Neighbours:
    owners = pieces.owners[best]
    along = pieces.begins[best] + found[:, [INTO_FIRST, INTO_SECOND]]
    rounding = ROUNDING * float(np.abs(pieces.starts).max(initial=0.0))
    return Neighbours(
        first=frozen_ints(owners[:, 0]),
        second=frozen_ints(owners[:, 1]),
        lows=frozen(found[:, LOW] - rounding),
        highs=frozen(found[:, HIGH]),
        along_first=frozen(along[:, 0]),
        along_second=frozen(along[:, 1]),
        points_first=frozen(points_in(pieces, best[:, 0], found[:, INTO_FIRST])),
        points_second=frozen(points_in(pieces, best[:, 1], found[:, INTO_SECOND])),
    )


@compiled
def _pair_up(tree: Tree, owners: Ints, reach: float, found: Ints, pairs: Ints) -> int:
    """Write the pairs of items within reach, lower owner first, as far as they fit; return their number."""
    count = 0
    for place in range(tree.items.shape[0]):
        item = tree.items[place]
        for k in range(overlapping(tree, tree.boxes[place, :3], tree.boxes[place, 3:], reach, found)):
            if owners[item] < owners[found[k]]:
                if count < pairs.shape[0]:
                    pairs[count, 0], pairs[count, 1] = item, found[k]
                count += 1
    return count


@compiled
def _search(table: Floats, pairs: Ints, bounds: Ints, limits: Floats, best: Ints, found: Floats) -> None:
    """Write for each run of piece pairs what is found: bounds, the two pieces, how far into them.

    Chords less their sagittas bound every pair first and give a place to start from. Then only those arcs are
    searched that could still better it by more than the width.
    """
    for run in range(best.shape[0]):
        limit, width = limits[run, 0], limits[run, 1]
        high = math.inf
        for k in range(bounds[run], bounds[run + 1]):
            p, q = pairs[k, 0], pairs[k, 1]
            distance, on_p, _ = chords_apart(table, p, q)
            if distance - table[p, SAGITTA] - table[q, SAGITTA] < high:
                point = point_at(table, p, on_p * table[p, LENGTH])
                distance = distance_to(table, q, point)
                if distance < high:
                    high, best[run, 0], best[run, 1] = distance, p, q
                    found[run, INTO_FIRST] = on_p * table[p, LENGTH]
                    found[run, INTO_SECOND] = into_nearest(table, q, point)
        low = high
        for k in range(bounds[run], bounds[run + 1]):
            p, q = pairs[k, 0], pairs[k, 1]
            bulge = table[p, SAGITTA] + table[q, SAGITTA]
            bound = chords_apart(table, p, q)[0] - bulge
            if bulge > 0 and bound < min(high - width, limit):
                turned = table[q, LENGTH] < table[p, LENGTH]
                walked, other = (q, p) if turned else (p, q)
                bound, high, into = least_along(table, walked, other, high, width, limit)
                if into >= 0:
                    best[run, 0], best[run, 1] = p, q
                    elsewhere = into_nearest(table, other, point_at(table, walked, into))
                    found[run, INTO_FIRST] = elsewhere if turned else into
                    found[run, INTO_SECOND] = into if turned else elsewhere
            low = min(low, bound)
        found[run, LOW], found[run, HIGH] = max(low, 0.0), high
