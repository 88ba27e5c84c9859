"""How far is a place from what tubes must keep off while they are laid, and what is that?

All solids and spaces count, moving parts as the room that they sweep (hulls.py). It is the planner's own
approximation, never smaller than the truth by more than a hair; what is proved of a lay is proved in checks/.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from routeviz.cabinet.solids import Cabinet, Solid, asked_mm
from routeviz.geometry.arrays import Floats, Ints, frozen, frozen_ints
from routeviz.geometry.compiled import compiled, inner
from routeviz.geometry.envelopes import extents_of
from routeviz.geometry.shapes import Bodies, Pieces, joined
from routeviz.planning.hulls import swept_pieces

BUCKET_MM = 32.0  # side of a bucket: about as far as a tube is looked at, so that few pieces share one


class Table(NamedTuple):
    """Pieces as the loops take them, and in which bucket each is to be looked at.

    Parameters
    ----------
    rows : array, shape (k, 16)
        Rotation row by row, origin, half thickness, radius, where its corners begin and end.
    corners : array, shape (c, 2)
        As in ``shapes.Pieces``.
    asked : array, shape (k,)
        What must be free between the piece and a tube's wall.
    owners : array of int, shape (k,)
        Index of the thing that it is a piece of.
    low : array, shape (3,)
        Least corner of the buckets.
    counts : array of int, shape (3,)
        How many buckets each way.
    firsts : array of int, shape (b + 1,)
        Bucket i looks at ``members[firsts[i]:firsts[i + 1]]``.
    members : array of int
        Piece numbers.
    """

    rows: Floats
    corners: Floats
    asked: Floats
    owners: Ints
    low: Floats
    counts: Ints
    firsts: Ints
    members: Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class Obstacles:
    """All that stands in the case in any stage.

    Parameters
    ----------
    table : Table
        For the loops.
    names : tuple of str
        Of the things, by the number in ``table.owners``.
    low, high : array, shape (3,)
        The room in which tubes may lie.
    reach : float
        How far beyond its asked distance everything is in the buckets of a place.
    """

    table: Table
    names: tuple[str, ...]
    low: Floats
    high: Floats
    reach: float


def obstacles_of(cabinets: Sequence[Cabinet], room: tuple[Floats, Floats], reach: float) -> Obstacles:
    """Return everything that tubes must keep off, in all stages together.

    Parameters
    ----------
    cabinets : sequence of Cabinet
        The stages.
    room : tuple of array, shape (3,)
        Least and greatest corner of where tubes may lie.
    reach : float
        How far from a piece's asked distance it is still looked at: the thickest tube's radius and a margin.

    Returns
    -------
    obstacles : Obstacles
        Things of one name in several stages are counted once a stage that moves them elsewhere.
    """
    names: list[str] = []
    parts: list[Pieces] = []
    asked: list[float] = []
    seen: set[tuple[str, bytes]] = set()
    for solid, bodies, least in _things(cabinets):
        key = (solid.name, solid.pieces.origins.tobytes() + solid.pieces.rotations.tobytes())
        if key not in seen:
            seen.add(key)
            names.append(solid.name)
            parts.append(swept_pieces(bodies))
            asked.append(least)
    pieces = joined(parts)
    per_piece = np.array(asked)[pieces.bodies] if asked else np.zeros(0)
    return Obstacles(
        table=table_of(pieces, per_piece, room, reach),
        names=tuple(names),
        reach=reach,
        low=room[0],
        high=room[1],
    )


def _things(cabinets: Sequence[Cabinet]) -> Iterator[tuple[Solid, Bodies, float]]:
    """Yield each solid and each space to be kept clear, how it moves, and what it asks for."""
    for cabinet in cabinets:
        for number, solid in enumerate(cabinet.solids):
            yield solid, _body(cabinet.bodies, solid, number), asked_mm(cabinet, solid)
        for number, solid in enumerate(cabinet.keep_clear):
            yield solid, _body(cabinet.clear_bodies, solid, number), 0.0


def _body(every: Bodies, solid: Solid, number: int) -> Bodies:
    row = slice(number, number + 1)
    return Bodies(
        pieces=solid.pieces,
        kinds=every.kinds[row],
        points=every.points[row],
        directions=every.directions[row],
        travels=every.travels[row],
    )


def table_of(pieces: Pieces, asked: Floats, room: tuple[Floats, Floats], reach: float) -> Table:
    """Return pieces as the loops take them.

    Parameters
    ----------
    pieces : Pieces
        k in all, that stand still.
    asked : array, shape (k,)
        What each asks for.
    room, reach
        As in ``obstacles_of``.

    Returns
    -------
    table : Table
        Sorted into buckets over the room.
    """
    numbers = (pieces.halves, pieces.radii, pieces.begins[:-1], pieces.begins[1:])
    rows = frozen(np.column_stack([pieces.rotations.reshape(-1, 9), pieces.origins, *numbers]))
    low = room[0] - BUCKET_MM
    counts = np.maximum(np.ceil((room[1] + BUCKET_MM - low) / BUCKET_MM), 1).astype(np.int64)
    least, most = extents_of(pieces, pieces.rotations)
    boxes = np.stack([pieces.origins + least - low, pieces.origins + most - low]) / BUCKET_MM
    far = ((asked + reach) / BUCKET_MM)[:, None]
    first = np.clip(np.floor(boxes[0] - far), 0, counts - 1).astype(np.int64)
    last = np.clip(np.floor(boxes[1] + far), -1, counts - 1).astype(np.int64)
    spans = np.stack([first, last], axis=1)
    table = Table(
        rows=rows,
        corners=frozen(pieces.corners),
        asked=frozen(asked),
        owners=frozen_ints(pieces.bodies),
        low=frozen(low),
        counts=frozen_ints(counts),
        firsts=np.zeros(1, np.int64),
        members=np.zeros(0, np.int64),
    )
    totals = np.zeros(int(counts.prod()), dtype=np.int64)
    _sort_in(table, spans, reach, totals)
    table = table._replace(firsts=np.append(0, np.cumsum(totals)), members=np.zeros(totals.sum(), np.int64))
    totals[:] = 0
    _sort_in(table, spans, reach, totals)
    return table._replace(firsts=frozen_ints(table.firsts), members=frozen_ints(table.members))


@compiled
def _sort_in(table: Table, spans: Ints, reach: float, totals: Ints) -> None:
    """Count for each bucket the pieces to look at there, and write them down where the table has room."""
    half = 0.5 * BUCKET_MM * math.sqrt(3.0)
    for piece in range(spans.shape[0]):
        far = table.asked[piece] + reach + half
        for i in range(spans[piece, 0, 0], spans[piece, 1, 0] + 1):
            for j in range(spans[piece, 0, 1], spans[piece, 1, 1] + 1):
                for k in range(spans[piece, 0, 2], spans[piece, 1, 2] + 1):
                    x = table.low[0] + (i + 0.5) * BUCKET_MM
                    y = table.low[1] + (j + 0.5) * BUCKET_MM
                    z = table.low[2] + (k + 0.5) * BUCKET_MM
                    if signed(table.rows, table.corners, piece, x, y, z)[0] <= far:
                        bucket = (i * table.counts[1] + j) * table.counts[2] + k
                        if table.members.shape[0] > 0:
                            table.members[table.firsts[bucket] + totals[bucket]] = piece
                        totals[bucket] += 1


@inner
def bucket_of(table: Table, x: float, y: float, z: float) -> int:
    """Return the bucket of a point; those beyond the room count to its nearest."""
    i = min(max(int((x - table.low[0]) / BUCKET_MM), 0), table.counts[0] - 1)
    j = min(max(int((y - table.low[1]) / BUCKET_MM), 0), table.counts[1] - 1)
    k = min(max(int((z - table.low[2]) / BUCKET_MM), 0), table.counts[2] - 1)
    return int((i * table.counts[1] + j) * table.counts[2] + k)


@inner
def signed(
    rows: Floats, corners: Floats, piece: int, x: float, y: float, z: float
) -> tuple[float, float, float, float]:
    """Return how far a point is outside a piece, below 0 inside, and the direction straight out of it."""
    dx, dy, dz = x - rows[piece, 9], y - rows[piece, 10], z - rows[piece, 11]
    u = rows[piece, 0] * dx + rows[piece, 3] * dy + rows[piece, 6] * dz
    v = rows[piece, 1] * dx + rows[piece, 4] * dy + rows[piece, 7] * dz
    w = rows[piece, 2] * dx + rows[piece, 5] * dy + rows[piece, 8] * dz
    if rows[piece, 13] > 0.0:
        middle = math.sqrt(u * u + v * v)
        flat = middle - rows[piece, 13]
        a, b = (u / middle, v / middle) if middle > 1e-9 else (1.0, 0.0)
    else:
        flat, a, b = _off_outline(corners, int(rows[piece, 14]), int(rows[piece, 15]), u, v)
    c = 1.0 if w >= 0 else -1.0
    over = abs(w) - rows[piece, 12]
    if flat > 0.0 and over > 0.0:
        distance = math.sqrt(flat * flat + over * over)
        a, b, c = a * flat / distance, b * flat / distance, c * over / distance
    elif flat > over:
        distance, c = flat, 0.0
    else:
        distance, a, b = over, 0.0, 0.0
    return (
        distance,
        rows[piece, 0] * a + rows[piece, 1] * b + rows[piece, 2] * c,
        rows[piece, 3] * a + rows[piece, 4] * b + rows[piece, 5] * c,
        rows[piece, 6] * a + rows[piece, 7] * b + rows[piece, 8] * c,
    )


@inner
def _off_outline(corners: Floats, begin: int, end: int, u: float, v: float) -> tuple[float, float, float]:
    """Return how far a point is outside a convex outline, below 0 inside, and the direction out of it."""
    deepest, nx, ny = -1e30, 0.0, 0.0
    nearest, fx, fy = 1e60, 0.0, 0.0
    i = end - 1
    for j in range(begin, end):
        ex, ey = corners[j, 0] - corners[i, 0], corners[j, 1] - corners[i, 1]
        px, py = u - corners[i, 0], v - corners[i, 1]
        square = ex * ex + ey * ey
        if square > 0.0:
            along = math.sqrt(square)
            out = (px * ey - py * ex) / along
            if out > deepest:
                deepest, nx, ny = out, ey / along, -ex / along
            share = min(max((px * ex + py * ey) / square, 0.0), 1.0)
            qx, qy = px - share * ex, py - share * ey
            if qx * qx + qy * qy < nearest:
                nearest, fx, fy = qx * qx + qy * qy, qx, qy
        i = j
    if deepest <= 0.0:
        return deepest, nx, ny
    distance = math.sqrt(nearest)
    if distance < 1e-12:
        return deepest, nx, ny
    return distance, fx / distance, fy / distance


def clearances_at(table: Table, points: Floats, far: float) -> Floats:
    """Return for each point how far it is from what it must keep off, less what that asks for.

    Parameters
    ----------
    table : Table
        What stands there.
    points : array, shape (n, 3)
        Anywhere.
    far : float
        The most that is told; no more than the reach of the table.

    Returns
    -------
    clearances : array, shape (n,)
        Below 0 where something is too near.
    """
    clearances, things = np.zeros(len(points)), np.zeros(len(points), dtype=np.int64)
    fill_clearances(table, points, far, clearances, things)
    return clearances


@compiled
def fill_clearances(table: Table, points: Floats, far: float, clearances: Floats, things: Ints) -> None:
    """Write how far each point is from what it must keep off, and what that is.

    Parameters
    ----------
    table, points, far
        As in ``clearances_at``.
    clearances : array, shape (n,)
        Written: the distance less what is asked for, at most ``far``.
    things : array of int, shape (n,)
        Written: the nearest thing, -1 where none is within ``far``.
    """
    for n in range(points.shape[0]):
        clearances[n], things[n] = far, -1
        bucket = bucket_of(table, points[n, 0], points[n, 1], points[n, 2])
        for m in range(table.firsts[bucket], table.firsts[bucket + 1]):
            piece = table.members[m]
            off = signed(table.rows, table.corners, piece, points[n, 0], points[n, 1], points[n, 2])[0]
            if off - table.asked[piece] < clearances[n]:
                clearances[n], things[n] = off - table.asked[piece], table.owners[piece]
