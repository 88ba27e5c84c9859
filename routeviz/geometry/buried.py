"""How much of a centreline lies inside solids.

How near the tube's wall comes to them is in sweeps.py.
"""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from routeviz.geometry.arrays import Floats, Ints, check_shape, frozen
from routeviz.geometry.compiled import compiled, inner
from routeviz.geometry.curves import Curve
from routeviz.geometry.distances import (
    BEGIN,
    END,
    ROUND,
    SKIN,
    THICK,
    Point,
    Swept,
    flattened,
    taken_back,
    turn_back,
)
from routeviz.geometry.pieces import Pieces, joined, point_in
from routeviz.geometry.shapes import Bodies

SAGITTA = 0.02  # how far the chords that stand for an arc may leave it: less than half of what is promised


def buried_lengths(
    curves: Sequence[Curve] | Pieces, bodies: Bodies, pairs: ArrayLike, travels: ArrayLike | None = None
) -> Floats:
    """Return the length of centreline inside a body, for given pairs.

    Exact for straight pieces; arcs are taken as chords that leave them by at most 0.02, each for its share of
    the arc. What runs in the surface of a piece counts as inside: it may run between two pieces of a body;
    a surface without thickness has no inside.

    Parameters
    ----------
    curves : sequence of Curve, or Pieces
        The centrelines.
    bodies : Bodies
        The solids; where pieces of a body overlap, a length counts once.
    pairs : array of int, shape (k, 2)
        Curve and body of each pair.
    travels : array, shape (k,), optional
        Where in its travel the body is, 0 to 1; at rest unless said.

    Returns
    -------
    lengths : array, shape (k,)
        0 where the centreline stays outside.

    Raises
    ------
    ValueError
        A shape differs, or a pair names what is not there.
    """
    asked = np.asarray(pairs, dtype=np.int64).reshape(-1, 2) if np.size(pairs) == 0 else np.asarray(pairs)
    count = check_shape("pairs", asked, (None, 2))
    chain = joined(curves)
    if ((asked < 0) | (asked >= np.array([len(chain.firsts) - 1, len(bodies.kinds)]))).any():
        raise ValueError("pairs: names a curve or a body that is not there")
    moments = frozen(np.zeros(count) if travels is None else travels)
    check_shape("travels", moments, (count,))
    lengths = np.zeros(count)
    firsts = np.searchsorted(bodies.pieces.bodies, np.arange(len(bodies.kinds) + 1)).astype(np.int64)
    fill_buried(chain, flattened(bodies), firsts, (asked.astype(np.int64), moments), lengths)
    return lengths


@compiled
def fill_buried(
    chain: Pieces, swept: Swept, firsts: Ints, asked: tuple[Ints, Floats], lengths: Floats
) -> None:
    """Write the buried length of every pair; ``firsts`` says where each body's pieces begin."""
    pairs, travels = asked
    spans = np.empty((swept.pieces.shape[0], 2))
    for row in range(pairs.shape[0]):
        curve, body = pairs[row, 0], pairs[row, 1]
        turn = turn_back(swept.bodies, body, travels[row])
        for link in range(chain.firsts[curve], chain.firsts[curve + 1]):
            chords = chord_count(chain.curvatures[link], chain.lengths[link])
            step = chain.lengths[link] / chords
            for k in range(chords):
                start = point_in(chain, link, k * step)
                end = point_in(chain, link, (k + 1) * step)
                a = taken_back(swept.bodies, body, turn, start)
                b = taken_back(swept.bodies, body, turn, end)
                found = 0
                for piece in range(firsts[body], firsts[body + 1]):
                    enters, leaves = share_inside(swept, piece, a, b)
                    if leaves > enters:
                        spans[found, 0], spans[found, 1] = enters, leaves
                        found += 1
                lengths[row] += step * covered(spans, found)


