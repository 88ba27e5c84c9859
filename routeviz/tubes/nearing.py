"""How near tubes come to solids, to spaces to be kept clear, and to each other; sleeves included.

The proofs are in geometry/sweeps.py and geometry/neighbours.py, the lengths that are excused in windows.py;
here is decided what is compared with what.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.arrays import Floats, Ints, frozen, frozen_ints
from routeviz.geometry.chains import one_after_the_other
from routeviz.geometry.neighbours import least_between
from routeviz.geometry.pieces import Pieces, joined
from routeviz.geometry.shapes import Bodies
from routeviz.geometry.sweeps import Near, asked_distances
from routeviz.tubes.measured import Buried, Nearest
from routeviz.tubes.routes import Tube
from routeviz.tubes.sleeves import NOBODY, Sleeves, as_bodies
from routeviz.tubes.windows import Windows, cut, free_lengths

LOOK_MM = 5.0  # how much farther than any limit is looked: near misses are worth knowing
WIDTH_MM = 0.02  # of an interval between two tubes; 0.05 is promised
ENTERS_MM = 0.02  # twice the width of an interval: what only touches must not seem to enter


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """Tubes with centrelines, as the distance functions take them.

    Parameters
    ----------
    indices : array of int, shape (n,)
        Which tubes they are, ascending.
    places : mapping
        Where in ``indices`` a tube stands.
    pieces : Pieces
        Their centrelines.
    radii : array, shape (n,)
        Their outside radii.
    lengths : array, shape (n,)
        Of their centrelines.
    """

    indices: Ints
    places: Mapping[int, int]
    pieces: Pieces
    radii: Floats
    lengths: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Pairs:
    """Near pairs in columns, k of them, before the nearest of each tube and other is told."""

    tubes: Ints
    others: Ints
    lows: Floats
    highs: Floats
    alongs: Floats
    travels: Floats
    points: Floats
    touches: Floats
    sleeves: NDArray[np.bool_]


def laid(tubes: Sequence[Tube]) -> Laid:
    """Return the tubes that have a centreline."""
    drawn = [(i, t.curve, t.kind.outside_mm / 2) for i, t in enumerate(tubes) if t.curve is not None]
    return Laid(
        indices=frozen_ints([i for i, _, _ in drawn]),
        places={tube: place for place, (tube, _, _) in enumerate(drawn)},
        pieces=joined([curve for _, curve, _ in drawn]),
        radii=frozen([radius for *_, radius in drawn]),
        lengths=frozen([float(curve.begins[-1]) for _, curve, _ in drawn]),
    )


def reach_mm(cabinet: Cabinet) -> float:
    """Return how far from a tube is looked: beyond the largest limit that anything asks for."""
    asked = [solid.clearance_mm or 0.0 for solid in (*cabinet.solids, *cabinet.keep_clear)]
    limits = cabinet.limits
    return max([limits.fixed_mm, limits.moving_mm, limits.tubes_mm, *asked]) + limits.survey_mm + LOOK_MM


def near_solids(
    cabinet: Cabinet, drawn: Laid, sleeves: Sleeves, windows: Windows, reach: float
) -> tuple[list[Nearest], list[Buried]]:
    """Return every tube and solid nearer than ``reach``, and the walls that enter what they may lie on.

    Carriers and what a tie holds to are measured only outside the windows; within, the wall may not enter.

    Parameters
    ----------
    cabinet, drawn, sleeves, windows
        The lay.
    reach : float
        How far is looked.

    Returns
    -------
    nearest : list of Nearest
        One a tube and solid, by tube, then by solid.
    entering : list of Buried
        One a window in which the wall is in the solid.
    """
    free = free_lengths(windows)
    counts = np.cumsum([len(drawn.indices), len(free.tubes), len(windows.tubes)])
    chain = one_after_the_other(
        drawn.pieces, cut(drawn.pieces, drawn.places, free), cut(drawn.pieces, drawn.places, windows)
    )
    tubes = np.concatenate([drawn.indices, free.tubes, windows.tubes])
    radii = np.concatenate([drawn.radii, *(_radii(drawn, part) for part in (free, windows))])
    asked = np.zeros((len(tubes) + len(sleeves.tubes), len(cabinet.solids)), dtype=bool)
    asked[: counts[0]], asked[counts[2] :] = True, True
    asked[[drawn.places[t] for t in windows.tubes.tolist()], windows.solids] = False
    asked[np.arange(counts[0], counts[1]), free.solids] = True
    asked[np.arange(counts[1], counts[2]), windows.solids] = True
    carried = np.nonzero(sleeves.carriers != NOBODY)[0]
    asked[counts[2] + carried, sleeves.carriers[carried]] = False
    near = asked_distances(
        one_after_the_other(chain, sleeves.pieces),
        np.concatenate([radii, sleeves.radii]),
        cabinet.bodies,
        asked,
        reach,
    )
    pairs = pairs_of(near, np.concatenate([tubes, sleeves.tubes]), int(counts[2]))
    within = (near.curves >= counts[1]) & (near.curves < counts[2])
    entering = _chosen(pairs, within & (near.lows < -ENTERS_MM))
    return least_of_each(_chosen(pairs, ~within)), _entering(entering)


def near_spaces(cabinet: Cabinet, drawn: Laid, sleeves: Sleeves, reach: float) -> list[Nearest]:
    """Return every tube and space to be kept clear that are nearer than ``reach``."""
    if not cabinet.keep_clear:
        return []
    asked = np.ones((len(drawn.indices) + len(sleeves.tubes), len(cabinet.keep_clear)), dtype=bool)
    return least_of_each(_with_sleeves(drawn, sleeves, cabinet.clear_bodies, asked, reach))


def near_tubes(drawn: Laid, sleeves: Sleeves, reach: float) -> list[Nearest]:
    """Return every two tubes nearer than ``reach``, the lower index first; sleeves belong to their tubes."""
    found = least_between(drawn.pieces, drawn.radii, reach, width=WIDTH_MM)
    pairs = Pairs(
        tubes=drawn.indices[found.first],
        others=drawn.indices[found.second],
        lows=found.lows,
        highs=found.highs,
        alongs=found.along_first,
        travels=np.zeros(len(found.lows)),
        points=found.points_first,
        touches=found.points_second,
        sleeves=np.zeros(len(found.lows), dtype=bool),
    )
    not_own = drawn.indices[:, None] != sleeves.tubes
    once = sleeves.tubes[:, None] < sleeves.tubes  # each two sleeves
    others = _with_sleeves(drawn, sleeves, as_bodies(sleeves), np.concatenate([not_own, once]), reach)
    return least_of_each(pairs, _lower_first(others, sleeves))


def least_of_each(*pairs: Pairs) -> list[Nearest]:
    """Return the nearest of each pair, by tube, then by the other."""
    columns = {name: np.concatenate([getattr(p, name) for p in pairs]) for name in Pairs.__slots__}
    tubes, others = columns["tubes"], columns["others"]
    order = np.lexsort((columns["lows"], others, tubes))
    new = np.ones(len(order), dtype=bool)
    new[1:] = (np.diff(tubes[order]) != 0) | (np.diff(others[order]) != 0)
    kept = order[new]
    numbers = ("tubes", "others", "lows", "highs", "alongs", "travels", "sleeves")
    points, touches = frozen(columns["points"][kept]), frozen(columns["touches"][kept])
    return [
        Nearest(
            tube=tube,
            other=other,
            low_mm=low,
            high_mm=high,
            along_mm=along,
            travel=travel,
            point=points[k],
            other_point=touches[k],
            sleeve=sleeve,
        )
        for k, (tube, other, low, high, along, travel, sleeve) in enumerate(
            zip(*(columns[name][kept].tolist() for name in numbers), strict=True)
        )
    ]


def _radii(drawn: Laid, windows: Windows) -> Floats:
    return drawn.radii[[drawn.places[tube] for tube in windows.tubes.tolist()]]


def _with_sleeves(
    drawn: Laid, sleeves: Sleeves, bodies: Bodies, asked: NDArray[np.bool_], reach: float
) -> Pairs:
    """Return how near tubes, then sleeves, come to bodies; ``asked`` has the sleeves after the tubes."""
    near = asked_distances(
        one_after_the_other(drawn.pieces, sleeves.pieces),
        np.concatenate([drawn.radii, sleeves.radii]),
        bodies,
        asked,
        reach,
    )
    return pairs_of(near, np.concatenate([drawn.indices, sleeves.tubes]), len(drawn.indices))


def pairs_of(near: Near, tubes: Ints, sleeves_from: int) -> Pairs:
    """Return what was measured in columns; ``tubes`` says whose each curve is, sleeves come last."""
    return Pairs(
        tubes=tubes[near.curves],
        others=near.bodies,
        lows=near.lows,
        highs=near.highs,
        alongs=near.alongs,
        travels=near.travels,
        points=near.points,
        touches=near.touches,
        sleeves=near.curves >= sleeves_from,
    )


def _chosen(pairs: Pairs, rows: NDArray[np.bool_]) -> Pairs:
    return Pairs(**{name: getattr(pairs, name)[rows] for name in Pairs.__slots__})


def _lower_first(pairs: Pairs, sleeves: Sleeves) -> Pairs:
    """Return what is near sleeves as pairs of tubes, the lower index first."""
    others = sleeves.tubes[pairs.others]
    turned = pairs.tubes > others
    # Where on the sleeve its nearest point is: from the tip back, which is on from either end of the tube.
    steps = sleeves.backs[pairs.others] - sleeves.tips[pairs.others]
    lengths = np.sqrt((steps * steps).sum(axis=1))
    back = ((pairs.touches - sleeves.tips[pairs.others]) * steps).sum(axis=1) / lengths
    back = np.clip(back, 0.0, lengths)
    tips = sleeves.alongs[pairs.others]
    on_axis = sleeves.tips[pairs.others] + steps * (back / lengths)[:, None]
    across = turned[:, None]
    return Pairs(
        tubes=np.where(turned, others, pairs.tubes),
        others=np.where(turned, pairs.tubes, others),
        lows=pairs.lows,
        highs=pairs.highs,
        alongs=np.where(turned, np.where(tips > 0, tips + back, -back), pairs.alongs),
        travels=pairs.travels,
        points=np.where(across, on_axis, pairs.points),
        touches=np.where(across, pairs.points, on_axis),
        sleeves=np.ones(len(turned), dtype=bool),
    )


def _entering(pairs: Pairs) -> list[Buried]:
    numbers = (pairs.tubes, pairs.others, pairs.lows, pairs.highs, pairs.alongs)
    return [
        Buried(
            tube=tube,
            solid=solid,
            length_mm=0.0,
            low_mm=low,
            high_mm=high,
            along_mm=along,
            point=frozen(pairs.points[k]),
        )
        for k, (tube, solid, low, high, along) in enumerate(zip(*(n.tolist() for n in numbers), strict=True))
    ]
