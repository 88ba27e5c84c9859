"""Which tubes should exchange a stretch of their ways, as they wind about each other there?

Where two cross twice by the same hand, each takes between the crossings where the other lay: nobody else has
to give way for it, and the two do not cross at all. The search for such stretches is in interweaving.py.
"""

import itertools
from collections.abc import Mapping, Sequence

import numpy as np
from scipy.spatial import cKDTree

from routeviz.geometry.arrays import Floats, Ints
from routeviz.planning.dealing import Gate
from routeviz.planning.interweaving import FREE, HELD, WOUND, Weave, fill_turns, unwind
from routeviz.planning.relaxing import stretches_of
from routeviz.planning.strings import Strings
from routeviz.planning.threading import Stretch

REACH = 2.5  # outside diameters between middles within which two may change over
NEAR = 2.5  # outside diameters between points within which two can be wound about each other
LONGER = 1.2  # share of the longest string's points that any may grow to
MOST_TURNS = 6  # through all pairs: few are needed, and the work is bounded

Gates = Mapping[int, Sequence[Gate]]


def unwound(
    strings: Strings, own: Sequence[int], gates: Gates
) -> tuple[list[list[Stretch]], dict[int, list[Gate]]]:
    """Return strings that wind less about each other, and the gates that they go through then.

    Parameters
    ----------
    strings : Strings
        As they lie.
    own : sequence of int
        For each string the stations' tube; others that follow stand still.
    gates : mapping of sequence of Gate
        By the stations' tube.

    Returns
    -------
    strands : list of list of Stretch
        Each string's stretches.
    gates : dict of list of Gate
        As given, but for those that were exchanged.
    """
    count, numbered = len(own), [gate for tube in own for gate in gates[tube]]
    firsts = strings.firsts[: count + 1]
    rows = list(itertools.pairwise(firsts.tolist()))
    most = int(LONGER * max(b - a for a, b in rows))
    points, marks = np.zeros((count, most, 3)), np.full((count, most), HELD)
    begun = 0
    for number, (a, b) in enumerate(rows):
        points[number, : b - a] = strings.points[a:b]
        marks[number, : b - a] = _marks(strings.free[a:b], begun)
        begun += len(gates[own[number]])
    outside = 2 * float(np.median(strings.radii[:count]))
    weave = Weave(
        points=points,
        sizes=np.diff(firsts),
        gates=marks,
        codes=np.array([2 * gate.passage + (gate.sense > 0) for gate in numbered], dtype=np.int64),
        kinds=_kinds(strings, count),
        beside=_beside(strings, count, NEAR * outside),
        turns=np.zeros((count, most, count)),
        reach=REACH * outside,
    )
    _interweave(weave)
    used = np.arange(most) < weave.sizes[:, None]
    laid = strings._replace(
        points=weave.points[used],
        free=(weave.gates[used] == FREE).astype(np.float64),
        firsts=np.append(0, np.cumsum(weave.sizes)),
    )
    through = {tube: list(chain) for tube, chain in gates.items()}
    for number, tube in enumerate(own):
        met = [int(gate) for gate, _ in itertools.groupby(weave.gates[number][used[number]]) if gate >= 0]
        through[tube] = [numbered[gate] for gate in met]
    return stretches_of(laid, count), through


def _interweave(weave: Weave) -> None:
    """Let strings exchange stretches, the most wound first, as long as that unwinds them."""
    fill_turns(weave)
    alike = weave.kinds[:, None] == weave.kinds
    for _ in range(MOST_TURNS):
        winding = np.abs(weave.turns.sum(axis=1))
        pairs = np.argwhere(np.triu((weave.beside > 0) & alike & (winding > WOUND)))
        worst_first = np.argsort(-winding[pairs[:, 0], pairs[:, 1]], kind="stable")
        done = [unwind(weave, one, other) for one, other in pairs[worst_first].tolist()]
        if not any(done):
            return


def _marks(free: Floats, begun: int) -> Ints:
    """Return for each point of a string the number of the gate that holds it, counted on from a number."""
    held = free == 0
    starts = held & ~np.append(True, held[:-1])
    inside = held & (np.cumsum(~held) > 0) & (np.cumsum(~held[::-1])[::-1] > 0)
    number = begun + np.cumsum(starts & inside) - 1
    return np.asarray(np.where(inside, number, np.where(held, HELD, FREE)))


def _kinds(strings: Strings, count: int) -> Ints:
    both = np.column_stack([strings.radii[:count], strings.bends[:count]])
    return np.asarray(np.unique(both, axis=0, return_inverse=True)[1].ravel())


def _beside(strings: Strings, count: int, reach: float) -> Ints:
    """Return 1 where strings have points near each other's, else 0."""
    last = strings.firsts[count]
    pairs = cKDTree(strings.points[:last]).query_pairs(reach, output_type="ndarray")
    beside = np.zeros((count, count), dtype=np.int64)
    first, second = strings.owners[pairs[:, 0]], strings.owners[pairs[:, 1]]
    beside[first, second] = beside[second, first] = 1
    np.fill_diagonal(beside, 0)
    return beside
