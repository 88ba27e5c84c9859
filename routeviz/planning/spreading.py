"""Room between tubes: strings of points that are pushed apart, off what stands there, and out of tight bends.

Where each string runs at first is in threading.py; what stands there, in obstacles.py; which strings are near
each other, in adjacency.py.
"""

import math
from typing import NamedTuple

import numpy as np

from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.compiled import compiled, inner
from routeviz.planning.adjacency import Watched, apart, closest
from routeviz.planning.obstacles import Table, bucket_of, signed
from routeviz.planning.strings import Strings

QUARTERS = 4  # places a point that are kept off things: finer by half again, an edge comes nearer by 0.03 mm
GIVEN_MM = 0.08  # that may be missing of the room that is asked for: the last of it is gained slowest
RESTS = 10  # rounds after which a string that lacks nothing is left as it is
PLENTY_MM = 8.0  # free about a point: how much more there is, is of no use to a tube
HARD = 10.0  # weight of things, which do not give way as tubes do
FIRM = 1.0  # weight of a contact, against which the others are measured


class Forces(NamedTuple):
    """What asks points to move, and how firmly: a symmetric band matrix and its right side, string by string.

    Parameters
    ----------
    own, next, after : array, shape (n,)
        The matrix: a point with itself, with the next, with the one after that.
    moves : array, shape (n, 3)
        The right side before, the moves themselves after solving.
    """

    own: Floats
    next: Floats
    after: Floats
    moves: Floats


class Sights(NamedTuple):
    """How far each place of a string was from things when it was last looked at, so that it need not be soon.

    Parameters
    ----------
    places : array, shape (4 n, 3)
        Of point i from 4 i: from the middle before it on.
    clear : array, shape (4 n,)
        Beyond what each thing asks for, from the centreline; below 0 where it has to be looked at.
    """

    places: Floats
    clear: Floats


class Needs(NamedTuple):
    """What each string still lacks, and since when nothing.

    Parameters
    ----------
    lacks : array, shape (t,)
        By how much it falls short of what is enough of its room or bends, in mm.
    idle : array of int, shape (t,)
        For how many rounds it has lacked nothing: after some it rests until it does.
    """

    lacks: Floats
    idle: Ints


@inner
def rests(needs: Needs, tube: int) -> bool:
    """Return whether a string is left as it is."""
    return bool(needs.idle[tube] >= RESTS and needs.lacks[tube] == 0.0)


@compiled
def touch(
    strings: Strings, watched: Watched, count: int, gaps: tuple[Floats, float], forces: Forces, needs: Needs
) -> None:
    """Ask edges that are too near each other to part, each by half.

    Parameters
    ----------
    strings : Strings
        Not moved.
    watched : Watched
        From ``near_pairs``.
    count : int
        How many pairs there are.
    gaps : tuple of array (n,) and float
        What is to be free about each point, between two the larger; and by which share it and the tubes are
        taken, for tubes that grow.
    forces, needs
        Added to.
    """
    pairs, spare, strayed = watched.pairs, watched.spare, watched.strayed
    points, free, owners, radii = strings.points, strings.free, strings.owners, strings.radii
    asked, share = gaps
    for n in range(count):
        e, f = pairs[n, 0], pairs[n, 1]
        gone = max(strayed[e], strayed[e + 1]) + max(strayed[f], strayed[f + 1])
        p, q = owners[e], owners[f]
        if gone < spare[n] or (rests(needs, p) and rests(needs, q)):
            continue
        x, y, z, off, s, t = closest(points, e, f)
        whole = radii[p] + radii[q] + max(asked[e], asked[f])
        wanted = share * whole
        if off >= wanted:
            continue
        lack = max(whole - GIVEN_MM - off, 0.0)
        if off < 1e-6:
            x, y, z, off = _across(points, e, f)
        first, second = free[e] + free[e + 1] > 0.0, free[f] + free[f + 1] > 0.0
        push = min((wanted - off) / off, wanted / off) * (0.5 if first and second else 1.0)
        if first:
            _ask(forces, e, s, push, (x, y, z))
            needs.lacks[p] = max(needs.lacks[p], lack)
        if second:
            _ask(forces, f, t, -push, (x, y, z))
            needs.lacks[q] = max(needs.lacks[q], lack)


@inner
def _ask(forces: Forces, e: int, s: float, by: float, way: tuple[float, float, float]) -> None:
    """Ask the place at share s of edge e to move."""
    x, y, z = way
    r = 1.0 - s
    forces.own[e] += FIRM * r * r
    forces.own[e + 1] += FIRM * s * s
    forces.next[e] += FIRM * r * s
    _shift(forces.moves, e, FIRM * r * by, x, y, z)
    _shift(forces.moves, e + 1, FIRM * s * by, x, y, z)


