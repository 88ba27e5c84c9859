"""How near tubes come to solids, to spaces to be kept clear, and to each other; sleeves included.

The proofs are in geometry/sweeps.py and geometry/neighbours.py; here is decided what is compared with what.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from routeviz.cabinet.motions import Fixed
from routeviz.cabinet.solids import Cabinet, Solid
from routeviz.geometry.arrays import Floats
from routeviz.geometry.curves import Curve, points_along, trimmed
from routeviz.geometry.neighbours import least_between
from routeviz.geometry.shapes import Bodies
from routeviz.geometry.sweeps import Near, distances_of_pairs, least_distances, wall_enters
from routeviz.tubes.measured import Buried, Nearest
from routeviz.tubes.routes import Tube
from routeviz.tubes.sleeves import Sleeve, as_bodies, place_on_tube

LOOK_MM = 5.0  # how much farther than any limit is looked: near misses are worth knowing
WIDTH_MM = 0.02  # of an interval between two tubes; 0.05 is promised
TIE_MM = 10.0  # width of a tie; common practice, no source
LEAST_MM = 1e-3  # shorter lengths of tube are not worth measuring by themselves


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """A length of a tube that need not keep off a solid: next to its nipple there, or under a tie."""

    tube: int
    solid: int
    from_mm: float
    to_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """Tubes with centrelines, as the distance functions take them.

    Parameters
    ----------
    indices : tuple of int
        Which tubes they are.
    curves : tuple of Curve
        Their centrelines.
    radii : array, shape (n,)
        Their outside radii.
    """

    indices: tuple[int, ...]
    curves: tuple[Curve, ...]
    radii: Floats


def laid(tubes: Sequence[Tube]) -> Laid:
    """Return the tubes that have a centreline."""
    drawn = [(i, t.curve, t.kind.outside_mm / 2) for i, t in enumerate(tubes) if t.curve is not None]
    return Laid(
        indices=tuple(i for i, _, _ in drawn),
        curves=tuple(c for _, c, _ in drawn),
        radii=np.array([r for _, _, r in drawn], dtype=np.float64),
    )


def reach_mm(cabinet: Cabinet) -> float:
    """Return how far from a tube is looked: beyond the largest limit that anything asks for."""
    asked = [solid.clearance_mm or 0.0 for solid in (*cabinet.solids, *cabinet.keep_clear)]
    limits = cabinet.limits
    return max([limits.fixed_mm, limits.moving_mm, *asked]) + limits.survey_mm + LOOK_MM


def windows_of(cabinet: Cabinet, tubes: Sequence[Tube]) -> tuple[Window, ...]:
    """Return where tubes are excused from keeping off a solid: next to its nipple there, and under a tie.

    Next to a nipple it is one outside diameter, or the clearance that the solid asks for and half
    the outside diameter, whichever is more. Under a tie it is the tie's width and one outside diameter to
    each side, on what stands still.

    Parameters
    ----------
    cabinet, tubes
        The lay.

    Returns
    -------
    windows : tuple of Window
        By tube.
    """
    found = []
    for index, tube in enumerate(tubes):
        if tube.curve is None:
            continue
        length = float(tube.curve.begins[-1])
        outside = tube.kind.outside_mm
        for end, at_start in ((tube.start, True), (tube.end, False)):
            carrier = cabinet.nipples[end.nipple].carrier if end.nipple else None
            if carrier is not None:
                asked = max(cabinet.limits.fixed_mm, cabinet.solids[carrier].clearance_mm or 0.0)
                free = min(max(outside, asked + outside / 2), length)
                from_mm, to_mm = (0.0, free) if at_start else (length - free, length)
                found.append(Window(tube=index, solid=carrier, from_mm=from_mm, to_mm=to_mm))
        for tie in tube.ties:
            reach = TIE_MM / 2 + outside
            from_mm, to_mm = max(tie.along_mm - reach, 0.0), min(tie.along_mm + reach, length)
            for solid, one in enumerate(cabinet.solids):
                if tie.to in (one.name, one.part) and isinstance(one.movement, Fixed):
                    found.append(Window(tube=index, solid=solid, from_mm=from_mm, to_mm=to_mm))
    return tuple(found)


def near_solids(
    cabinet: Cabinet, drawn: Laid, sleeves: Sequence[Sleeve], windows: Sequence[Window], reach: float
) -> list[Nearest]:
    """Return every tube and solid nearer than ``reach``; carriers and ties only outside their windows."""
    place = {tube: k for k, tube in enumerate(drawn.indices)}
    skip = np.array([(place[w.tube], w.solid) for w in windows], dtype=np.int64).reshape(-1, 2)
    whole = least_distances(drawn.curves, drawn.radii, cabinet.bodies, reach, skip=skip)
    found = _nearest(whole, drawn.indices)
    found += _outside_windows(cabinet, drawn, windows, reach)
    carried = [(k, s.nipple.carrier) for k, s in enumerate(sleeves) if s.nipple.carrier is not None]
    found += _near_sleeves(cabinet.bodies, drawn, sleeves, carried, reach)
    return least_of_each(found)


def near_spaces(cabinet: Cabinet, drawn: Laid, sleeves: Sequence[Sleeve], reach: float) -> list[Nearest]:
    """Return every tube and space to be kept clear that are nearer than ``reach``."""
    found = _nearest(least_distances(drawn.curves, drawn.radii, cabinet.clear_bodies, reach), drawn.indices)
    found += _near_sleeves(cabinet.clear_bodies, drawn, sleeves, [], reach)
    return least_of_each(found)


def near_tubes(drawn: Laid, sleeves: Sequence[Sleeve], reach: float) -> list[Nearest]:
    """Return every two tubes nearer than ``reach``, the lower index first; sleeves belong to their tubes."""
    pairs = least_between(drawn.curves, drawn.radii, reach, width=WIDTH_MM)
    found = [
        Nearest(
            tube=drawn.indices[int(pairs.first[k])],
            other=drawn.indices[int(pairs.second[k])],
            low_mm=float(pairs.lows[k]),
            high_mm=float(pairs.highs[k]),
            along_mm=float(pairs.along_first[k]),
            travel=0.0,
            point=pairs.points_first[k],
            other_point=pairs.points_second[k],
        )
        for k in range(len(pairs.first))
    ]
    if sleeves:
        found += _against_sleeves(drawn, sleeves, reach)
    return least_of_each(found)


def least_of_each(found: Iterable[Nearest]) -> list[Nearest]:
    """Return the nearest of each pair, by tube, then by the other."""
    best: dict[tuple[int, int], Nearest] = {}
    for one in found:
        key = (one.tube, one.other)
        if key not in best or one.low_mm < best[key].low_mm:
            best[key] = one
    return [best[key] for key in sorted(best)]


def entering(cabinet: Cabinet, drawn: Laid, windows: Sequence[Window]) -> list[Buried]:
    """Return where a tube enters, within its window, the solid that it is excused from keeping off."""
    cuts = [(w, _cut(drawn, w.tube, w.from_mm, w.to_mm)) for w in windows if w.to_mm - w.from_mm > LEAST_MM]
    if not cuts:
        return []
    pairs = [(k, w.solid) for k, (w, _) in enumerate(cuts)]
    radii = [drawn.radii[drawn.indices.index(w.tube)] for w, _ in cuts]
    enters = wall_enters([c for _, c in cuts], radii, cabinet.bodies, pairs)
    return [
        Buried(
            tube=w.tube,
            solid=w.solid,
            length_mm=0.0,
            along_mm=w.from_mm,
            point=points_along(curve, np.zeros(1))[0],
        )
        for (w, curve), inside in zip(cuts, enters, strict=True)
        if inside
    ]


def _nearest(near: Near, indices: Sequence[int]) -> list[Nearest]:
    return [
        Nearest(
            tube=indices[int(near.curves[k])],
            other=int(near.bodies[k]),
            low_mm=float(near.lows[k]),
            high_mm=float(near.highs[k]),
            along_mm=float(near.alongs[k]),
            travel=float(near.travels[k]),
            point=near.points[k],
            other_point=near.touches[k],
        )
        for k in range(len(near.lows))
    ]


def _cut(drawn: Laid, tube: int, from_mm: float, to_mm: float) -> Curve:
    curve = drawn.curves[drawn.indices.index(tube)]
    return trimmed(curve, from_mm, max(float(curve.begins[-1]) - to_mm, 0.0))


def _outside_windows(cabinet: Cabinet, drawn: Laid, windows: Sequence[Window], reach: float) -> list[Nearest]:
    """Return how near tubes come to the solids that they are excused from, on the lengths that are not."""
    cuts = []
    for tube, solid in sorted({(w.tube, w.solid) for w in windows}):
        length = float(drawn.curves[drawn.indices.index(tube)].begins[-1])
        edges = sorted((w.from_mm, w.to_mm) for w in windows if (w.tube, w.solid) == (tube, solid))
        begin = 0.0
        for from_mm, to_mm in [*edges, (length, length)]:
            if from_mm - begin > LEAST_MM:
                cuts.append((tube, solid, begin, from_mm))
            begin = max(begin, to_mm)
    if not cuts:
        return []
    near = distances_of_pairs(
        [_cut(drawn, tube, from_mm, to_mm) for tube, _, from_mm, to_mm in cuts],
        [drawn.radii[drawn.indices.index(tube)] for tube, *_ in cuts],
        cabinet.bodies,
        [(k, solid) for k, (_, solid, _, _) in enumerate(cuts)],
        reach,
    )
    found = _nearest(near, [tube for tube, *_ in cuts])
    return [_moved(one, one.along_mm + cuts[k][2]) for k, one in enumerate(found) if np.isfinite(one.high_mm)]


def _near_sleeves(
    bodies: Bodies, drawn: Laid, sleeves: Sequence[Sleeve], skip: Sequence[tuple[int, int]], reach: float
) -> list[Nearest]:
    if not sleeves:
        return []
    left_out = np.array(skip, dtype=np.int64).reshape(-1, 2)
    near = least_distances(
        [s.curve for s in sleeves], [s.radius_mm for s in sleeves], bodies, reach, skip=left_out
    )
    found = _nearest(near, range(len(sleeves)))
    return [_on_tube(one, sleeves[one.tube], drawn) for one in found]


def _on_tube(one: Nearest, sleeve: Sleeve, drawn: Laid) -> Nearest:
    length = float(drawn.curves[drawn.indices.index(sleeve.tube)].begins[-1])
    return _moved(one, place_on_tube(sleeve, one.along_mm, length), tube=sleeve.tube)


def _moved(one: Nearest, along_mm: float, tube: int | None = None) -> Nearest:
    """Return the same measurement, seen from the whole tube."""
    return Nearest(
        tube=one.tube if tube is None else tube,
        other=one.other,
        low_mm=one.low_mm,
        high_mm=one.high_mm,
        along_mm=along_mm,
        travel=one.travel,
        point=one.point,
        other_point=one.other_point,
        sleeve=tube is not None,
    )


def _against_sleeves(drawn: Laid, sleeves: Sequence[Sleeve], reach: float) -> list[Nearest]:
    """Return tubes and sleeves near other tubes' sleeves, as pairs of tubes."""
    bodies = as_bodies(sleeves)
    own = [
        (k, b)
        for k, tube in enumerate(drawn.indices)
        for b, sleeve in enumerate(sleeves)
        if sleeve.tube == tube
    ]
    skip = np.array(own, dtype=np.int64).reshape(-1, 2)
    found = _nearest(least_distances(drawn.curves, drawn.radii, bodies, reach, skip=skip), drawn.indices)
    same = [(a, b) for a, s in enumerate(sleeves) for b, t in enumerate(sleeves) if s.tube >= t.tube]
    found += _near_sleeves(bodies, drawn, sleeves, same, reach)
    return [_as_pair(one, sleeves[one.other], drawn) for one in found]


