"""How is the choice of ways posed as a programme with whole numbers, and solved?

A variable for every way (columns of ways.py), 1 where it is chosen. Tubes that are neighbours in a chain pay
for every label of the one that the other has not; this form has nearly whole answers even where fractions are
allowed, so that the relaxed programme gives a good bound, and shows which ways are worth a closer look: tubes
that it gives one way whole keep that way, and only the others are chosen among in whole numbers. Where that
misses what is promised, more ways are looked at.

The solver has one thread, a fixed seed and a limit on its steps, none on its time: same input, same answer.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, linprog, milp
from scipy.sparse import csr_array, eye_array, hstack, vstack

from routeviz.geometry.arrays import Floats, Ints
from routeviz.planning.ways import LEFT_OUT, Columns

PROMISED = 0.01  # how far above the bound an answer may be before more ways are looked at, as a share
SOLVED_TO = 0.2, 0.5  # where the solver stops, at the first look and later, as a share of what is promised
MARGIN = 0.25  # of a change, by which ways may be too dear and are kept: saves another turn
OVERLOOKED = 0.0005  # of the bound, by which it may be lowered for ways that were not looked at
NODES = 200  # of the solver's tree, where all of few ways are looked at; else only its root
NEXT_BEST = 2  # ways looked at for a tube to which the relaxed programme gives no way whole, if it has fewer
WIDER = 10  # the same for every tube, where that was too narrow
FEW = 400  # ways of all tubes together that are all looked at if need be
WHOLE = 0.999  # share of a way from which it counts as given whole
SLIGHT = 1e-6  # the solver's own tolerance, for sums of sizes and shares of ways


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """What holds for a choice, and what it costs beyond the ways' own costs.

    Parameters
    ----------
    limits : array, shape (p,)
        What a passage may hold, in largest tubes.
    found : array, shape (p,)
        What the kinks and ``beyond`` are counted from.
    kinks : tuple of (float, float)
        From which share of what was found on every further tube costs how many millimetres; rising in both.
    pairs : array, shape (q, 2)
        Tubes whose ways should be through the same passages.
    change : float
        Millimetres for a pair of which that is not so.
    left_out : int
        How many tubes may be left out.
    beyond : float
        How much all passages together may be filled beyond what was found; inf where only their limits count.
    """

    limits: Floats
    found: Floats
    kinks: tuple[tuple[float, float], ...]
    pairs: Ints
    change: float
    left_out: int = 0
    beyond: float = np.inf


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What was chosen.

    Parameters
    ----------
    chosen : array, shape (n,)
        A column for each tube that has one, in the order of tubes.
    cost : float
        Of ways, changes and fullness.
    bound : float
        Which no choice undercuts.
    """

    chosen: Ints
    cost: float
    bound: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Programme:
    """Least ``costs @ v`` with ``equal @ v = 1``, ``at_most @ v <= limits``, v >= 0, the first m whole."""

    costs: Floats
    equal: csr_array
    at_most: csr_array
    limits: Floats
    columns: int
    changes: int
    fills: int


@dataclass(frozen=True, slots=True, kw_only=True)
class _Relaxed:
    """The least cost where fractions are allowed, and for each column its share and what using it would add.

    Prices are of a place in each passage, last of leaving a tube out. Columns that are not ``kept`` can be of
    no use, and were not looked at.
    """

    bound: float
    shares: Floats
    adds: Floats
    prices: Floats
    kept: NDArray[np.bool_]


