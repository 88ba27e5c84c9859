"""How strings answer what is asked of them: bent no tighter than they may be, and moved smoothly.

What is asked by others and by what stands there is in spreading.py. All that is asked of a string is weighed
in one band of equations, so that a push at one point moves those about it along and puts no bend there.
"""

import math

import numpy as np

from routeviz.geometry.arrays import Floats
from routeviz.geometry.compiled import compiled, inner
from routeviz.planning.adjacency import Watched
from routeviz.planning.spreading import Forces, Needs, rests
from routeviz.planning.strings import Strings

ENOUGH = 0.99  # share of the bend that is aimed at from which a string is bent gently enough
GROWS = 1.03  # times the tightest bend allowed, from which on a string is made longer there
LONGER, MOST_LONGER = (
    0.2,
    0.1,
)  # share of what a bend is too tight by that its legs grow in a round, and at most
STAY = 0.001  # weight of staying where one is, against a contact's: a push is felt about ten points away


@compiled
def begin(forces: Forces, needs: Needs) -> None:
    """Forget what was asked and what was lacking; every point stays where it is, a little."""
    needs.lacks[:] = 0.0
    forces.own[:] = STAY
    forces.next[:] = 0.0
    forces.after[:] = 0.0
    forces.moves[:] = 0.0


@compiled
def hold_bends(
    strings: Strings, firm: float, even: float, pulls: tuple[float, float], forces: Forces, needs: Needs
) -> None:
    """Ask tight bends to open, points to be even, and strings to be short.

    Of a bend, an arc is told that begins at half the shorter of its two edges.

    Parameters
    ----------
    strings : Strings
        Not moved.
    firm : float
        Weight of bends, against a contact's.
    even : float
        By which share of it points are moved along their string until they are even.
    pulls : tuple of float
        Weight of being short, and by which share bends are eased that need not be.
    forces, needs
        Added to.
    """
    points, free, owners = strings.points, strings.free, strings.owners
    tension, fairness = pulls
    for i in range(1, points.shape[0] - 1):
        tube = owners[i]
        if owners[i - 1] != tube or owners[i + 1] != tube or free[i - 1] + free[i] + free[i + 1] == 0.0:
            continue
        if rests(needs, tube):
            continue
        a, b = _leg(points, i - 1), _leg(points, i)
        ux, uy, uz = _along(points, i - 1, a)
        vx, vy, vz = _along(points, i, b)
        # From one edge's direction to the next: as long as twice the sine of half the turn.
        x, y, z = vx - ux, vy - uy, vz - uz
        bent = math.sqrt(x * x + y * y + z * z)
        half = 0.5 * min(a, b)
        sine = min(0.5 * bent, 0.999999)
        tangent = sine / math.sqrt(1.0 - sine * sine)
        most = half / strings.bends[tube]
        if tangent * ENOUGH > most:
            lack = (ENOUGH - most / tangent) * strings.bends[tube]
            needs.lacks[tube] = max(needs.lacks[tube], lack)
        less = fairness
        if tangent > most:
            less = max(less, 1.0 - 2.0 * most / math.sqrt(1.0 + most * most) / bent)
        mean = 2.0 * a * b / (a + b)
        by, on = -firm * less * mean, -0.5 * even * firm * (b - a) * free[i]
        x, y, z = by * x + on * (ux + vx), by * y + on * (uy + vy), by * z + on * (uz + vz)
        _bend(forces, i, firm, (mean / a, mean / b), (x, y, z))
        if tension > 0.0:
            _shorten(points, forces, i, tension)
        if tangent > GROWS * most:
            longer = min(MOST_LONGER, LONGER * (tangent / most - 1.0))
            _lengthen(points, forces, i - 1, firm, longer)
            _lengthen(points, forces, i, firm, longer)


@inner
def _lengthen(points: Floats, forces: Forces, i: int, firm: float, by: float) -> None:
    """Ask a leg to be longer by a share: between ends that are turned too far, no bend opens without."""
    forces.own[i] += firm
    forces.own[i + 1] += firm
    forces.next[i] -= firm
    for axis in range(3):
        move = firm * by * (points[i + 1, axis] - points[i, axis])
        forces.moves[i, axis] -= move
        forces.moves[i + 1, axis] += move