@inner
def _shift(points: Floats, i: int, by: float, x: float, y: float, z: float) -> None:
    points[i, 0] += by * x
    points[i, 1] += by * y
    points[i, 2] += by * z


@inner
def _across(points: Floats, e: int, f: int) -> tuple[float, float, float, float]:
    """Return a way apart for edges that meet: square to both."""
    ux, uy, uz = (
        points[e + 1, 0] - points[e, 0],
        points[e + 1, 1] - points[e, 1],
        points[e + 1, 2] - points[e, 2],
    )
    vx, vy, vz = (
        points[f + 1, 0] - points[f, 0],
        points[f + 1, 1] - points[f, 1],
        points[f + 1, 2] - points[f, 2],
    )
    x, y, z = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
    size = math.sqrt(x * x + y * y + z * z)
    if size < 1e-9:
        x, y, z = -uy, ux, 0.0
        size = math.sqrt(x * x + y * y)
        if size < 1e-9:
            return 1e-3, 0.0, 0.0, 1e-3
    return 1e-3 * x / size, 1e-3 * y / size, 1e-3 * z / size, 1e-3


@compiled
def keep_off(
    strings: Strings,
    things: tuple[Table, float],
    gaps: tuple[Floats, float],
    sights: Sights,
    forces: Forces,
    needs: Needs,
) -> None:
    """Ask strings to go off what stands there, at four places a point.

    Parameters
    ----------
    strings : Strings
        Not moved.
    things : tuple of Table and float
        What stands there, and how near to a place everything is in the place's bucket.
    gaps : tuple of array (n,) and float
        What is to be free besides what each thing asks for, and by which share it and the tubes are taken.
    sights : Sights
        Kept from round to round.
    forces, needs
        Added to.
    """
    table, seen = things
    points, free, owners = strings.points, strings.free, strings.owners
    asked, share = gaps
    for i in range(1, points.shape[0] - 1):
        tube = owners[i]
        if owners[i - 1] != tube or owners[i + 1] != tube or free[i - 1] + free[i] + free[i + 1] == 0.0:
            continue
        if rests(needs, tube):
            continue
        full = strings.radii[tube] + asked[i]
        for quarter in range(QUARTERS):
            if _at_least(points, (i, quarter), sights, full):
                continue
            off = _off_things(strings, table, (i, quarter), share * full, forces)
            _see(points, (i, quarter), min(off, seen), sights)
            if free[i] > 0.0 or (quarter == 0 and free[i - 1] > 0.0):
                needs.lacks[tube] = max(needs.lacks[tube], full - GIVEN_MM - off)


@inner
def _at_least(points: Floats, at: tuple[int, int], sights: Sights, clear: float) -> bool:
    """Return whether a place cannot have come so near to anything since it was last looked at."""
    i, quarter = at
    n = QUARTERS * i + quarter
    spare = sights.clear[n] - clear
    if spare <= 0.0:
        return False
    x, y, z = _place(points, i, quarter)
    dx, dy, dz = x - sights.places[n, 0], y - sights.places[n, 1], z - sights.places[n, 2]
    return bool(dx * dx + dy * dy + dz * dz < spare * spare)


@inner
def _see(points: Floats, at: tuple[int, int], clear: float, sights: Sights) -> None:
    """Remember how far a place is from things."""
    i, quarter = at
    n = QUARTERS * i + quarter
    x, y, z = _place(points, i, quarter)
    sights.places[n, 0], sights.places[n, 1], sights.places[n, 2] = x, y, z
    sights.clear[n] = clear


@inner
def _weights(quarter: int) -> tuple[float, float, float]:
    """Return what a point and its two neighbours count for: from half way before it to half way after."""
    t = quarter / QUARTERS
    return 0.5 * (1.0 - t) ** 2, 0.5 + t - t * t, 0.5 * t * t


@inner
def _place(points: Floats, i: int, quarter: int) -> tuple[float, float, float]:
    a, b, c = _weights(quarter)
    return (
        a * points[i - 1, 0] + b * points[i, 0] + c * points[i + 1, 0],
        a * points[i - 1, 1] + b * points[i, 1] + c * points[i + 1, 1],
        a * points[i - 1, 2] + b * points[i, 2] + c * points[i + 1, 2],
    )