def least_cost(
    columns: Columns, terms: Terms, known: Ints | None = None, *, costs_are_whole: bool = False
) -> Answer | None:
    """Return a choice of ways that costs at most a hundredth more than a bound, or as near as was found.

    Parameters
    ----------
    columns : Columns
        To choose one from for each tube.
    terms : Terms
        What holds.
    known : array, shape (n,), optional
        A choice that keeps the terms; makes sure that one is found.
    costs_are_whole : bool
        Every choice costs a whole number: then the least is wanted, not one near it.

    Returns
    -------
    answer : Answer or None
        None where no choice was found.
    """
    relaxed = _relaxed(columns, terms)
    if relaxed is None:
        return None
    best, bound = None, _rounded(relaxed.bound, costs_are_whole)
    within = 0.0 if costs_are_whole else PROMISED
    for look, kept in enumerate(_looked_at(columns, relaxed, known)):
        some = columns.only(kept)
        gap = within * SOLVED_TO[min(look, 1)]
        everything = len(kept) == len(columns.owners)
        nodes = NODES if (everything and len(kept) <= FEW) or costs_are_whole else 1
        found, proven = _whole(_programme(some, terms), some.owners, gap, nodes)
        if everything:
            bound = max(bound, _rounded(proven, costs_are_whole))
        if found is not None:
            chosen = kept[found]
            cost = cost_of(columns, terms, chosen)
            if best is None or cost < best.cost:
                best = Answer(chosen=chosen, cost=cost, bound=bound)
        if best is not None and best.cost <= bound * (1.0 + within) + SLIGHT:
            break
    return None if best is None else Answer(chosen=best.chosen, cost=best.cost, bound=min(bound, best.cost))


def changes(columns: Columns, pairs: Ints, chosen: Ints) -> int:
    """Return how many pairs of tubes take different passages; a tube left out differs from none."""
    label = np.full(int(columns.owners.max(initial=-1)) + 1, LEFT_OUT)
    label[columns.owners[chosen]] = columns.labels[chosen]
    first, second = label[pairs[:, 0]], label[pairs[:, 1]]
    return int(np.sum((first != second) & (first != LEFT_OUT) & (second != LEFT_OUT)))


def loads(columns: Columns, chosen: Ints) -> Floats:
    """Return what is taken of each passage, shape (p,)."""
    # In the order of columns, one after the other: a sum that does not depend on how the library adds.
    taken = columns.takes[:, np.sort(chosen)].tocoo()
    return np.bincount(taken.coords[0], taken.data, columns.takes.shape[0]).astype(np.float64)


def cost_of(columns: Columns, terms: Terms, chosen: Ints) -> float:
    """Return what a choice costs: its ways, changes and fullness."""
    cost = float(np.sum(columns.costs[chosen])) + terms.change * changes(columns, terms.pairs, chosen)
    taken, before = loads(columns, chosen), 0.0
    for share, price in terms.kinks:
        cost += (price - before) * float(np.sum((taken - share * terms.found).clip(min=0.0)))
        before = price
    return cost


def _rounded(bound: float, costs_are_whole: bool) -> float:
    """Return a bound, raised to the next whole number where every cost is one."""
    return float(np.ceil(bound - SLIGHT)) if costs_are_whole and np.isfinite(bound) else bound


def _looked_at(columns: Columns, relaxed: _Relaxed, known: Ints | None) -> Iterator[Ints]:
    """Yield columns to choose among in whole numbers, rising, each time more."""
    own = np.zeros(len(columns.owners), dtype=np.bool_)
    own[[] if known is None else known] = True
    # Best first within each tube: by share, then by what using the way would add, then in their order.
    order = np.lexsort((relaxed.adds, -np.round(relaxed.shares, 6), columns.owners))
    rank = np.empty(len(order), dtype=np.int64)
    rank[order] = np.arange(len(order)) - np.searchsorted(columns.owners, columns.owners)
    used = relaxed.shares > SLIGHT
    settled = np.isin(columns.owners, columns.owners[relaxed.shares > WHOLE])
    yield np.flatnonzero(np.where(settled, rank == 0, used | (relaxed.kept & (rank < NEXT_BEST))))
    if len(columns.owners) <= FEW:
        yield np.arange(len(columns.owners))
    else:
        yield np.flatnonzero(used | own | (relaxed.kept & (rank < WIDER)))


