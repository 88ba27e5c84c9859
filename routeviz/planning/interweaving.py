"""Two strings that wind about each other exchange a stretch of their ways, where that unwinds them.

Whose strings these are, and which passages they go through, is put together in unwinding.py. Numbers are
written one by one: to compile that a slice is assigned takes seconds.
"""

import math
from typing import NamedTuple

import numpy as np

from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.compiled import compiled, inner
from routeviz.geometry.winding import half_area

ONCE = 0.5  # turns of two tubes that cross once: less cannot be asked of them
WOUND = 0.7  # turns from which on two are wound about each other
BETTER = 0.12  # turns that an exchange must gain, over all whom the two meet: less is not worth the change
DEALT = 0.4  # turns that it must gain more for each place in a passage: these were dealt out in order
HOPELESS = 2.0  # turns that others may gain at most by what the two themselves lose by
FAR = 1.5  # chords' lengths apart from which on their middles stand for them
FREE, HELD = -1, -2

Stretches = tuple[int, int, int, int]  # where one's begins and ends, and the other's
Sight = tuple[float, float, float, float]  # a unit vector and how long it was


class Weave(NamedTuple):
    """All that is known of t strings of at most m points.

    Parameters
    ----------
    points : array, shape (t, m, 3)
        Behind a string's last its row is filled with anything.
    sizes : array of int, shape (t,)
        How many points each has.
    gates : array of int, shape (t, m)
        The number of the gate that holds a point; ``FREE`` for none, ``HELD`` at nipples.
    codes : array of int, shape (g,)
        The same for gates of one passage and sense.
    kinds : array of int, shape (t,)
        Strings of one kind may exchange stretches.
    beside : array of int, shape (t, t)
        1 where how two wind about each other is known, as they come near each other.
    turns : array, shape (t, m, t)
        How much each chord winds about each whole string; 0 behind the last.
    reach : float
        From how far off two may change over.
    """

    points: Floats
    sizes: Ints
    gates: Ints
    codes: Ints
    kinds: Ints
    beside: Ints
    turns: Floats
    reach: float


@compiled
def fill_turns(weave: Weave) -> None:
    """Reckon how all strings wind about those beside them.

    Parameters
    ----------
    weave : Weave
        Its turns are written.
    """
    for a in range(len(weave.sizes)):
        for b in range(a):
            if weave.beside[a, b]:
                _fill(weave, a, b)


@compiled
def unwind(weave: Weave, a: int, b: int) -> bool:
    """Let two strings exchange the stretches that unwind most.

    Parameters
    ----------
    weave : Weave
        Changed, if they do.
    a, b : int
        Which two.

    Returns
    -------
    done : bool
        Whether there were such stretches.
    """
    if abs(_winding(weave, a, b)) <= WOUND:
        return False
    _know_all(weave, a, b)
    at = _best(weave, a, b)
    if at[0] < 0:
        return False
    _exchange(weave, a, b, at)
    return True


@inner
def _winding(weave: Weave, a: int, b: int) -> float:
    total = 0.0
    for i in range(weave.sizes[a] - 1):
        total += weave.turns[a, i, b]
    return total


@inner
def _fill(weave: Weave, a: int, b: int) -> None:
    """Reckon anew how two strings wind about each other."""
    points, others = weave.points[a], weave.points[b]
    own, its = np.zeros(weave.sizes[a] - 1), np.zeros(weave.sizes[b] - 1)
    for i in range(len(own)):
        for j in range(len(its)):
            turn = _turn(points, i, others, j)
            own[i] += turn
            its[j] += turn
    for i in range(len(own)):
        weave.turns[a, i, b] = own[i]
    for j in range(len(its)):
        weave.turns[b, j, a] = its[j]


@inner
def _over(winding: float) -> float:
    return max(abs(winding) - ONCE, 0.0)


