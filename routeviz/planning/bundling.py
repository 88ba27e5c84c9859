"""Which places for ties are taken: few that hold every tube, and the same across a bundle.

A fitter ties a bundle once. What a tube needs is counted in ties: every span goes on as far as it may, which
is the least number for a tube by itself. A place that is found for one is shared by those side by side with
it there, if they need no more ties for it or the tie is far from what holds them; what this makes needless
elsewhere is left out in the end. Against the least for each tube by itself, on invented cabinets of 120
tubes, that is a quarter more ties at well under half the places.
"""

from bisect import bisect_left, insort
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from routeviz.geometry.arrays import Ints
from routeviz.geometry.chains import Samples
from routeviz.planning.tie_places import FROM_AFAR_MM, ON_WOOD_MM, TiePlaces

TRIED = 6  # places that are compared for a tie
APART_MM = 80.0  # a tie so far from the next is shared though not needed: half of what a tube spans by itself
BROKEN = 1000  # ties that a span counts for which cannot be held where it must be


@dataclass(frozen=True, slots=True, kw_only=True)
class Spans:
    """What is allowed at each sample, in numbers of samples; all tubes in one.

    Parameters
    ----------
    owners : list of int
        The tube of each.
    along : list of float
        How far along it, in mm.
    farthest : list of int
        The last to which a span that begins here may go on.
    soonest : list of int
        The first from which a span that ends here may begin.
    before, after : list of int
        The last that can be tied and is not after it, the first that is not before it, on whatever tube.
    """

    owners: list[int]
    along: list[float]
    farthest: list[int]
    soonest: list[int]
    before: list[int]
    after: list[int]


def places_taken(samples: Samples, places: TiePlaces, farthest: Ints, count: int) -> list[int]:
    """Return the samples at which tubes are tied.

    Parameters
    ----------
    samples : Samples
        Of all tubes.
    places : TiePlaces
        What could be done at each of them.
    farthest : array of int, shape (n,)
        The last sample to which a tube may go on from each without a tie.
    count : int
        How many of the tubes are to be tied, the first ones; others are only tied to.

    Returns
    -------
    taken : list of int
        In ascending order.
    """
    spans = _spans(samples, farthest, _can_be_tied(samples, places, farthest, count))
    owners, firsts = spans.owners, samples.firsts.tolist()
    held = [[firsts[t], firsts[t + 1] - 1] for t in range(count)]
    ties: list[list[int]] = []
    for tube in range(count):
        while gap := _open_gap(spans, held[tube]):
            ties.append(_best(spans, gap, held, places))
            for sample in ties[-1]:
                insort(held[owners[sample]], sample)
    _leave_out(spans, held, ties)
    return [sample for one in held for sample in one[1:-1]]


def _leave_out(spans: Spans, held: list[list[int]], ties: Sequence[list[int]]) -> None:
    """Take away what has become needless: whole places, then single tubes, the smallest places first."""
    lots = sorted(ties, key=len)
    for lot in [*lots, *([sample] for tie in lots for sample in tie)]:
        own = [held[spans.owners[sample]] for sample in lot]
        if all(k in one and _is_spare(spans, one, k) for k, one in zip(lot, own, strict=True)):
            for sample, one in zip(lot, own, strict=True):
                one.remove(sample)


def _can_be_tied(samples: Samples, places: TiePlaces, farthest: Ints, count: int) -> NDArray[np.bool_]:
    """Return where tubes can be tied: to what is farther off only those that nothing nearer can hold."""
    near = places.handy & (places.bundled | (places.off_mm <= ON_WOOD_MM))
    afar = places.handy & (places.off_mm <= FROM_AFAR_MM)
    spans = _spans(samples, farthest, near)
    firsts = samples.firsts.tolist()
    broken = np.zeros(len(firsts) - 1, dtype=bool)
    for tube in range(count):
        broken[tube] = _needed(spans, firsts[tube], firsts[tube + 1] - 1) >= BROKEN
    return np.asarray(near | (afar & broken[samples.owners]))