def _programme(columns: Columns, terms: Terms) -> _Programme:
    """Pose the choice; variables are the columns, then changes of pairs, then fill beyond each kink."""
    count = len(columns.owners)
    tubes, rows = np.unique(columns.owners, return_inverse=True)
    equal = csr_array((np.ones(count), (rows, np.arange(count))), shape=(len(tubes), count))
    differing = _differing(columns, terms)
    filling, free, prices = _filling(columns, terms)
    widths = (count, differing.shape[0], len(prices))
    left = csr_array((columns.labels == LEFT_OUT).astype(np.float64)[None, :])
    at_most = [
        _side_by_side((columns.takes, None, None), widths),
        _side_by_side((left, None, None), widths),
        _side_by_side((differing, csr_array(-eye_array(widths[1])), None), widths),
        _side_by_side((filling, None, csr_array(-eye_array(widths[2]))), widths),
    ]
    limits = [terms.limits, np.array([float(terms.left_out)]), np.zeros(widths[1]), free]
    if np.isfinite(terms.beyond):
        at_full = np.zeros((1, widths[2]))
        at_full[0, -len(terms.limits) :] = 1.0
        at_most.append(_side_by_side((None, None, csr_array(at_full)), widths))
        limits.append(np.array([terms.beyond]))
    return _Programme(
        costs=np.concatenate([columns.costs, np.full(widths[1], terms.change), prices]),
        equal=_side_by_side((equal, None, None), widths),
        at_most=csr_array(vstack(at_most)),
        limits=np.concatenate(limits),
        columns=count,
        changes=widths[1],
        fills=widths[2],
    )


def _side_by_side(parts: tuple[csr_array | None, ...], widths: tuple[int, ...]) -> csr_array:
    """Return rows over all variables from what they have of each kind of variable."""
    rows = next(part.shape[0] for part in parts if part is not None)
    whole = [csr_array((rows, w)) if part is None else part for part, w in zip(parts, widths, strict=True)]
    return csr_array(hstack(whole))


def _differing(columns: Columns, terms: Terms) -> csr_array:
    """Return what each label of a pair's first tube has over its second, shape (r, m)."""
    count, tubes = len(columns.owners), int(columns.owners.max(initial=-1)) + 1
    if terms.change == 0.0 or len(terms.pairs) == 0 or count == 0:
        return csr_array((0, count))
    # The column of each tube and label; the last is for being left out.
    column_of = np.full((tubes, int(columns.labels.max()) + 2), -1)
    column_of[columns.owners, columns.labels] = np.arange(count)
    starts = np.searchsorted(columns.owners, np.arange(tubes + 1))
    own = [np.arange(starts[first], starts[first + 1]) for first in terms.pairs[:, 0]]
    seconds = np.repeat(terms.pairs[:, 1], [len(some) for some in own])
    firsts = np.concatenate(own)
    placed = columns.labels[firsts] != LEFT_OUT
    firsts, seconds = firsts[placed], seconds[placed]
    rows = np.arange(len(firsts))
    # A second tube that is left out has every label.
    same, left = column_of[seconds, columns.labels[firsts]], column_of[seconds, LEFT_OUT]
    entries = [
        (rows, firsts, 1.0),
        (rows[same >= 0], same[same >= 0], -1.0),
        (rows[left >= 0], left[left >= 0], -1.0),
    ]
    values = np.concatenate([np.full(len(at), value) for at, _, value in entries])
    places = np.concatenate([at for at, _, _ in entries]), np.concatenate([of for _, of, _ in entries])
    return csr_array((values, places), shape=(len(rows), count))


def _filling(columns: Columns, terms: Terms) -> tuple[csr_array, Floats, Floats]:
    """Return what is taken of each passage, once a kink; where the kink lies; what is added from there on."""
    shares = [share for share, _ in terms.kinks]
    prices = np.diff([0.0, *(price for _, price in terms.kinks)]).tolist()
    if np.isfinite(terms.beyond):
        # The last rows are for all that is beyond what was found.
        shares, prices = [*shares, 1.0], [*prices, 0.0]
    if not shares:
        return csr_array((0, len(columns.owners))), np.empty(0), np.empty(0)
    filling = csr_array(vstack([columns.takes] * len(shares)))
    return filling, np.outer(shares, terms.found).ravel(), np.repeat(prices, len(terms.found))