@inner
def chord_count(bend: float, length: float) -> int:
    """Return how many chords keep within the sagitta of an arc, 1 for a straight piece."""
    if bend <= 0.0:
        return 1
    widest = 2.0 * math.acos(max(0.0, 1.0 - bend * SAGITTA))
    return max(1, math.ceil(bend * length / widest))


@inner
def share_inside(swept: Swept, piece: int, a: Point, b: Point) -> tuple[float, float]:
    """Return from which share of the way from a to b to which a piece holds it; (1, 0) where it does not.

    Returns
    -------
    enters, leaves : float
        0 to 1 where the way meets the piece.
    """
    p = swept.pieces
    if p[piece, THICK] <= SKIN:
        return 1.0, 0.0
    u, v, w = local(p, piece, a[0] - p[piece, 9], a[1] - p[piece, 10], a[2] - p[piece, 11])
    du, dv, dw = local(p, piece, b[0] - a[0], b[1] - a[1], b[2] - a[2])
    span = cut((0.0, 1.0), p[piece, THICK] + SKIN - w, -dw)
    span = cut(span, p[piece, THICK] + SKIN + w, dw)
    if p[piece, ROUND] > 0.0:
        return in_disc(span, (u, v), (du, dv), p[piece, ROUND] + SKIN)
    corners, end = swept.corners, int(p[piece, END])
    i = end - 1
    for j in range(int(p[piece, BEGIN]), end):
        ex, ey = corners[j, 0] - corners[i, 0], corners[j, 1] - corners[i, 1]
        edge = math.sqrt(ex * ex + ey * ey)
        depth = (ex * (v - corners[i, 1]) - ey * (u - corners[i, 0])) / edge
        span = cut(span, depth + SKIN, (ex * dv - ey * du) / edge)
        i = j
    return span


@inner
def local(p: Floats, piece: int, x: float, y: float, z: float) -> Point:
    """Return a vector along the axes of a piece."""
    return (
        p[piece, 0] * x + p[piece, 3] * y + p[piece, 6] * z,
        p[piece, 1] * x + p[piece, 4] * y + p[piece, 7] * z,
        p[piece, 2] * x + p[piece, 5] * y + p[piece, 8] * z,
    )


@inner
def cut(span: tuple[float, float], depth: float, rate: float) -> tuple[float, float]:
    """Return the part of a span of t in which depth + rate t is above zero; (1, 0) where none is."""
    if rate > 0.0:
        return max(span[0], -depth / rate), span[1]
    if rate < 0.0:
        return span[0], min(span[1], -depth / rate)
    return span if depth > 0.0 else (1.0, 0.0)


@inner
def in_disc(
    span: tuple[float, float], at: tuple[float, float], rate: tuple[float, float], radius: float
) -> tuple[float, float]:
    """Return the part of a span of t in which at + rate t is within the radius of zero.

    Returns
    -------
    enters, leaves : float
        (1, 0) where none is.
    """
    square = rate[0] * rate[0] + rate[1] * rate[1]
    inside = radius * radius - at[0] * at[0] - at[1] * at[1]
    if square == 0.0:
        return span if inside > 0.0 else (1.0, 0.0)
    half = at[0] * rate[0] + at[1] * rate[1]
    under = half * half + square * inside
    if under <= 0.0:
        return 1.0, 0.0
    root = math.sqrt(under)
    return max(span[0], (-half - root) / square), min(span[1], (-half + root) / square)


@inner
def covered(spans: Floats, count: int) -> float:
    """Return how much of a line some spans cover together; they are sorted in place."""
    for i in range(1, count):
        begins, ends = spans[i, 0], spans[i, 1]
        j = i
        while j > 0 and spans[j - 1, 0] > begins:
            spans[j, 0], spans[j, 1] = spans[j - 1, 0], spans[j - 1, 1]
            j -= 1
        spans[j, 0], spans[j, 1] = begins, ends
    total, reached = 0.0, -math.inf
    for i in range(count):
        total += max(0.0, spans[i, 1] - max(reached, spans[i, 0]))
        reached = max(reached, spans[i, 1])
    return total