@inner
def _shorten(points: Floats, forces: Forces, i: int, tension: float) -> None:
    forces.own[i] += tension
    forces.next[i - 1] -= 0.5 * tension
    for axis in range(3):
        middle = 0.5 * (points[i - 1, axis] + points[i + 1, axis])
        forces.moves[i, axis] += tension * (middle - points[i, axis])


@inner
def _leg(points: Floats, i: int) -> float:
    dx, dy, dz = (
        points[i + 1, 0] - points[i, 0],
        points[i + 1, 1] - points[i, 1],
        points[i + 1, 2] - points[i, 2],
    )
    return max(math.sqrt(dx * dx + dy * dy + dz * dz), 1e-6)


@inner
def _along(points: Floats, i: int, leg: float) -> tuple[float, float, float]:
    return (
        (points[i + 1, 0] - points[i, 0]) / leg,
        (points[i + 1, 1] - points[i, 1]) / leg,
        (points[i + 1, 2] - points[i, 2]) / leg,
    )


@inner
def _bend(
    forces: Forces, i: int, firm: float, counts: tuple[float, float], way: tuple[float, float, float]
) -> None:
    """Ask for another bend at a point: what its neighbours' moves count for, and the way times the weight."""
    p, q = counts
    x, y, z = way
    forces.own[i - 1] += firm * p * p
    forces.own[i] += firm * (p + q) * (p + q)
    forces.own[i + 1] += firm * q * q
    forces.next[i - 1] -= firm * p * (p + q)
    forces.next[i] -= firm * q * (p + q)
    forces.after[i - 1] += firm * p * q
    moves = forces.moves
    for j, by in ((i - 1, p), (i, -p - q), (i + 1, q)):
        moves[j, 0] += by * x
        moves[j, 1] += by * y
        moves[j, 2] += by * z


@compiled
def settle(
    strings: Strings, forces: Forces, pace: tuple[Floats, float, float], watched: Watched, needs: Needs
) -> float:
    """Solve each string's equations and move it, and on a little as it went before.

    Parameters
    ----------
    strings : Strings
        Moved.
    forces : Forces
        Used up.
    pace : tuple of array (n, 3), float and float
        The last moves, written; what share of them is added while a string goes on the same way; how far a
        point may go: a string of which one would go further is moved by so much less.
    watched : Watched
        How far points have strayed is written.
    needs : Needs
        Which strings rest.

    Returns
    -------
    furthest : float
        That any point has strayed.
    """
    firsts, going, start, strayed = strings.firsts, pace[0], watched.start, watched.strayed
    furthest = 0.0
    for t in range(firsts.shape[0] - 1):
        first, last = firsts[t], firsts[t + 1]
        if rests(needs, t) or not _asked(strings, forces, first, last):
            for i in range(first, last):
                furthest = max(furthest, strayed[i])
                going[i, 0] = going[i, 1] = going[i, 2] = 0.0
            continue
        _factor(forces, first, last)
        _put_back(forces, first, last)
        share = _go_on(forces.moves, pace, first, last)
        for i in range(first, last):
            if strings.free[i] > 0.0:
                strayed[i] = _move(strings.points, going, start, i, share)
            furthest = max(furthest, strayed[i])
    return furthest


@inner
def _go_on(moves: Floats, pace: tuple[Floats, float, float], first: int, last: int) -> float:
    """Add to a string's moves what it keeps of its last ones; returns the share of them that it may go."""
    going, keeps, most = pace
    along, square = 0.0, 0.0
    for i in range(first, last):
        for axis in range(3):
            along += moves[i, axis] * going[i, axis]
    kept = keeps if along > 0.0 else 0.0
    for i in range(first, last):
        for axis in range(3):
            going[i, axis] = moves[i, axis] + kept * going[i, axis]
        square = max(square, going[i, 0] ** 2 + going[i, 1] ** 2 + going[i, 2] ** 2)
    return 1.0 if square <= most * most else most / math.sqrt(square)


