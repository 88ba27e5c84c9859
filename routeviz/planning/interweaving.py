"""Two strings that wind about each other exchange a stretch of their ways, where that unwinds them.

Whose strings these are, and which passages they go through, is put together in unwinding.py. Numbers are
written one by one: to compile that a slice is assigned takes seconds.
"""

import math
from typing import NamedTuple

import numpy as np

from routeviz.geometry.arrays import Floats, Ints
from routeviz.geometry.compiled import compiled, inner
from routeviz.geometry.winding import fill_row, measure_chords

ONCE = 0.5  # turns of two tubes that cross once: less cannot be asked of them
WOUND = 0.7  # turns from which on two are wound about each other
BETTER = 0.12  # turns that an exchange must gain, over all whom the two meet: less is not worth the change
DEALT = 0.4  # turns that it must gain more for each place in a passage: these were dealt out in order
HOPELESS = 2.0  # turns that others may gain at most by what the two themselves lose by
FREE, HELD = -1, -2

Stretches = tuple[int, int, int, int]  # where one's begins and ends, and the other's


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
    own, other, row = _chords(weave, a), _chords(weave, b), np.empty(weave.sizes[b] - 1)
    its = np.zeros(len(row))
    for i in range(weave.sizes[a] - 1):
        fill_row(own, i, other, row)
        total = 0.0
        for j in range(len(row)):
            total += row[j]
            its[j] += row[j]
        weave.turns[a, i, b] = total
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
    sums = np.zeros((weave.sizes[a], weave.sizes[b]))
    own, other, row = _chords(weave, a), _chords(weave, b), np.empty(weave.sizes[b] - 1)
    for i in range(weave.sizes[a] - 1):
        fill_row(own, i, other, row)
        for j in range(len(row)):
            sums[i + 1, j + 1] = sums[i, j + 1] + sums[i + 1, j] - sums[i, j] + row[j]
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
    more, row = np.zeros(len(over)), np.empty(1)
    for i in range(len(over)):
        if over[i] >= 0:
            p, q = i + chord, over[i] + chord
            mine, theirs = _part(weave, both[0], p, p + 1), _part(weave, both[1], q, q + 1)
            fill_row(mine, 0, theirs, row)
            more[i] = -row[0]
            for k in range(3):
                mine[k, 1], theirs[k, 1] = theirs[k, 1], mine[k, 1]
            measure_chords(mine)
            measure_chords(theirs)
            fill_row(mine, 0, theirs, row)
            more[i] += row[0]
    return more


@inner
def _block(sums: Floats, rows: tuple[int, int], columns: tuple[int, int]) -> float:
    above = sums[rows[0], columns[1]] - sums[rows[0], columns[0]]
    return float(sums[rows[1], columns[1]] - sums[rows[1], columns[0]] - above)


@inner
def _exchange(weave: Weave, a: int, b: int, at: Stretches) -> None:
    """Let two strings exchange the points between two places."""
    i, j, p, q = at
    sizes, more = (weave.sizes[a], weave.sizes[b]), q - p - j + i
    mine, theirs = _part(weave, a, i, j), _part(weave, b, p, q)
    _swap(weave.points[a], weave.points[b], at, sizes, 1)
    _swap(weave.gates[a][:, None], weave.gates[b][:, None], at, sizes, 1)
    _swap(weave.turns[a], weave.turns[b], at, sizes, 0)
    weave.sizes[a] += more
    weave.sizes[b] -= more
    _clear(weave, a)
    _clear(weave, b)
    taken, given = _part(weave, a, i, j + more), _part(weave, b, p, q - more)
    for c in range(len(weave.sizes)):
        if weave.beside[a, c] and c != b:
            own, its = _rows(weave, mine, c), _rows(weave, theirs, c)
            _add(weave, (c, a), own, -1.0)
            _add(weave, (c, b), its, -1.0)
            _tell(weave, (a, i, c), taken, its)
            _tell(weave, (b, p, c), given, own)
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
def _tell(weave: Weave, at: tuple[int, int, int], part: Floats, rows: Floats) -> None:
    """Note how a part that a string has got winds about another; its first and its last chord are new."""
    a, begin, c = at
    other, last = _chords(weave, c), len(rows) - 1
    fill_row(part, 0, other, rows[0])
    fill_row(part, last, other, rows[last])
    for i in range(last + 1):
        total = 0.0
        for j in range(rows.shape[1]):
            total += rows[i, j]
        weave.turns[a, begin + i, c] = total
    _add(weave, (c, a), rows, 1.0)


@inner
def _add(weave: Weave, pair: tuple[int, int], rows: Floats, sign: float) -> None:
    """Add how a part of another winds about a string to what is known of this, or take it away."""
    total = np.zeros(rows.shape[1])
    for i in range(len(rows)):
        for j in range(len(total)):
            total[j] += rows[i, j]
    for j in range(len(total)):
        weave.turns[pair[0], j, pair[1]] += sign * total[j]


@inner
def _rows(weave: Weave, part: Floats, c: int) -> Floats:
    """Return how each chord of a part winds about each of a string."""
    other, rows = _chords(weave, c), np.empty((part.shape[1] - 1, weave.sizes[c] - 1))
    for i in range(len(rows)):
        fill_row(part, i, other, rows[i])
    return rows


@inner
def _chords(weave: Weave, a: int) -> Floats:
    return _part(weave, a, 0, weave.sizes[a] - 1)


@inner
def _part(weave: Weave, a: int, begin: int, end: int) -> Floats:
    """Return the points of a part of a string, and what ``measure_chords`` says of its chords."""
    part = np.zeros((7, end - begin + 1))
    for k in range(3):
        for i in range(end - begin + 1):
            part[k, i] = weave.points[a, begin + i, k]
    measure_chords(part)
    return part
