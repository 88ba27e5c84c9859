"""How near two pieces come, straight or arc: closed forms, and a search along one that proves its bounds.

Which pieces are worth the look is in neighbours.py; solids are in distances.py and sweeps.py.
"""

import math

import numpy as np

from routeviz.geometry.arrays import Floats
from routeviz.geometry.compiled import inner
from routeviz.geometry.pieces import Pieces, end_points

Point = tuple[float, float, float]

# Sine squared: below, taking an end loses 1e-8 of the length; above, rounding loses less.
PARALLEL = 1e-16

# The columns of a table with a row for each piece. One table, because what is compiled first thing on a new
# machine takes three times as long with every column an array of its own.
START, TANGENT, NORMAL, LAST, CENTRE, AXIS = 0, 3, 6, 9, 12, 15  # three columns each
CURVATURE, LENGTH, SAGITTA, SINE, COSINE, COLUMNS = 18, 19, 20, 21, 22, 23


def tabled(pieces: Pieces) -> Floats:
    """Return one row for each piece, with all that distances to it need again and again.

    Parameters
    ----------
    pieces : Pieces
        m pieces; no arc turns by half a turn or more.

    Returns
    -------
    table : array, shape (m, COLUMNS)
        Start, tangent and normal there; last point, which ends the chord; centre and axis of an arc's circle;
        curvature, length; how far an arc bulges from its chord; sine and cosine of the angle it turns by.
    """
    turns = pieces.curvatures * pieces.lengths
    bent = pieces.curvatures > 0
    radii = np.where(bent, 1 / np.where(bent, pieces.curvatures, 1.0), 0.0)
    return np.column_stack(
        [
            pieces.starts,
            pieces.tangents,
            pieces.normals,
            end_points(pieces),
            pieces.starts + pieces.normals * radii[:, None],
            np.cross(pieces.tangents, pieces.normals),
            pieces.curvatures,
            pieces.lengths,
            2 * radii * np.sin(0.25 * turns) ** 2,
            np.sin(turns),
            np.cos(turns),
        ]
    )


@inner
def point_at(table: Floats, piece: int, into: float) -> Point:
    """Return the point so far into a piece; for use inside compiled loops."""
    bend = table[piece, CURVATURE]
    forward, aside = into, 0.0
    if bend > 0:
        half = math.sin(0.5 * bend * into)
        forward, aside = math.sin(bend * into) / bend, 2 * half * half / bend
    return (
        table[piece, START] + table[piece, TANGENT] * forward + table[piece, NORMAL] * aside,
        table[piece, START + 1] + table[piece, TANGENT + 1] * forward + table[piece, NORMAL + 1] * aside,
        table[piece, START + 2] + table[piece, TANGENT + 2] * forward + table[piece, NORMAL + 2] * aside,
    )


@inner
def distance_to(table: Floats, piece: int, point: Point) -> float:
    """Return the distance from a point to a piece; exact. For use inside compiled loops."""
    if table[piece, CURVATURE] == 0:
        return _to_chord(table, piece, point)[0]
    ahead, outward, aside = _seen_from_centre(table, piece, point)
    sine, cosine = table[piece, SINE], table[piece, COSINE]
    if ahead >= 0 and outward * sine - ahead * cosine >= 0:
        across = math.sqrt(ahead * ahead + outward * outward) - 1 / table[piece, CURVATURE]
        return math.sqrt(across * across + aside * aside)
    return math.sqrt(_nearer_end(table, piece, point)[0])


@inner
def into_nearest(table: Floats, piece: int, point: Point) -> float:
    """Return how far into a piece its point nearest to a given one lies. For use inside compiled loops."""
    if table[piece, CURVATURE] == 0:
        at = _to_chord(table, piece, point)[1]
        return at * float(table[piece, LENGTH])
    ahead, outward, _ = _seen_from_centre(table, piece, point)
    if ahead >= 0 and outward * table[piece, SINE] - ahead * table[piece, COSINE] >= 0:
        return min(math.atan2(ahead, outward) / float(table[piece, CURVATURE]), float(table[piece, LENGTH]))
    return _nearer_end(table, piece, point)[1]