@inner
def _know_all(weave: Weave, a: int, b: int) -> None:
    """Reckon how each of two winds about those beside the other."""
    for c in range(len(weave.sizes)):
        if c != a and c != b and weave.beside[a, c] != weave.beside[b, c]:
            one = a if weave.beside[b, c] else b
            _fill(weave, one, c)
            weave.beside[one, c] = weave.beside[c, one] = 1


@inner
def _best(weave: Weave, a: int, b: int) -> Stretches:
    """Return the stretches that unwind most; -1 for none."""
    over = _near(weave, a, b)
    begins, ends = _changing(weave, (a, b), over, 0), _changing(weave, (a, b), over, -1)
    sums = _sums(weave, a, b), _sums(weave, a, a), _sums(weave, b, b)
    mine, theirs = _about_mates(weave, a, b), _about_mates(weave, b, a)
    n, passed, others = weave.sizes[a] - 1, _passed(weave, a), _passed(weave, b)
    now = _over(sums[0][-1, -1])
    best, found = BETTER, (-1, -1, -1, -1)
    for i in range(n):
        if over[i] < 0:
            continue
        for j in range(i + 2, n):
            at = (i, j, over[i], over[j])
            if at[3] < at[2] + 2 or passed[j] - passed[i] != others[at[3]] - others[at[2]]:
                continue
            gain = now - _over(_after(sums, at) + begins[i] + ends[j])
            gain -= DEALT * (passed[j] - passed[i])
            if gain > best - HOPELESS:
                gain += _gained(mine, theirs, at)
            if gain > best and _fits(weave, a, b, at) and _same(weave, a, b, at):
                best, found = gain, at
    return found


@inner
def _gained(mine: Floats, theirs: Floats, at: Stretches) -> float:
    """Return by how much less two wind about all others once they have exchanged their stretches."""
    gain = 0.0
    for k in range(mine.shape[1]):
        more = theirs[at[3], k] - theirs[at[2], k] - mine[at[1], k] + mine[at[0], k]
        gain += _over(mine[-1, k]) - _over(mine[-1, k] + more)
        gain += _over(theirs[-1, k]) - _over(theirs[-1, k] - more)
    return gain


@inner
def _fits(weave: Weave, a: int, b: int, at: Stretches) -> bool:
    more = at[3] - at[2] - at[1] + at[0]
    return bool(max(weave.sizes[a] + more, weave.sizes[b] - more) <= weave.gates.shape[1])


@inner
def _near(weave: Weave, a: int, b: int) -> Ints:
    """Return for each free point of a string the nearest free point of another; -1 where none is near."""
    found = np.full(weave.sizes[a], -1)
    for i in range(1, weave.sizes[a] - 1):
        best = weave.reach
        if weave.gates[a, i] != FREE:
            continue
        for j in range(1, weave.sizes[b] - 1):
            if weave.gates[b, j] == FREE:
                p, q = weave.points[a, i], weave.points[b, j]
                far = math.sqrt((p[0] - q[0]) ** 2 + (p[1] - q[1]) ** 2 + (p[2] - q[2]) ** 2)
                if far < best:
                    best, found[i] = far, j
    return found


@inner
def _sums(weave: Weave, a: int, b: int) -> Floats:
    """Return how the first chords of a string wind about the first of another, for all numbers of them."""
    n, m = weave.sizes[a], weave.sizes[b]
    sums = np.zeros((n, m))
    points, others = weave.points[a], weave.points[b]
    for i in range(n - 1):
        for j in range(m - 1):
            turn = 0.0
            if a != b or abs(i - j) > 1:
                turn = _turn(points, i, others, j)
            sums[i + 1, j + 1] = sums[i, j + 1] + sums[i + 1, j] - sums[i, j] + turn
    return sums


@inner
def _about_mates(weave: Weave, a: int, b: int) -> Floats:
    """Return how the first chords of a string wind about each string beside it but one, for all numbers."""
    count = 0
    for c in range(len(weave.sizes)):
        count += c != b and weave.beside[a, c]
    sums, k = np.zeros((weave.sizes[a], count)), 0
    for c in range(len(weave.sizes)):
        if c != b and weave.beside[a, c]:
            for i in range(weave.sizes[a] - 1):
                sums[i + 1, k] = sums[i, k] + weave.turns[a, i, c]
            k += 1
    return sums


