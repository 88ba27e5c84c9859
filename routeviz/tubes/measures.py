"""Every number about a lay, each found once; what they are held against is in checks/.

What the numbers are stands in measured.py; how each is found, in the neighbours that this file calls.
"""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from routeviz.cabinet.motions import Fixed
from routeviz.cabinet.solids import Cabinet
from routeviz.geometry.arrays import frozen
from routeviz.geometry.buried import buried_lengths
from routeviz.geometry.chains import places_on
from routeviz.tubes.holding import passage_uses
from routeviz.tubes.kinking import least_bend_of
from routeviz.tubes.measured import Bend, Buried, Leaving, Measured, Nearest
from routeviz.tubes.nearing import Laid, laid, near_solids, near_spaces, near_tubes, reach_mm
from routeviz.tubes.passing import crossings_of
from routeviz.tubes.plans import NoWay
from routeviz.tubes.removal import foulings_of, trapped_of
from routeviz.tubes.routes import Tube
from routeviz.tubes.sleeves import sleeves_of
from routeviz.tubes.spans import spans_of
from routeviz.tubes.windows import windows_of

INSIDE_MM = 1e-6  # by which a distance of minus the radius may be missed: then the centreline is inside


def measure(cabinet: Cabinet, tubes: Sequence[Tube], no_ways: Sequence[NoWay] = ()) -> Measured:
    """Return every number about a lay.

    Parameters
    ----------
    cabinet : Cabinet
        What the tubes must get past.
    tubes : sequence of Tube
        The lay.
    no_ways : sequence of NoWay
        What a plan says of tubes that it could not lay; told only of those that have no route.

    Returns
    -------
    measured : Measured
        Distances as intervals that hold the true value.
    """
    drawn, sleeves, windows = laid(tubes), sleeves_of(cabinet, tubes), windows_of(cabinet, tubes)
    reach = reach_mm(cabinet)
    # Tubes against each other first: on a first run, what measures solids is being compiled beside.
    neighbours = near_tubes(drawn, sleeves, reach)
    solids, entering = near_solids(cabinet, drawn, sleeves, windows, reach)
    crossings = crossings_of(cabinet, tubes, drawn)
    kinds = {tube.kind.name: tube.kind for tube in tubes}
    return Measured(
        lengths_mm=frozen([0.0 if t.curve is None else t.curve.begins[-1] for t in tubes]),
        bends=_bends(tubes, drawn),
        solids=tuple(solids),
        keep_clear=tuple(near_spaces(cabinet, drawn, sleeves, reach)),
        tubes=tuple(neighbours),
        reach_mm=reach,
        buried=tuple(entering + _buried(cabinet, drawn, solids)),
        crossings=crossings,
        passages=passage_uses(cabinet, tubes, crossings),
        spans=spans_of(cabinet, tubes, drawn, windows, solids, reach),
        leaving=_leaving(cabinet, tubes, drawn),
        trapped=trapped_of(cabinet, tubes, drawn),
        foulings=foulings_of(cabinet),
        least_bends={name: least_bend_of(kind, cabinet.practice.vacuum_kpa) for name, kind in kinds.items()},
        no_ways=_unlaid(no_ways, tubes, cabinet),
    )


def _unlaid(no_ways: Sequence[NoWay], tubes: Sequence[Tube], cabinet: Cabinet) -> tuple[NoWay, ...]:
    """Return why tubes could not be laid, or tees not placed, without what has been or is not there."""
    bare = {tube.name for tube in tubes if tube.curve is None}
    left = [replace(one, tubes=tuple(name for name in one.tubes if name in bare)) for one in no_ways]
    return tuple(one for one in left if one.tubes or one.part in cabinet.without_place)


def _bends(tubes: Sequence[Tube], drawn: Laid) -> tuple[Bend | None, ...]:
    """Return each tube's tightest bend; of several equal ones the first, told at the middle of its arc."""
    pieces = drawn.pieces
    if not len(drawn.indices):
        return (None,) * len(tubes)
    tightest = np.maximum.reduceat(pieces.curvatures, pieces.firsts[:-1])
    equal = np.nonzero(pieces.curvatures == tightest[pieces.owners])[0]
    first = equal[np.searchsorted(pieces.owners[equal], np.arange(len(tightest)))]
    middles = pieces.begins[first] + 0.5 * pieces.lengths[first]
    alongs = np.where(tightest > 0, middles, 0.0)
    points = places_on(pieces, np.arange(len(alongs)), alongs).points
    found: list[Bend | None] = [None] * len(tubes)
    for tube, place in drawn.places.items():
        bend = float(tightest[place])
        radius = 1 / bend if bend > 0 else math.inf
        found[tube] = Bend(radius_mm=radius, along_mm=float(alongs[place]), point=points[place])
    return tuple(found)


def _buried(cabinet: Cabinet, drawn: Laid, solids: Sequence[Nearest]) -> list[Buried]:
    """Return the lengths of centrelines that lie inside what stands still."""
    inside = [
        one
        for one in solids
        if isinstance(cabinet.solids[one.other].movement, Fixed)
        and not one.sleeve
        and one.high_mm <= INSIDE_MM - drawn.radii[drawn.places[one.tube]]
    ]
    if not inside:
        return []
    pairs = [(drawn.places[one.tube], one.other) for one in inside]
    lengths = buried_lengths(drawn.pieces, cabinet.bodies, pairs)
    return [
        Buried(
            tube=one.tube,
            solid=one.other,
            length_mm=float(length),
            low_mm=one.low_mm,
            high_mm=one.high_mm,
            along_mm=one.along_mm,
            point=one.point,
        )
        for one, length in zip(inside, lengths, strict=True)
        if length > 0
    ]


def _leaving(cabinet: Cabinet, tubes: Sequence[Tube], drawn: Laid) -> tuple[Leaving, ...]:
    """Return how far off its nipple's line each tube leaves, at both ends."""
    curves = np.arange(len(drawn.lengths))
    firsts = places_on(drawn.pieces, curves, np.zeros(len(curves))).tangents
    lasts = places_on(drawn.pieces, curves, drawn.lengths).tangents
    found = []
    for index, place in drawn.places.items():
        ends = ((tubes[index].start, firsts[place]), (tubes[index].end, -lasts[place]))
        for end, outward in ends:
            if end.nipple is not None:
                nipple = cabinet.nipples[end.nipple]
                across = math.dist(outward, float(outward @ nipple.direction) * nipple.direction)
                angle = math.degrees(math.atan2(across, float(outward @ nipple.direction)))
                found.append(Leaving(tube=index, nipple=end.nipple, off_deg=angle, point=nipple.tip))
    return tuple(found)