def _relaxed(columns: Columns, terms: Terms) -> _Relaxed | None:
    """Return the answer with fractions, None where there is none."""
    # At the prices of an answer, a way that is dearer than another of the same tube by more than all changes
    # that the tube can be part of is of no use: the other may be taken instead. So ways are left out by the
    # prices of an answer without changes, and taken in again until those left out could save next to nothing
    # at the prices of the answer without them. What they could is taken off the bound: it holds for all ways.
    everything = np.ones(len(columns.owners), dtype=np.bool_)
    relaxed = _solved(columns, replace(terms, change=0.0), everything)
    if relaxed is None or terms.change == 0.0:
        return relaxed
    beside = np.bincount(terms.pairs.ravel(), minlength=int(columns.owners.max()) + 1)
    changing = beside.astype(np.float64) * terms.change
    kept = _saves(columns, relaxed, changing) > -MARGIN * terms.change
    while (relaxed := _solved(columns, terms, kept)) is not None:
        saves = np.where(kept, 0.0, _saves(columns, relaxed, changing).clip(min=0.0))
        most = np.zeros(len(changing))
        np.maximum.at(most, columns.owners, saves)
        if float(np.sum(most)) <= OVERLOOKED * relaxed.bound:
            return replace(relaxed, bound=relaxed.bound - float(np.sum(most)))
        kept = kept | (saves > 0.0)
    return None


def _saves(columns: Columns, relaxed: _Relaxed, changing: Floats) -> Floats:
    """Return what each column saves at most over the cheapest of its tube that was looked at, shape (m,)."""
    paid = columns.costs + columns.takes.T @ relaxed.prices[:-1]
    paid = paid + (columns.labels == LEFT_OUT) * relaxed.prices[-1]
    least = np.full(len(changing), np.inf)
    np.minimum.at(least, columns.owners[relaxed.kept], paid[relaxed.kept])
    return np.where(columns.labels == LEFT_OUT, np.inf, (least + changing)[columns.owners] - paid)


def _solved(columns: Columns, terms: Terms, kept: NDArray[np.bool_]) -> _Relaxed | None:
    """Return the answer with fractions for some of the columns, None where there is none."""
    some = np.flatnonzero(kept)
    programme = _programme(columns.only(some), terms)
    result = linprog(  # type: ignore[call-overload]  # the stubs know no sparse arrays here
        programme.costs,
        A_eq=programme.equal,
        b_eq=np.ones(programme.equal.shape[0]),
        A_ub=programme.at_most,
        b_ub=programme.limits,
        method="highs-ds",
    )
    if result.status != 0:
        return None
    shares, adds = np.zeros(len(kept)), np.full(len(kept), np.inf)
    shares[some] = result.x[: len(some)]
    adds[some] = result.lower.marginals[: len(some)]
    # Rows are passages, leaving out, changes, and passages again for each kink.
    passages, duals = len(terms.limits), -result.ineqlin.marginals
    filling = duals[passages + 1 + programme.changes :][: programme.fills]
    filling = filling.reshape(len(filling) // max(passages, 1), passages)
    prices = np.append(duals[:passages] + np.sum(filling, axis=0), duals[passages])
    return _Relaxed(bound=float(result.fun), shares=shares, adds=adds, prices=prices, kept=kept)


def _whole(programme: _Programme, owners: Ints, gap: float, nodes: int) -> tuple[Ints | None, float]:
    """Return a column for each tube that has one, None where none was found; and a bound."""
    whole = np.zeros(len(programme.costs), dtype=np.int64)
    whole[: programme.columns] = 1
    result = milp(
        programme.costs,
        integrality=whole,
        bounds=Bounds(0.0, np.where(whole > 0, 1.0, np.inf)),
        constraints=[
            LinearConstraint(programme.equal, 1.0, 1.0),
            LinearConstraint(programme.at_most, -np.inf, programme.limits),
        ],
        # With presolve, the solver now and then writes to standard output, whatever it is told.
        options={"mip_rel_gap": gap, "node_limit": nodes, "presolve": False},
    )
    if result.x is None:
        return None, -np.inf
    # Of each tube's columns the one that is 1.
    order = np.lexsort((-np.round(result.x[: programme.columns]), owners))
    chosen = order[np.unique(owners, return_index=True)[1]]
    return chosen, float(result.mip_dual_bound)