@inner
def _passed(weave: Weave, a: int) -> Ints:
    """Return how many gates lie before each point of a string."""
    passed, count = np.zeros(weave.sizes[a], np.int64), 0
    for i in range(1, weave.sizes[a]):
        count += weave.gates[a, i] >= 0 and weave.gates[a, i] != weave.gates[a, i - 1]
        passed[i] = count
    return passed


@inner
def _same(weave: Weave, a: int, b: int, at: Stretches) -> bool:
    """Return whether two stretches that go through as many passages go through the same."""
    j = at[2]
    for i in range(at[0] + 1, at[1]):
        if weave.gates[a, i] != FREE and weave.gates[a, i] != weave.gates[a, i - 1]:
            j += 1
            while weave.gates[b, j] == FREE or weave.gates[b, j] == weave.gates[b, j - 1]:
                j += 1
            if weave.codes[weave.gates[a, i]] != weave.codes[weave.gates[b, j]]:
                return False
    return True


@inner
def _after(sums: tuple[Floats, Floats, Floats], at: Stretches) -> float:
    """Return how two wind about each other once they have exchanged their stretches."""
    both, own, its = sums
    (i, j, p, q), n, m = at, both.shape[0] - 1, both.shape[1] - 1
    total = _block(both, (0, i), (0, p)) + _block(both, (0, i), (q, m)) + _block(both, (i, j), (p, q))
    total += _block(both, (j, n), (0, p)) + _block(both, (j, n), (q, m))
    total += _block(own, (0, i), (i, j)) + _block(own, (i, j), (j, n))
    return total + _block(its, (0, p), (p, q)) + _block(its, (p, q), (q, m))


@inner
def _changing(weave: Weave, both: tuple[int, int], over: Ints, chord: int) -> Floats:
    """Return what it adds to how two wind about each other that they change over at each point.

    Where stretches begin, the chords after it (0) are exchanged for those that lead over; where they end, the
    chords before it (-1).
    """  # noqa: DOC201
    points, others = weave.points[both[0]], weave.points[both[1]]
    more, mine, theirs = np.zeros(len(over)), np.zeros((2, 3)), np.zeros((2, 3))
    for i in range(len(over)):
        if over[i] >= 0:
            p, q = i + chord, over[i] + chord
            for k in range(3):
                mine[0, k], mine[1, k] = points[p, k], others[q + 1, k]
                theirs[0, k], theirs[1, k] = others[q, k], points[p + 1, k]
            more[i] = _turn(mine, 0, theirs, 0) - _turn(points, p, others, q)
    return more


@inner
def _block(sums: Floats, rows: tuple[int, int], columns: tuple[int, int]) -> float:
    above = sums[rows[0], columns[1]] - sums[rows[0], columns[0]]
    return float(sums[rows[1], columns[1]] - sums[rows[1], columns[0]] - above)


@inner
def _exchange(weave: Weave, a: int, b: int, at: Stretches) -> None:
    """Let two strings exchange the points between two places."""
    i, j, p, q = at
    _about_parts(weave, (a, i, j), (b, p, q), -1.0)
    sizes, more = (weave.sizes[a], weave.sizes[b]), q - p - j + i
    _swap(weave.points[a], weave.points[b], at, sizes, 1)
    _swap(weave.gates[a][:, None], weave.gates[b][:, None], at, sizes, 1)
    _swap(weave.turns[a], weave.turns[b], at, sizes, 0)
    weave.sizes[a] += more
    weave.sizes[b] -= more
    _clear(weave, a)
    _clear(weave, b)
    _about_parts(weave, (a, i, j + more), (b, p, q - more), 1.0)
    _fill(weave, a, b)