@inner
def chords_apart(table: Floats, p: int, q: int) -> tuple[float, float, float]:
    """Return the distance between the chords of two pieces, and where on them it is, 0 at the start to 1.

    Cross products find where nearly parallel chords cross; where they do not within both, an end of one is
    nearest to the other. For use inside compiled loops.

    Parameters
    ----------
    table : array, shape (m, COLUMNS)
        From ``tabled``.
    p, q : int
        Which two.

    Returns
    -------
    distance, on_p, on_q : float
        The distance between two points of the chords, the least but for 1e-8 of their lengths.
    """
    ax, ay, az = (
        table[p, LAST] - table[p, START],
        table[p, LAST + 1] - table[p, START + 1],
        table[p, LAST + 2] - table[p, START + 2],
    )
    bx, by, bz = (
        table[q, LAST] - table[q, START],
        table[q, LAST + 1] - table[q, START + 1],
        table[q, LAST + 2] - table[q, START + 2],
    )
    nx, ny, nz = ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx
    square = nx * nx + ny * ny + nz * nz
    if square > PARALLEL * (ax * ax + ay * ay + az * az) * (bx * bx + by * by + bz * bz):
        rx, ry, rz = (
            table[q, START] - table[p, START],
            table[q, START + 1] - table[p, START + 1],
            table[q, START + 2] - table[p, START + 2],
        )
        kx, ky, kz = ny * rz - nz * ry, nz * rx - nx * rz, nx * ry - ny * rx
        on_p = (kx * bx + ky * by + kz * bz) / square
        on_q = (kx * ax + ky * ay + kz * az) / square
        if 0 <= on_p <= 1 and 0 <= on_q <= 1:
            rx, ry, rz = rx + on_q * bx - on_p * ax, ry + on_q * by - on_p * ay, rz + on_q * bz - on_p * az
            return math.sqrt(rx * rx + ry * ry + rz * rz), on_p, on_q
    distance, on_q = _to_chord(table, q, (table[p, START], table[p, START + 1], table[p, START + 2]))
    on_p = 0.0
    other, at = _to_chord(table, q, (table[p, LAST], table[p, LAST + 1], table[p, LAST + 2]))
    if other < distance:
        distance, on_p, on_q = other, 1.0, at
    other, at = _to_chord(table, p, (table[q, START], table[q, START + 1], table[q, START + 2]))
    if other < distance:
        distance, on_p, on_q = other, at, 0.0
    other, at = _to_chord(table, p, (table[q, LAST], table[q, LAST + 1], table[q, LAST + 2]))
    if other < distance:
        distance, on_p, on_q = other, at, 1.0
    return distance, on_p, on_q


@inner
def least_along(
    table: Floats, p: int, q: int, best: float, width: float, limit: float
) -> tuple[float, float, float]:
    """Return proven bounds on the least distance between two pieces, searched along the first.

    From both ends of a stretch of p the distances to q are known, so q lies outside two balls, and what they
    leave uncovered is nowhere nearer to the stretch's chord than the rim in which they meet. The stretch
    itself bulges from its chord by its sagitta. Stretches are halved until that bound is within ``width`` of
    the best distance found, or beyond ``limit``. For use inside compiled loops.

    Parameters
    ----------
    table : array, shape (m, COLUMNS)
        From ``tabled``.
    p, q : int
        Which two; quickest with the shorter first.
    best : float
        A distance already found elsewhere; ``inf`` if none.
    width : float
        How far the bounds may lie apart, > 0.
    limit : float
        Distances above it need not be told apart.

    Returns
    -------
    low : float
        No point of p is nearer to q, unless as near as ``best`` or beyond ``limit``.
    high : float
        The least distance found, or ``best`` if that is less.
    into : float
        How far into p it was found; -1 where ``best`` was not bettered.
    """
    stack = np.empty((128, 4))  # halving a double 64 times leaves nothing; each leaves one half behind
    whole = table[p, LENGTH]
    low, high, into, depth = math.inf, best, -1.0, 1
    begun = distance_to(table, q, point_at(table, p, 0.0))
    ended = distance_to(table, q, point_at(table, p, whole))
    if begun < high:
        high, into = begun, 0.0
    if ended < high:
        high, into = ended, whole
    stack[0, 0], stack[0, 1], stack[0, 2], stack[0, 3] = 0.0, whole, begun, ended
    while depth > 0:
        depth -= 1
        begin, end, begun, ended = stack[depth, 0], stack[depth, 1], stack[depth, 2], stack[depth, 3]
        bound = _outside_both(table[p, CURVATURE], end - begin, begun, ended)
        middle = 0.5 * (begin + end)
        if bound >= min(high - width, limit) or not begin < middle < end:
            low = min(low, bound)
            continue
        between = distance_to(table, q, point_at(table, p, middle))
        if between < high:
            high, into = between, middle
        # The half with the nearer end is looked at first: a small best found early spares the other.
        first = depth + 1 if begun <= ended else depth
        second = 2 * depth + 1 - first
        stack[first, 0], stack[first, 1], stack[first, 2], stack[first, 3] = begin, middle, begun, between
        stack[second, 0], stack[second, 1], stack[second, 2], stack[second, 3] = middle, end, between, ended
        depth += 2
    return min(low, high), high, into


