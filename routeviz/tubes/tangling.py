"""How tangled a lay is: which tubes wind about each other, cross, or change sides on their way.

None of this is a fault; it says how well a lay can be followed by eye and taken apart again. Three measures,
as none sees all:

- Winding of two tubes: the Gauss linking integral of their centrelines, without its sign. It is the mean over
  all directions of view of half the crossings seen, those of one hand counted against those of the other: a
  full turn about each other gives 1. Two that cross at most once in every view have no more than 1/2.
- A crossing: two tubes that cross in the view from the front, near each other.
- A change of sides: two tubes that join the same parts by the same passages, one clearly left of (before,
  below) the other where they begin, go through a passage or end, and clearly right of (behind, above) it at
  the next of these. There cannot be fewer than the wiring inverts the order of the rows.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.arrays import Floats, frozen
from routeviz.geometry.chains import places_on, sampled
from routeviz.geometry.crossings import plane_crossings
from routeviz.geometry.neighbours import least_between
from routeviz.geometry.winding import crossings_in_view, windings
from routeviz.tubes.nearing import Laid, laid
from routeviz.tubes.routes import End, Tube

NEAR_OUTSIDES = 2.0  # between walls: farther apart, tubes do not get into each other's way
WIDTH_MM = 1.0  # how exactly that is found
SAGITTA_MM = (
    0.5  # by which chords may miss arcs: far less than a tube is thick, so that none gets past another
)
WOUND = 0.75  # half way between 1/2, the most that a single crossing gives, and a full turn
FRONT_VIEW = (0, 2, 1)  # right and up across the view, and away from the worker

Wiring = tuple[str, tuple[str, ...], str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tangle:
    """How tangled a lay is.

    Parameters
    ----------
    crossings : int
        Pairs of tubes that cross in the view from the front, near each other.
    side_changes : int
        How often two tubes of one way change sides between its beginning, its passages and its end.
    wound_pairs : int
        Pairs wound about each other by more than ``WOUND``.
    worst_winding : float
        The most that two tubes wind about each other, in turns; 0 where none come near.
    worst : tuple of str
        The names of these two; empty where none come near.
    partings : int
        Nipples next to each other on a part, by number, whose tubes go through different passages.
    """

    crossings: int
    side_changes: int
    wound_pairs: int
    worst_winding: float
    worst: tuple[str, ...]
    partings: int


def tangle_of(cabinet: Cabinet, tubes: Sequence[Tube]) -> Tangle:
    """Return how tangled a lay is.

    Parameters
    ----------
    cabinet : Cabinet
        For its nipples and passages.
    tubes : sequence of Tube
        The lay; tubes without a centreline do not count.

    Returns
    -------
    tangle : Tangle
        All zero for a lay without tubes.
    """
    drawn = laid(tubes)
    chords = sampled(drawn.pieces, SAGITTA_MM, np.inf)
    outsides = 2 * drawn.radii
    reach = NEAR_OUTSIDES * float(outsides.max(initial=0.0))
    near = least_between(drawn.pieces, drawn.radii, reach, width=WIDTH_MM)
    pairs = np.column_stack([near.first, near.second])
    wound = np.abs(windings(chords.points, chords.firsts, pairs))
    apart = reach + outsides[pairs].mean(axis=1)
    crossed = crossings_in_view(chords.points[:, FRONT_VIEW], chords.firsts, pairs, apart)
    worst = int(np.argmax(wound)) if len(wound) else None
    names = () if worst is None else tuple(tubes[int(drawn.indices[k])].name for k in pairs[worst])
    return Tangle(
        crossings=int((crossed > 0).sum()),
        side_changes=_side_changes(cabinet, tubes, drawn),
        wound_pairs=int((wound > WOUND).sum()),
        worst_winding=0.0 if worst is None else float(wound[worst]),
        worst=names,
        partings=_partings(cabinet, tubes, drawn),
    )


def _wiring(cabinet: Cabinet, tube: Tube) -> Wiring:
    return _part(cabinet, tube.start), tube.through, _part(cabinet, tube.end)


def _part(cabinet: Cabinet, end: End) -> str:
    return "" if end.nipple is None else cabinet.nipples[end.nipple].part


def _partings(cabinet: Cabinet, tubes: Sequence[Tube], drawn: Laid) -> int:
    begun: dict[str, list[tuple[int, str, tuple[str, ...]]]] = defaultdict(list)
    for index in drawn.places:
        tube = tubes[index]
        if tube.start.nipple is not None:
            nipple = cabinet.nipples[tube.start.nipple]
            begun[nipple.part].append((nipple.number, tube.name, tube.through))
    in_turn = [sorted(one) for one in begun.values()]
    return sum(before[2] != after[2] for one in in_turn for before, after in pairwise(one))


def _side_changes(cabinet: Cabinet, tubes: Sequence[Tube], drawn: Laid) -> int:
    groups: dict[Wiring, list[int]] = defaultdict(list)
    for index, place in drawn.places.items():
        groups[_wiring(cabinet, tubes[index])].append(place)
    spots = {name: _spots(cabinet, drawn, name) for name in sorted({p for g in groups for p in g[1]})}
    every = np.arange(len(drawn.indices))
    ends = [places_on(drawn.pieces, every, along).points for along in (np.zeros(len(every)), drawn.lengths)]
    count = 0
    for (_, through, _), group in groups.items():
        stations = [ends[0][group], *(spots[name][group] for name in through), ends[1][group]]
        for before, after in pairwise(stations):
            count += _swaps(before, after, drawn.radii[group])
    return count


def _spots(cabinet: Cabinet, drawn: Laid, name: str) -> Floats:
    """Return where each tube first goes through a passage; nan where it does not."""
    passage = cabinet.passages[name]
    crossed = plane_crossings(drawn.pieces, passage.origin, passage.axes[2])
    points = places_on(drawn.pieces, crossed.curves, crossed.along).points
    local = (points - passage.origin) @ passage.axes[:2].T
    low, high = passage.outline.min(axis=0), passage.outline.max(axis=0)
    inside = np.nonzero(((local >= low) & (local <= high)).all(axis=1))[0]
    spots = np.full((len(drawn.indices), 3), np.nan)
    # Written from the last to the first, so that the first stays.
    spots[crossed.curves[inside[::-1]]] = points[inside[::-1]]
    return frozen(spots)


def _swaps(before: Floats, after: Floats, radii: Floats) -> int:
    """Return how many pairs change sides by more than a radius, in the direction in which they lie abreast.

    That is the direction of the case in which the tubes spread most at both places.
    """  # noqa: DOC201
    there = ~np.isnan(before).any(axis=1) & ~np.isnan(after).any(axis=1)
    if not there.any():
        return 0
    spread = np.minimum(np.ptp(before[there], axis=0), np.ptp(after[there], axis=0))
    axis = int(np.argmax(spread))
    first, second = before[there, axis], after[there, axis]
    clear = np.minimum(radii[there][:, None], radii[there])
    left_of = (first[:, None] - first) < -clear
    right_of = (second[:, None] - second) > clear
    return int((left_of & right_of).sum())