@inner
def _swap(one: Floats, other: Floats, at: Stretches, sizes: tuple[int, int], first: int) -> None:
    """Exchange what stands between two places, from the first place on or from the one after it."""
    i, j, p, q = at
    more, (n, m) = q - p - j + i, sizes
    mine, theirs = one.copy(), other.copy()
    _put(one, i + first, theirs, p + first, q)
    _put(one, j + more, mine, j, n)
    _put(other, p + first, mine, i + first, j)
    _put(other, q - more, theirs, q, m)


@inner
def _put(rows: Floats, first: int, others: Floats, begin: int, end: int) -> None:
    """Write some of others' rows."""
    for k in range(end - begin):
        for column in range(rows.shape[1]):
            rows[first + k, column] = others[begin + k, column]


@inner
def _clear(weave: Weave, a: int) -> None:
    """Write that a string does not wind behind its last chord."""
    for k in range(weave.sizes[a], weave.turns.shape[1]):
        for c in range(weave.turns.shape[2]):
            weave.turns[a, k, c] = 0.0


@inner
def _about_parts(weave: Weave, one: tuple[int, int, int], other: tuple[int, int, int], sign: float) -> None:
    """Add how two parts wind about all beside them to what is known of these, or take it away."""
    for c in range(len(weave.sizes)):
        if weave.beside[one[0], c] and c != other[0]:
            _part(weave, one, c, sign)
            _part(weave, other, c, sign)


@inner
def _part(weave: Weave, part: tuple[int, int, int], c: int, sign: float) -> None:
    """Add how a part of a string winds about another to what is known of this, or take it away."""
    a, begin, end = part
    points, others = weave.points[a], weave.points[c]
    its = np.zeros(weave.sizes[c] - 1)
    for p in range(begin, end):
        own = 0.0
        for q in range(len(its)):
            turn = _turn(points, p, others, q)
            its[q] += turn
            own += turn
        weave.turns[a, p, c] = own
    for q in range(len(its)):
        weave.turns[c, q, a] += sign * its[q]


@inner
def _turn(points: Floats, i: int, others: Floats, j: int) -> float:
    """Return how a chord winds about another; far apart, as if all of each were in its middle."""
    px, py, pz = points[i, 0], points[i, 1], points[i, 2]
    qx, qy, qz = others[j, 0], others[j, 1], others[j, 2]
    ax, ay, az = points[i + 1, 0] - px, points[i + 1, 1] - py, points[i + 1, 2] - pz
    bx, by, bz = others[j + 1, 0] - qx, others[j + 1, 1] - qy, others[j + 1, 2] - qz
    dx, dy, dz = px - qx + 0.5 * (ax - bx), py - qy + 0.5 * (ay - by), pz - qz + 0.5 * (az - bz)
    square = dx * dx + dy * dy + dz * dz
    if square > FAR * FAR * max(ax * ax + ay * ay + az * az, bx * bx + by * by + bz * bz):
        volume = dx * (ay * bz - az * by) + dy * (az * bx - ax * bz) + dz * (ax * by - ay * bx)
        return float(volume / (4.0 * math.pi * square * math.sqrt(square)))
    return _exactly(points, i, others, j)


@inner
def _exactly(points: Floats, i: int, others: Floats, j: int) -> float:
    """Return how a chord winds about another."""
    a, b = _sight(points, i, others, j), _sight(points, i + 1, others, j)
    c, d = _sight(points, i, others, j + 1), _sight(points, i + 1, others, j + 1)
    if min(a[3], b[3], c[3], d[3]) <= 0.0:
        return 0.0
    return (half_area(a, d, c) + half_area(a, b, d)) / (2.0 * math.pi)


@inner
def _sight(points: Floats, i: int, others: Floats, j: int) -> Sight:
    x, y, z = others[j, 0] - points[i, 0], others[j, 1] - points[i, 1], others[j, 2] - points[i, 2]
    far = math.sqrt(x * x + y * y + z * z)
    if far > 0.0:
        return x / far, y / far, z / far, far
    return 0.0, 0.0, 0.0, 0.0