@inner
def _outside_both(curvature: float, stretch: float, begun: float, ended: float) -> float:
    """Return how near a thing can be to a stretch if the stretch's ends are so far from it."""
    #    .--.---.     Balls round the two ends; where they meet is their rim x. Where x does not lie beside
    #   (   ( x )  )  the chord, one ball hides it, and the nearer end is as near as anything.
    #    `--'`---'
    chord, sagitta = stretch, 0.0
    if curvature > 0:
        chord = 2 * math.sin(0.5 * curvature * stretch) / curvature
        quarter = math.sin(0.25 * curvature * stretch)
        sagitta = 2 * quarter * quarter / curvature
    at = 0.5 * (chord + (begun - ended) * (begun + ended) / chord)
    if at <= 0 or at >= chord:
        return max(min(begun, ended) - sagitta, 0.0)
    return max(math.sqrt(max(begun * begun - at * at, 0.0)) - sagitta, 0.0)


@inner
def _to_chord(table: Floats, piece: int, point: Point) -> tuple[float, float]:
    """Return the distance from a point to a piece's chord, and where on it, 0 at the start to 1."""
    dx = table[piece, LAST] - table[piece, START]
    dy = table[piece, LAST + 1] - table[piece, START + 1]
    dz = table[piece, LAST + 2] - table[piece, START + 2]
    vx, vy, vz = (
        point[0] - table[piece, START],
        point[1] - table[piece, START + 1],
        point[2] - table[piece, START + 2],
    )
    at = min(max((vx * dx + vy * dy + vz * dz) / (dx * dx + dy * dy + dz * dz), 0.0), 1.0)
    vx, vy, vz = vx - at * dx, vy - at * dy, vz - at * dz
    return math.sqrt(vx * vx + vy * vy + vz * vz), at


@inner
def _seen_from_centre(table: Floats, piece: int, point: Point) -> Point:
    """Return a point as seen from an arc's centre: along its first tangent, to its start, along its axis."""
    x, y, z = (
        point[0] - table[piece, CENTRE],
        point[1] - table[piece, CENTRE + 1],
        point[2] - table[piece, CENTRE + 2],
    )
    return (
        x * table[piece, TANGENT] + y * table[piece, TANGENT + 1] + z * table[piece, TANGENT + 2],
        -(x * table[piece, NORMAL] + y * table[piece, NORMAL + 1] + z * table[piece, NORMAL + 2]),
        x * table[piece, AXIS] + y * table[piece, AXIS + 1] + z * table[piece, AXIS + 2],
    )


@inner
def _nearer_end(table: Floats, piece: int, point: Point) -> tuple[float, float]:
    """Return the squared distance to the nearer end of a piece, and how far into the piece that end is."""
    to_start = to_last = 0.0
    for axis in range(3):
        to_start += (point[axis] - table[piece, START + axis]) ** 2
        to_last += (point[axis] - table[piece, LAST + axis]) ** 2
    if to_start <= to_last:
        return to_start, 0.0
    return to_last, table[piece, LENGTH]