@inner
def _move(points: Floats, going: Floats, start: Floats, i: int, share: float) -> float:
    """Move a point, and return how far it is from its start."""
    far = 0.0
    for axis in range(3):
        going[i, axis] *= share
        points[i, axis] += going[i, axis]
        far += (points[i, axis] - start[i, axis]) ** 2
    return math.sqrt(far)


@inner
def _asked(strings: Strings, forces: Forces, first: int, last: int) -> bool:
    """Hold what is held, and return whether anything asks a string to move."""
    own, nxt, after, moves = forces.own, forces.next, forces.after, forces.moves
    most = 0.0
    for i in range(first, last):
        if strings.free[i] > 0.0:
            for axis in range(3):
                most = max(most, abs(moves[i, axis]))
            continue
        own[i], nxt[i], after[i] = 1.0, 0.0, 0.0
        moves[i, 0] = moves[i, 1] = moves[i, 2] = 0.0
        if i > first:
            nxt[i - 1] = 0.0
        if i > first + 1:
            after[i - 2] = 0.0
    return most > 1e-9


@inner
def _factor(forces: Forces, first: int, last: int) -> None:
    """Solve the first half of a string's equations: the band's factors are written over it."""
    own, nxt, after, moves = forces.own, forces.next, forces.after, forces.moves
    for i in range(first, last):
        # nxt[i - 1] and after[i - 2] still hold the matrix; they are replaced by the factors.
        if i >= first + 2:
            near = nxt[i - 1] - after[i - 2] * nxt[i - 2]
            far = after[i - 2]
            after[i - 2] = far / own[i - 2]
            nxt[i - 1] = near / own[i - 1]
            own[i] -= nxt[i - 1] * near + after[i - 2] * far
            for axis in range(3):
                moves[i, axis] -= nxt[i - 1] * moves[i - 1, axis] + after[i - 2] * moves[i - 2, axis]
        elif i == first + 1:
            near = nxt[i - 1]
            nxt[i - 1] = near / own[i - 1]
            own[i] -= nxt[i - 1] * near
            for axis in range(3):
                moves[i, axis] -= nxt[i - 1] * moves[i - 1, axis]


@inner
def _put_back(forces: Forces, first: int, last: int) -> None:
    """Solve the other half, from a string's last point to its first, with the band's factors."""
    own, nxt, after, moves = forces.own, forces.next, forces.after, forces.moves
    for i in range(last - 1, first - 1, -1):
        for axis in range(3):
            value = moves[i, axis] / own[i]
            if i + 1 < last:
                value -= nxt[i] * moves[i + 1, axis]
            if i + 2 < last:
                value -= after[i] * moves[i + 2, axis]
            moves[i, axis] = value


@compiled
def respace(strings: Strings, uneven: float, strayed: Floats) -> None:
    """Move points along their strings until they are even, between held ones, where legs differ too much.

    Points that bunch leave a bend no room for its arc, and what would open it grows weaker with them.

    Parameters
    ----------
    strings : Strings
        Moved.
    uneven : float
        Share of the mean leg; where none is shorter, nothing is moved.
    strayed : array, shape (n,)
        ``inf`` is written for points that are moved.
    """
    points, free, owners = strings.points, strings.free, strings.owners
    first = 0
    while first < points.shape[0] - 1:
        last = first + 1
        while last < points.shape[0] - 1 and owners[last] == owners[first] and free[last] > 0.0:
            last += 1
        if owners[last] == owners[first] and last > first + 1:
            _spread(points, first, last, uneven, strayed)
        first = last


@inner
def _spread(points: Floats, first: int, last: int, uneven: float, strayed: Floats) -> None:
    total, least = 0.0, 1e9
    for i in range(first, last):
        leg = _leg(points, i)
        total, least = total + leg, min(least, leg)
    step = total / (last - first)
    if least >= uneven * step:
        return
    old = points[first : last + 1].copy()
    at, gone = 0, 0.0
    for i in range(1, last - first):
        while at < last - first - 1 and gone + _leg(old, at) < i * step:
            gone += _leg(old, at)
            at += 1
        share = min((i * step - gone) / _leg(old, at), 1.0)
        strayed[first + i] = np.inf
        for axis in range(3):
            points[first + i, axis] = old[at, axis] + share * (old[at + 1, axis] - old[at, axis])