def _spans(samples: Samples, farthest: Ints, tied: NDArray[np.bool_]) -> Spans:
    numbers = np.arange(len(farthest))
    places = np.nonzero(tied)[0]
    bounds = np.concatenate([[-1], places, [len(farthest)]])
    return Spans(
        owners=samples.owners.tolist(),
        along=samples.along.tolist(),
        farthest=farthest.tolist(),
        soonest=np.searchsorted(farthest, numbers).tolist(),
        before=bounds[np.searchsorted(places, numbers, side="right")].tolist(),
        after=bounds[np.searchsorted(places, numbers) + 1].tolist(),
    )


def _needed(spans: Spans, begin: int, end: int) -> int:
    """Return how many ties a tube needs between two places that are held."""
    count = 0
    while spans.farthest[begin] < end:
        tie = spans.before[spans.farthest[begin]]
        if tie <= begin:
            count += BROKEN
            tie = spans.after[begin + 1]
        if tie >= end:
            break
        count += 1
        begin = tie
    return count


def _open_gap(spans: Spans, held: Sequence[int]) -> tuple[int, int] | None:
    """Return the first two neighbours of what holds a tube between which a tie is missing and can be made."""
    for k in range(len(held) - 1):
        if spans.farthest[held[k]] < held[k + 1] and spans.after[held[k] + 1] < held[k + 1]:
            return held[k], held[k + 1]
    return None


def _window(spans: Spans, begin: int, end: int) -> tuple[int, int]:
    """Return the first and the last place for the next tie with which no more are needed than must be."""
    last = spans.before[spans.farthest[begin]]
    if last <= begin:
        last = spans.after[begin + 1]
        return last, last
    first = end
    while spans.soonest[first] > begin:
        tie = spans.after[spans.soonest[first]]
        if tie >= first:
            return last, last
        first = tie
    return min(first, last), last


def _best(
    spans: Spans,
    gap: tuple[int, int],
    held: Sequence[Sequence[int]],
    places: TiePlaces,
) -> list[int]:
    """Return the samples that the next tie holds: on wood where it can be, and where it serves most tubes."""
    first, last = _window(spans, *gap)
    able = [k for k in range(first, last + 1) if spans.before[k] == k]
    able = [k for k in able if places.off_mm[k] <= ON_WOOD_MM] or able
    tried = {able[round(i * (len(able) - 1) / (TRIED - 1))] for i in range(TRIED)}
    # Of equally good ones that with which the ties to come can be spread most evenly.
    even = last - (last - first) / (_needed(spans, *gap) + 1)
    in_turn = sorted(tried, key=lambda k: (abs(k - even), k))
    served = [_served(spans, k, held, places) for k in in_turn]
    return max(served, key=lambda tie: (any(places.off_mm[k] <= ON_WOOD_MM for k in tie), len(tie)))


def _served(spans: Spans, lead: int, held: Sequence[Sequence[int]], places: TiePlaces) -> list[int]:
    """Return the samples side by side at a place, of the tubes that share it; the lead's first."""
    owners = spans.owners
    found = {owners[lead]: lead}
    queue = [lead]
    for sample in queue:
        for other in places.beside[sample]:
            tube = owners[other]
            if tube < len(held) and tube not in found:
                found[tube] = other
                queue.append(other)
    return [lead, *(k for k in queue[1:] if _is_served(spans, held[owners[k]], k))]


def _is_served(spans: Spans, held: Sequence[int], sample: int) -> bool:
    place = bisect_left(held, sample)
    if spans.before[sample] != sample or held[place] == sample:
        return False
    begin, end = held[place - 1], held[place]
    if spans.farthest[begin] >= end:
        return False
    if min(spans.along[sample] - spans.along[begin], spans.along[end] - spans.along[sample]) >= APART_MM:
        return True
    with_it = _needed(spans, begin, sample) + 1 + _needed(spans, sample, end)
    return with_it <= _needed(spans, begin, end)


def _is_spare(spans: Spans, held: Sequence[int], sample: int) -> bool:
    place = bisect_left(held, sample)
    return spans.farthest[held[place - 1]] >= held[place + 1]