@inner
def _off_things(strings: Strings, table: Table, at: tuple[int, int], wanted: float, forces: Forces) -> float:
    """Ask a place to move off every thing near it; returns how far the nearest is beyond what it asks for."""
    i, quarter = at
    x, y, z = _place(strings.points, i, quarter)
    bucket = bucket_of(table, x, y, z)
    least = 1e9
    for m in range(table.firsts[bucket], table.firsts[bucket + 1]):
        piece = table.members[m]
        if table.owners[piece] == strings.exempt[i]:
            continue
        off, nx, ny, nz = signed(table.rows, table.corners, piece, x, y, z)
        off -= table.asked[piece]
        least = min(least, off)
        if off < wanted:
            push = min(wanted - off, strings.radii[strings.owners[i]])
            _ask_place(forces, i, quarter, push * nx, push * ny, push * nz)
    return least


@inner
def _ask_place(forces: Forces, i: int, quarter: int, x: float, y: float, z: float) -> None:
    a, b, c = _weights(quarter)
    forces.own[i - 1] += HARD * a * a
    forces.own[i] += HARD * b * b
    forces.own[i + 1] += HARD * c * c
    forces.next[i - 1] += HARD * a * b
    forces.next[i] += HARD * b * c
    forces.after[i - 1] += HARD * a * c
    _shift(forces.moves, i - 1, HARD * a, x, y, z)
    _shift(forces.moves, i, HARD * b, x, y, z)
    _shift(forces.moves, i + 1, HARD * c, x, y, z)


@compiled
def fill_rooms(
    strings: Strings, watched: Watched, count: int, things: tuple[Table, float], sights: Sights, rooms: Floats
) -> None:
    """Write what is free about every point: to other tubes, to everything else, and its bend.

    Parameters
    ----------
    strings : Strings
        Not moved.
    watched, count
        From ``near_pairs``.
    things, sights
        As for ``keep_off``.
    rooms : array, shape (n, 3)
        Between the walls; beyond what each thing asks for; the bend's radius as a share of the least that is
        aimed at. Large where nothing is near.
    """
    points, owners, radii, pairs = strings.points, strings.owners, strings.radii, watched.pairs
    rooms[:] = 1e3
    for n in range(count):
        e, f = pairs[n, 0], pairs[n, 1]
        off = closest(points, e, f)[3] - radii[owners[e]] - radii[owners[f]]
        for i in (e, e + 1, f, f + 1):
            rooms[i, 0] = min(rooms[i, 0], off)
    _fill_off(strings, things, sights, rooms)
    _fill_bends(strings, rooms)


@inner
def _fill_off(strings: Strings, things: tuple[Table, float], sights: Sights, rooms: Floats) -> None:
    """Write what is free to everything but tubes, where it is little, to all points but strings' ends."""
    owners, radii = strings.owners, strings.radii
    table, seen = things
    none = Forces(np.zeros(1), np.zeros(1), np.zeros(1), np.zeros((1, 3)))
    for i in range(1, owners.shape[0] - 1):
        tube = owners[i]
        if owners[i - 1] != tube or owners[i + 1] != tube:
            continue
        for quarter in range(QUARTERS):
            if _at_least(strings.points, (i, quarter), sights, radii[tube] + PLENTY_MM):
                continue
            off = _off_things(strings, table, (i, quarter), -1e9, none)
            _see(strings.points, (i, quarter), min(off, seen), sights)
            off -= radii[tube]
            rooms[i, 1] = min(rooms[i, 1], off)
            if quarter == 0:
                rooms[i - 1, 1] = min(rooms[i - 1, 1], off)


@inner
def _fill_bends(strings: Strings, rooms: Floats) -> None:
    """Write each bend's radius as a share of the least: its arc begins at half its shorter edge."""
    points, owners = strings.points, strings.owners
    for i in range(1, points.shape[0] - 1):
        tube = owners[i]
        if owners[i - 1] == tube and owners[i + 1] == tube:
            a, b = apart(points, i - 1, i), apart(points, i, i + 1)
            x = (points[i - 1, 0] - points[i, 0]) / a + (points[i + 1, 0] - points[i, 0]) / b
            y = (points[i - 1, 1] - points[i, 1]) / a + (points[i + 1, 1] - points[i, 1]) / b
            z = (points[i - 1, 2] - points[i, 2]) / a + (points[i + 1, 2] - points[i, 2]) / b
            sine = min(0.5 * math.sqrt(x * x + y * y + z * z), 0.999999)
            if sine > 1e-9:
                radius = 0.5 * min(a, b) * math.sqrt(1.0 - sine * sine) / sine
                rooms[i, 2] = radius / strings.bends[tube]