def _as_pair(one: Nearest, sleeve: Sleeve, drawn: Laid) -> Nearest:
    """Return a tube near another's sleeve as a pair of tubes, the lower index first."""
    if one.tube < sleeve.tube:
        along, tube, other = one.along_mm, one.tube, sleeve.tube
    else:
        length = float(drawn.curves[drawn.indices.index(sleeve.tube)].begins[-1])
        back = float((sleeve.nipple.tip - one.other_point) @ sleeve.nipple.direction)
        along, tube, other = place_on_tube(sleeve, max(back, 0.0), length), sleeve.tube, one.tube
    return Nearest(
        tube=tube,
        other=other,
        low_mm=one.low_mm,
        high_mm=one.high_mm,
        along_mm=along,
        travel=0.0,
        point=one.point,
        other_point=one.other_point,
        sleeve=True,
    )


def inside_of(pairs: Sequence[Nearest], solids: Sequence[Solid], drawn: Laid) -> list[tuple[int, int]]:
    """Return the pairs (tube, solid) whose centreline runs inside something that stands still."""
    radius = dict(zip(drawn.indices, drawn.radii, strict=True))
    return [
        (one.tube, one.other)
        for one in pairs
        if isinstance(solids[one.other].movement, Fixed) and one.high_mm <= -radius[one.tube] + 1e-6
    ]
